"""The dial's readings in scenarios/readings are invented: made here, from jaws that are known and a seed."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from sim.manual import page
from sim.readings import Dialled, dial_findings, dial_fit, dialled, read_dial
from sim.setup.parts import Parts

SEED = 20263  # of scenarios/readings/cast_hub_dial.csv
FORCE_SHARE, ALONG, ACROSS, UP = 0.008, 0.004, 0.004, 0.003  # deviations of each jaw: a share, then mm
UNLIKE = (3e-8, -2e-8, -1e-8)  # mm/N
RHO, RADIAL, SEAT, GRIPPED = 0.64, 400e3, 42.0, 39.0  # no unit, N/mm, mm, mm
OWN = (0.004, 0.002)  # of the bored jaws and the part, mm
PER_PRESSURE = 6460.0  # N of a jaw a MPa
STEP = 0.001  # mm


def as_csv() -> str:
    """Return readings as a setter would write them down: to 1 um, the high spot to 5 deg."""
    rng, angle = np.random.default_rng(SEED), np.radians([0.0, 120.0, 240.0])

    def moved(along: np.ndarray, across: np.ndarray) -> np.ndarray:
        x = RHO * along * np.cos(angle) - (1.0 - RHO) * across * np.sin(angle)
        y = RHO * along * np.sin(angle) + (1.0 - RHO) * across * np.cos(angle)
        return np.array([x.sum(), y.sum()]) * 2.0 / 3.0

    lines = ["mounting, clamping, pressure (bar), height (mm), radius (mm), TIR (um), high spot (deg)"]
    for m in range(1, 6):
        off = moved(ALONG * rng.normal(size=3), ACROSS * rng.normal(size=3))
        seats = UP * rng.normal(size=3)
        g = 2.0 / (3.0 * SEAT) * np.array([(seats * np.cos(angle)).sum(), (seats * np.sin(angle)).sum()])
        for c in range(1, 6 if m == 1 else 3):
            shares = FORCE_SHARE * rng.normal(size=3)
            for bar in (14, 26) if m == 1 else (26,):
                gives = PER_PRESSURE * 0.1 * bar * (shares / RADIAL + np.array(UNLIKE))
                e = np.array(OWN) + off + moved(gives, np.zeros(3)) - g * (55.0 - GRIPPED)
                lines.append(f"{m}, {c}, {bar}, 55, , {_written(*e, 2000.0)}")
            lines.append(f"{m}, {c}, 26, , 45, {_written(*g, 90_000.0)}")
    return "\n".join(lines) + "\n"


def _written(x: float, y: float, times: float) -> str:
    turn = 5 * round(math.degrees(math.atan2(y, x)) / 5.0) % 360
    return f"{round(times * math.hypot(x, y))}, {turn}"


@pytest.fixture(scope="module")
def sample(root: Path, hub: Parts) -> Dialled:
    return dialled(hub, read_dial(root / "scenarios" / "readings" / "cast_hub_dial.csv", 3.0), STEP)


def test_the_sample_is_what_the_seed_gives(root: Path) -> None:
    file = root / "scenarios" / "readings" / "cast_hub_dial.csv"
    assert file.read_text(encoding="utf-8") == as_csv()


def test_the_sample_is_that_of_its_chuck(sample: Dialled) -> None:
    """What it was made with lies within the bounds, and nothing of the scenario is contradicted."""
    found = dial_fit(sample)
    assert sample.rho == pytest.approx(RHO, abs=0.02)
    along = math.sqrt(2.0 / 3.0) * math.hypot(RHO * ALONG, (1.0 - RHO) * ACROSS)
    for estimate, put_in in (
        (found.repeat_shift, math.sqrt(2.0 / 3.0) * RHO * FORCE_SHARE / RADIAL),
        (found.remount_shift, along),
        (found.remount_lean, math.sqrt(2.0 / 3.0) * UP / SEAT),
    ):
        assert estimate is not None
        assert estimate.low <= put_in <= estimate.high
    assert not any(finding.serious for finding in dial_findings(found))


def test_worse_readings_of_the_sample_never_give_a_smaller_field(sample: Dialled, hub: Parts) -> None:
    """The same rows read on a dial that shows ten times less."""
    fine, coarse = dial_fit(sample).fields, dial_fit(dialled(hub, sample.readings, 10.0 * STEP)).fields
    for name, estimate in fine.items():
        assert coarse[name].high >= estimate.high


def test_the_rows_of_the_manual_are_readings(tmp_path: Path) -> None:
    lines = re.findall(
        r"^    (mounting, .*|\d+, \d+, .*)$", page("readings").text.partition("## A dial")[2], re.MULTILINE
    )
    file = tmp_path / "dial.csv"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    read = read_dial(file, 3.0)
    assert (read.count, len(read.bad)) == (3, 0)
    assert as_csv().startswith("\n".join(lines))


def test_how_many_readings_the_manual_asks_for() -> None:
    """Square root of 2 (n - 1) over chi-square at 2.5 % as said there, to one decimal."""
    (said,) = re.findall(
        r"3 clampings or mountings ([\d.]+), 4 ([\d.]+), 5 ([\d.]+), 10 (\d.\d)", page("readings").text
    )
    for count, text in zip((3, 4, 5, 10), said, strict=True):
        freedom = 2 * (count - 1)
        assert text == f"{math.sqrt(freedom / stats.chi2.ppf(0.025, freedom)):.1f}"
