"""Which cycle a code is, and what it sets, by the code system (common practice, no source)."""

from __future__ import annotations

from typing import get_args

import pytest

from sim.programs.code_groups import CodeSystem, group, single_cycle


@pytest.mark.parametrize(
    ("code", "meaning"),
    [
        (90.0, ("turning", None, None, None)),
        (92.0, ("threading", None, None, None)),
        (94.0, ("facing", None, None, None)),
        (77.0, (None, "turning", None, None)),
        (78.0, (None, "threading", None, None)),
        (79.0, (None, "facing", None, None)),
        (20.0, (None, None, "turning", None)),
        (21.0, (None, None, "threading", None)),
        (24.0, (None, None, "facing", None)),
    ],
)
def test_a_code_is_a_cycle_in_one_system_only(code: float, meaning: tuple[str | None, ...]) -> None:
    assert tuple(single_cycle(code, system) for system in get_args(CodeSystem)) == meaning


@pytest.mark.parametrize(
    ("code", "known", "unknown"),
    [
        (1.0, ("motion", "motion", "motion", "motion"), "motion"),
        (20.0, ("unit", "unit", "single cycle", "unit"), "unit"),
        (50.0, ("limit", None, None, "limit"), "limit"),
        (71.0, (None, None, "unit", "unit"), None),
        (90.0, ("single cycle", "distance", "distance", "distance"), "distance"),
        (91.0, (None, "distance", "distance", "distance"), "distance"),
        (95.0, (None, "feed", "feed", "feed"), "feed"),
        (98.0, ("feed", "return", "return", None), "feed"),
    ],
)
def test_the_group_of_a_code_by_system_and_without_one(
    code: float, known: tuple[str | None, ...], unknown: str | None
) -> None:
    assert tuple(group(code, system) for system in get_args(CodeSystem)) == known
    assert group(code, None) == unknown
