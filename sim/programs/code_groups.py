"""Which group a preparatory function belongs to, by the code system of the control.

Two functions of one group exclude each other in a block. Where the code system is not known, the groups are those of
the meaning that most systems give a code; what is doubtful then is looked after in `code_systems`.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal, get_args

# Named by the code of the single turning cycle, or by the standard that has none.
CodeSystem = Literal["G90 cycles", "G77 cycles", "G20 cycles", "ISO"]
SingleCycle = Literal["turning", "facing", "threading"]
SYSTEMS: frozenset[CodeSystem] = frozenset(get_args(CodeSystem))
CYCLE = "single cycle"

# Common practice, no source.
_SINGLE_CYCLES: dict[CodeSystem, dict[float, SingleCycle]] = {
    "G90 cycles": {90.0: "turning", 92.0: "threading", 94.0: "facing"},
    "G77 cycles": {77.0: "turning", 78.0: "threading", 79.0: "facing"},
    "G20 cycles": {20.0: "turning", 21.0: "threading", 24.0: "facing"},
    "ISO": {},
}
_EVERYWHERE: dict[float, str] = {
    0.0: "motion", 1.0: "motion", 2.0: "motion", 3.0: "motion", 4.0: "dwell", 18.0: "plane", 28.0: "home", 30.0: "home",
    40.0: "compensation", 41.0: "compensation", 42.0: "compensation", 96.0: "speed", 97.0: "speed",
} | {float(code): "datum" for code in range(54, 60)}  # fmt: skip
# What moves nothing (`sim.programs.idle_words`) is a group of its own each: such functions do not exclude each other.
_IDLE = {float(code): f"G{code}" for code in (9, 61, 64, 80)}
_IDLE_OFF_ISO = {float(code): f"G{code}" for code in (22, 23, 25, 26, 49, 67, 69)}
_G20_G21 = {20.0: "unit", 21.0: "unit"}
_G70_G71 = {70.0: "unit", 71.0: "unit"}
_G90_G91 = {90.0: "distance", 91.0: "distance"}
_G94_G95 = {94.0: "feed", 95.0: "feed"}
_G98_G99 = {98.0: "feed", 99.0: "feed"}
_G52_G53 = {52.0: "shift", 53.0: "machine"}
_RETURN = {98.0: "return", 99.0: "return"}  # how far a drilling cycle returns
_G50, _G92 = {50.0: "limit"}, {92.0: "limit"}
_BY_SYSTEM: dict[CodeSystem | None, dict[float, str]] = {
    None: _IDLE_OFF_ISO | _G52_G53 | _G20_G21 | _G90_G91 | _G94_G95 | _G98_G99 | _G50 | _G92,
    "G90 cycles": _IDLE_OFF_ISO | _G52_G53 | _G20_G21 | _G98_G99 | _G50,
    "G77 cycles": _IDLE_OFF_ISO | _G52_G53 | _G20_G21 | _G90_G91 | _G94_G95 | _G92 | _RETURN,
    "G20 cycles": _IDLE_OFF_ISO | _G52_G53 | _G70_G71 | _G90_G91 | _G94_G95 | _G92 | _RETURN,
    "ISO": _G20_G21 | _G70_G71 | _G90_G91 | _G94_G95 | _G50 | _G92 | {25.0: "G25", 26.0: "limit"},
}


def group(code: float, system: CodeSystem | None) -> str | None:
    """Return what a preparatory function sets; None where it is not followed.

    Parameters
    ----------
    code : float
        Number of the G word.
    system : CodeSystem or None
        None where several are possible.
    """
    if system is not None and single_cycle(code, system) is not None:
        return CYCLE
    return _EVERYWHERE.get(code) or _IDLE.get(code) or _BY_SYSTEM[system].get(code)


@lru_cache(maxsize=1024)
def group_among(code: float, systems: frozenset[CodeSystem]) -> str | None:
    """Return what a preparatory function sets where one of several code systems is meant.

    What all of them agree on; else the meaning that most systems give it.
    """
    sets = {group(code, system) for system in systems}
    return sets.pop() if len(sets) == 1 else group(code, None)


def single_cycle(code: float, system: CodeSystem) -> SingleCycle | None:
    """Return the single cycle that a G code is in a code system, if it is one (common practice, no source)."""
    return _SINGLE_CYCLES[system].get(code)
