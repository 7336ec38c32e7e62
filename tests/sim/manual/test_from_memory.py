"""The page on accuracy lists what stands from memory: no file of the program says so that it does not name."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sim.base.tables import thread

ROOT = Path(__file__).parents[3]
PAGE = (ROOT / "sim" / "manual" / "validation.md").read_text(encoding="utf-8")
TABLE = PAGE.split("## What stands from memory")[1].split("## ")[0]


def saying() -> set[str]:
    """Files of the program that say of a value that it is from memory, also over the end of a line."""
    files = [*(ROOT / "sim").rglob("*.py"), *(ROOT / "sim").rglob("*.toml"), *(ROOT / "meshes").rglob("*.py")]
    return {
        str(file.relative_to(ROOT)).removeprefix("sim/")
        for file in files
        if re.search(r"from\s+(?:#\s+)?memory", file.read_text(encoding="utf-8"))
    }


def test_the_page_names_each_file_that_says_so() -> None:
    named = set(re.findall(r"\| `([\w/.]+)` \|", TABLE))
    assert saying() == named


def test_its_numbers() -> None:
    """By hand: 1.1 times a force leaves 1 / 1.1 of a margin; h^-mc; ring under a washer; half of a counterbore."""
    assert "holding by 9 %" in TABLE
    assert pytest.approx(0.09, abs=0.005) == 1.0 - 1.0 / 1.1
    assert pytest.approx(0.04, abs=0.005) == 0.2 ** (-0.1 * 0.26) - 1.0
    m16 = thread("M16")
    ring = [
        m16.washer_diameter**2 - m16.hole_medium**2,
        (0.9 * m16.washer_diameter) ** 2 - m16.hole_medium**2,
    ]
    assert ring[0] / ring[1] - 1.0 == pytest.approx(0.45, abs=0.005)
    assert [0.05 * thread(name).counterbore for name in ("M14", "M24")] == pytest.approx([1.2, 2.0])
    bar = 17.0 + 12.5  # f and half of the shank of a bar of 25 mm, as first setups have it
    assert 0.1 * bar == pytest.approx(3.0, abs=0.1)
