"""Pressure against speed: where an operation holds, stays round and keeps the limits, and what ends that."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.assessment.results import Assessment
from sim.assessment.state import states
from sim.assessment.verdicts.rule import MET
from sim.base.arrays import Flags, Floats
from sim.base.share import Tell
from sim.contact.face import frozen_array
from sim.layouts.between import at_pressure, at_speed, read
from sim.layouts.clear_of import farthest_inside
from sim.layouts.criteria import LARGEST, ROWS, Criterion, criteria_of, grid
from sim.layouts.full_check import FullCheck

BISECTIONS = 30


@dataclass(frozen=True, slots=True)
class Side:
    """What ends the window on one side of a point, and the pressure (MPa) or speed (rev/min) there."""

    name: str
    at: float


@dataclass(frozen=True, slots=True)
class WindowPoint:
    """A pressure (MPa) and a speed (rev/min) with what stands around it.

    Attributes
    ----------
    margin : float
        Least of all that would fail; under 1 outside of the window.
    least : str
        Which that is.
    low, high, fast : Side or None
        What ends the window at less pressure, at more pressure, at more speed; None outside of it.
    warns : tuple of str
        What warns there.
    check : FullCheck or None
        What the full check says of it; None before `confirmed_window`.
    """

    pressure: float
    speed: float
    margin: float
    least: str
    low: Side | None
    high: Side | None
    fast: Side | None
    warns: tuple[str, ...]
    check: FullCheck | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """Pressure against speed of one operation, or of boring.

    Attributes
    ----------
    operation : str
    pressures, speeds : (k,), (m,) arrays
        MPa, rev/min, rising.
    criteria : tuple of Criterion
    stated : WindowPoint
        As the scenario has it.
    recommended : WindowPoint or None
        Of all pressures at the stated speed (or the nearest speed at which the window is open) the one with the
        largest margin, of those that are not warned of if there are any; None where the window is closed.
    fastest : WindowPoint or None
        The highest speed at which the window is open.
    warns_only : bool
        What lies outside of the window is warned of and need not fail.
    dropped : tuple of str
        Points that are not named, because the full check does not confirm them, and why.
    """

    operation: str
    pressures: Floats
    speeds: Floats
    criteria: tuple[Criterion, ...]
    stated: WindowPoint
    recommended: WindowPoint | None
    fastest: WindowPoint | None
    warns_only: bool = False
    dropped: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in ("pressures", "speeds"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))


def window(assessment: Assessment, operation: int, progress: Tell = lambda _: None) -> Window:
    """Return the window of an operation of a judged setup, with the contact model of the assessment.

    Raises
    ------
    ScenarioError
        If outline, face and jaw of the operation do not fit together.
    """
    ready = states(assessment)
    pressures, speeds = grid(assessment, operation)
    kept = criteria_of(ready, operation, pressures, speeds, progress)
    own = assessment.operations[operation].operation
    return windowed(own.name, pressures, speeds, kept, (own.gripping.pressure, own.gripping.speed_high))


def windowed(
    name: str,
    pressures: Floats,
    speeds: Floats,
    criteria: tuple[Criterion, ...],
    stated: tuple[float, float],
    *,
    warns_only: bool = False,
) -> Window:
    """Return the window of what must hold; `stated` pressure (MPa) and speed (rev/min) lie on the grid."""
    return Window(
        operation=name,
        pressures=pressures,
        speeds=speeds,
        criteria=criteria,
        stated=_point(pressures, speeds, criteria, *stated),
        recommended=_recommended(pressures, speeds, criteria, stated[1]),
        fastest=_fastest(pressures, speeds, criteria),
        warns_only=warns_only,
    )


def least_margin(found: tuple[Criterion, ...], *, soft: bool = False) -> Floats:
    """Return the least margin (k, m) of what would fail, and of what would warn if asked for."""
    return np.asarray(np.min([c.margin for c in found if soft or not c.soft], axis=0), dtype=np.float64)


def border(window_: Window, name: str) -> Floats:
    """Return the pressure (MPa) at which a criterion is just met, for every speed; nan where it never is.

    Raises
    ------
    KeyError
        If the window has no such criterion.
    """
    found = {c.name: c for c in window_.criteria}[name]
    return np.array([_crossing(window_.pressures, column) for column in found.margin.T])


def open_pressures(window_: Window) -> Floats:
    """Return least and largest pressure (MPa) at which nothing fails, (m, 2), for every speed; nan where none is."""
    least = least_margin(window_.criteria)
    found = np.full((len(window_.speeds), 2), math.nan)
    for k, column in enumerate(least.T):
        good = np.flatnonzero(column >= MET)
        if len(good):
            first, last = int(good[0]), int(good[-1])
            low = (
                _crossing(window_.pressures[first - 1 : first + 1], column[first - 1 : first + 1])
                if first
                else math.nan
            )
            high = _crossing(window_.pressures[last : last + 2], column[last : last + 2])
            found[k] = (
                window_.pressures[first] if math.isnan(low) else low,
                window_.pressures[last] if math.isnan(high) else high,
            )
    return found


def margin_at(window_: Window, criterion: Criterion, pressure: float, speed: float) -> float:
    """Return a criterion's margin at a pressure (MPa) and a speed (rev/min)."""
    return float(
        read([criterion], pressure, window_.pressures, at_speed([criterion], window_.speeds, speed))[0, 0]
    )


def best_pressure(window_: Window, speed: float) -> float:
    """Return the pressure (MPa) farthest inside of the window at a speed (rev/min), clear of warnings if it can be.

    Where the window is closed, the one with the largest margin of what fails.
    """
    hard, soft = _parted(window_.criteria)
    many, margins = _fine(window_.pressures, window_.speeds, hard, speed)
    best = farthest_inside(margins, _fine(window_.pressures, window_.speeds, soft, speed)[1])
    return float(many[margins.min(axis=0).argmax() if best is None else best])


def least_failing(window_: Window, speed: float) -> float:
    """Return the pressure (MPa) at a speed (rev/min) where the fewest would fail, the farthest from failing.

    What no pressure mends has no say in it.
    """
    hard, _ = _parted(window_.criteria)
    many, margins = _fine(window_.pressures, window_.speeds, hard, speed)
    mended = margins[margins.max(axis=1) >= MET]
    if not len(mended):
        return float(many[margins.min(axis=0).argmax()])
    failing = (mended < MET).sum(axis=0)
    fewest = failing == failing.min()
    return float(many[np.where(fewest, mended.min(axis=0), -np.inf).argmax()])


def point_at(window_: Window, pressure: float, speed: float) -> WindowPoint:
    """Return a pressure (MPa) and a speed (rev/min) with what ends the window around them."""
    return _point(window_.pressures, window_.speeds, window_.criteria, pressure, speed)


def _crossing(places: Floats, margin: Floats) -> float:
    """Return the first place at which a margin crosses 1, a power law between places; nan where it does not."""
    over = margin >= 1.0
    change = np.flatnonzero(over[1:] != over[:-1])
    if not len(change):
        return math.nan
    k = int(change[0])
    first, last = np.log(np.maximum(margin[k : k + 2], 1.0 / LARGEST))
    share = first / (first - last)
    return float(places[k] ** (1.0 - share) * places[k + 1] ** share)


def _parted(criteria: Sequence[Criterion]) -> tuple[list[Criterion], list[Criterion]]:
    """Return what would fail and what would warn."""
    return [c for c in criteria if not c.soft], [c for c in criteria if c.soft]


def _fine(
    pressures: Floats, speeds: Floats, criteria: Sequence[Criterion], speed: float
) -> tuple[Floats, Floats]:
    """Return many pressures and the margins of criteria there, (criteria, pressures)."""
    many = np.unique([*np.linspace(pressures[0], pressures[-1], 40 * ROWS), *pressures])
    return many, read(criteria, many, pressures, at_speed(criteria, speeds, speed))


def _point(
    pressures: Floats, speeds: Floats, criteria: tuple[Criterion, ...], pressure: float, speed: float
) -> WindowPoint:
    hard, soft = _parted(criteria)
    many, margins = _fine(pressures, speeds, hard, speed)
    _, warning = _fine(pressures, speeds, soft, speed)
    warns = tuple(
        c.name for c, line in zip(soft, warning, strict=True) if np.interp(pressure, many, line) < MET
    )
    here = np.array([np.interp(pressure, many, line) for line in margins])
    worst = int(here.argmin())
    if here[worst] < MET:
        return WindowPoint(pressure, speed, float(here[worst]), hard[worst].name, None, None, None, warns)
    good = margins.min(axis=0) >= MET
    start = int(np.abs(many - pressure).argmin())
    low = _edge(many, margins, good, start, -1)
    high = _edge(many, margins, good, start, +1)
    sides = [
        None if edge is None else Side("the pressure limit" if edge[0] < 0 else hard[edge[0]].name, edge[1])
        for edge in (low, high)
    ]
    return WindowPoint(
        pressure, speed, float(here[worst]), hard[worst].name, sides[0], sides[1],
        _faster(pressures, speeds, hard, pressure, speed), warns,
    )  # fmt: skip


def _edge(many: Floats, margins: Floats, good: Flags, start: int, step: int) -> tuple[int, float] | None:
    """Return which criterion ends the good run from `start`, and where; -1 at the end of the pressures."""
    k = start
    while 0 <= k + step < len(many) and good[k + step]:
        k += step
    if not 0 <= k + step < len(many):
        return (-1, float(many[k])) if step > 0 else None
    outside = margins[:, k + step]
    return int(outside.argmin()), float(many[k])


def _faster(
    pressures: Floats, speeds: Floats, hard: list[Criterion], pressure: float, speed: float
) -> Side | None:
    """Return what ends the window at more speed."""
    squares = np.linspace(speed**2, speeds[-1] ** 2, 4000)
    lines = read(hard, squares, speeds**2, at_pressure(hard, pressures, pressure))
    bad = np.flatnonzero(lines.min(axis=0) < MET)
    if not len(bad):
        return None
    return Side(hard[int(lines[:, bad[0]].argmin())].name, float(np.sqrt(squares[max(int(bad[0]) - 1, 0)])))


def _recommended(
    pressures: Floats, speeds: Floats, criteria: tuple[Criterion, ...], speed: float
) -> WindowPoint | None:
    """Return the pressure with the largest margin at a speed, or at the nearest speed at which there is one."""
    hard, soft = _parted(criteria)
    for tried in sorted({speed, *map(float, speeds)}, key=lambda n: abs(n - speed)):
        many, margins = _fine(pressures, speeds, hard, tried)
        best = farthest_inside(margins, _fine(pressures, speeds, soft, tried)[1])
        if best is not None:
            return _point(pressures, speeds, criteria, float(many[best]), tried)
    return None


def _fastest(pressures: Floats, speeds: Floats, criteria: tuple[Criterion, ...]) -> WindowPoint | None:
    """Return the highest speed at which some pressure holds, by bisection between the grid's speeds."""
    hard, _ = _parted(criteria)

    def best(speed: float) -> tuple[float, float]:
        many, margins = _fine(pressures, speeds, hard, speed)
        least = margins.min(axis=0)
        return float(least.max()), float(many[least.argmax()])

    open_ = [float(n) for n in speeds if best(float(n))[0] >= MET]
    if not open_:
        return None
    low, high = max(open_), float(min([n for n in speeds if n > max(open_)], default=max(open_)))
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if best(middle)[0] >= MET else (low, middle)
    return _point(pressures, speeds, criteria, best(low)[1], low)
