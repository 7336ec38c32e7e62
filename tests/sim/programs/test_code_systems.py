"""Which cycle a code is, by the code system (common practice, no source)."""

from __future__ import annotations

from typing import get_args

import pytest

from sim.programs.code_systems import CodeSystem, single_cycle


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
