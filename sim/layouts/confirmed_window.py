"""A window whose points were confirmed by the full check: with the values as printed, stepped inside where need be.

The borders of a window are interpolated, up to 0.1 % off at a corner, and what pressure and speed do not decide is not
in it. So each point that is named is rounded to what a setter can set, towards the safe side, and judged as a whole.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from sim.assessment.gripped_again import with_gripping
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import States, states
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import MET
from sim.base.errors import ScenarioError
from sim.base.rounding import SAME, at_least_text, at_most_text
from sim.base.share import Tell
from sim.layouts.boring_window import STAGE
from sim.layouts.criteria import LARGEST, Criterion
from sim.layouts.full_check import (
    FullCheck,
    answered,
    boring_as_named,
    full_check,
    gripping_as_named,
    of_assessment,
)
from sim.layouts.window import Side, Window, WindowPoint, best_pressure, margin_at, point_at
from sim.setup.loading import refuse_impossible

BAR = 10.0  # bar in one MPa
SPEED_STEP = 10.0  # rev/min, to which named speeds are rounded down (common practice, no source)
INWARD = (0, 1, 2, 4, 8, 16, 32)  # steps inside of a corner that are tried
Judge = Callable[[str, str], FullCheck]  # bar and rev/min as printed


@dataclass(frozen=True, slots=True, eq=False)
class _Judging:
    """How points of a window are judged: `whole` by the full check, `quickly` for the ends of ranges around a point.

    `as_stated` holds what the full check says as stated, `kept` whether what it finds keeps the window's own limits.
    """

    whole: Judge
    quickly: Judge
    as_stated: FullCheck
    kept: Callable[[FullCheck], bool]

    def hopeless(self, found: FullCheck) -> bool:
        """Tell whether something fails that failed by as much as stated: no pressure or speed mends it."""
        before = {(v.key, v.stage): v.value for v in self.as_stated.failing}
        return any(
            abs(v.value - before.get((v.key, v.stage), math.nan)) <= SAME * abs(v.value)
            for v in found.failing
        )


def confirmed_window(
    assessment: Assessment, operation: int, shown: Window, tell: Tell = lambda _: None
) -> Window:
    """Return the window of an operation with confirmed points; what is not confirmed is left out and said."""
    scenario = assessment.scenario
    model = assessment.operations[operation].clamping.model
    ready = states(assessment)

    def whole(bar: str, rpm: str) -> FullCheck:
        tell(f"{shown.operation}: full check at {bar} bar, {rpm} rev/min")
        return full_check(gripping_as_named(scenario, {operation: (bar, rpm)}), model)

    def quickly(bar: str, rpm: str) -> FullCheck:
        tell(f"{shown.operation}: check at {bar} bar, {rpm} rev/min")
        return _at_state(ready, operation, bar, rpm)

    judging = _Judging(whole, quickly, of_assessment(assessment), lambda found: found.confirmed)
    return _confirmed(shown, judging, shown.operation)


def confirmed_boring_window(assessment: Assessment, shown: Window, tell: Tell = lambda _: None) -> Window:
    """Return the window of boring with confirmed points: nothing fails, and none of its own limits is missed."""
    as_stated = of_assessment(assessment)
    before = {(v.key, v.stage): v.value for v in as_stated.verdicts if v.missed}

    def whole(bar: str, rpm: str) -> FullCheck:
        tell(f"boring: full check at {bar} bar, {rpm} rev/min")
        return _bored(assessment, bar, rpm)

    def kept(found: FullCheck) -> bool:
        beyond = [v for v in found.verdicts if v.missed and before.get((v.key, v.stage)) != v.value]
        return found.confirmed and not beyond

    return _confirmed(shown, _Judging(whole, whole, as_stated, kept), STAGE)


def _bored(assessment: Assessment, bar: str, rpm: str) -> FullCheck:
    """Return the full check with a boring pressure and speed; refused where the program sets another speed."""
    scenario = boring_as_named(assessment.scenario, bar, rpm)

    def judge() -> Assessment:
        refuse_impossible(scenario)
        found = assess(scenario, contact_model=assessment.operations[0].clamping.model)
        if found.boring.file and abs(found.boring.highest_speed - scenario.boring.speed) > 0.5:
            raise ScenarioError(
                f"the program {found.boring.file} bores at {found.boring.highest_speed:.0f} rev/min, not at {rpm}"
            )
        return found

    return answered(judge)


def _at_state(ready: States, operation: int, bar: str, rpm: str) -> FullCheck:
    """Return every verdict at a pressure and a speed, with solids and boring path taken over."""
    named = gripping_as_named(ready.assessment.scenario, {operation: (bar, rpm)})
    gripping = named.operations[operation].gripping
    state = {operation: (gripping.pressure, gripping.speed_high)}
    return answered(lambda: with_gripping(ready, state))


def _confirmed(shown: Window, judging: _Judging, stage: str) -> Window:
    stated = _checked(shown, judging, stage, shown.stated, judging.as_stated)
    recommended, why_not = _named(shown, judging, stage, shown.recommended, "recommended point")
    dropped = [*why_not]
    fastest, why_not = _named(shown, judging, stage, shown.fastest, "highest speed", recommended)
    dropped += why_not
    return replace(shown, stated=stated, recommended=recommended, fastest=fastest, dropped=tuple(dropped))


def _named(
    shown: Window,
    judging: _Judging,
    stage: str,
    point: WindowPoint | None,
    what: str,
    floor: WindowPoint | None = None,
) -> tuple[WindowPoint | None, list[str]]:
    """Return a point as a setter can set it that the full check confirms, at `floor`'s speed or faster; or why not."""
    if point is None:
        return None, []
    fast = what == "highest speed"
    last: tuple[str, str, FullCheck] | None = None
    for bar, rpm in _settings(shown, point, fast=fast):
        if floor is not None and float(rpm) <= floor.speed:
            return replace(floor, low=None, high=None, fast=None), []
        found = judging.whole(bar, rpm)
        if judging.kept(found):
            at = point_at(shown, float(bar) / BAR, float(rpm))
            ends = replace(at, low=None, high=None, fast=None) if fast else at
            return _checked(shown, judging, stage, ends, found), []
        last = bar, rpm, found
        if judging.hopeless(found):
            break
    if last is None:
        return None, [f"The {what} lies too close to the window's borders to be set."]
    bar, rpm, found = last
    reason = found.reason or "a limit of the window is missed"
    return None, [f"The {what} is not confirmed by the full check: {bar} bar, {rpm} rev/min, {reason}."]


def _settings(shown: Window, point: WindowPoint, *, fast: bool) -> Iterator[tuple[str, str]]:
    """Yield pressures and speeds as they can be set, at a point and then inward of it, all within the window."""
    if not fast and point.speed == shown.stated.speed:
        speeds: Iterable[str] = [_plain(point.speed)]
    else:
        whole = math.floor(point.speed / SPEED_STEP + SAME)
        speeds = [f"{SPEED_STEP * (whole - k):.0f}" for k in INWARD if whole > k]
    for rpm in speeds:
        best = point.pressure if float(rpm) == point.speed else best_pressure(shown, float(rpm))
        for bar in _tenths(shown, best, float(rpm)):
            yield bar, rpm


def _tenths(shown: Window, pressure: float, speed: float) -> list[str]:
    """Return the tenths of a bar around a pressure at which the window is open: first what warns least.

    Of those that are warned of alike, that with more margin.
    """
    texts = dict.fromkeys([at_most_text(BAR * pressure, 1), at_least_text(BAR * pressure, 1)])
    margins = {t: _least(shown, float(t) / BAR, speed) for t in texts if float(t) > 0.0}
    inside = [
        t for t in margins if margins[t] >= MET and float(t) / BAR <= shown.pressures[-1] * (1.0 + SAME)
    ]
    return sorted(inside, key=lambda t: (len(point_at(shown, float(t) / BAR, speed).warns), -margins[t]))


def _least(shown: Window, pressure: float, speed: float) -> float:
    return min((margin_at(shown, c, pressure, speed) for c in shown.criteria if not c.soft), default=LARGEST)


def _plain(speed: float) -> str:
    return f"{speed:.6f}".rstrip("0").rstrip(".")


def _checked(
    shown: Window, judging: _Judging, stage: str, point: WindowPoint, found: FullCheck
) -> WindowPoint:
    """Return a point with what the full check says of it, its own margins, and ends that are confirmed, too."""
    exact = [(_exact(shown, c, found.verdicts, stage, point), c.name) for c in shown.criteria if not c.soft]
    margin, least = min(exact, default=(point.margin, point.least))
    if point.low is point.high is point.fast is None or judging.hopeless(found):
        return replace(point, margin=margin, least=least, low=None, high=None, fast=None, check=found)
    bar, rpm = _plain(BAR * point.pressure), _plain(point.speed)
    return replace(
        point,
        margin=margin,
        least=least,
        low=_end(judging, point.low, [(text, rpm) for text in _inward_bars(point, point.low, up=True)], 0),
        high=_end(
            judging, point.high, [(text, rpm) for text in _inward_bars(point, point.high, up=False)], 0
        ),
        fast=_end(judging, point.fast, [(bar, text) for text in _inward_speeds(point)], 1),
        check=found,
    )


def _exact(
    shown: Window, criterion: Criterion, verdicts: tuple[Verdict, ...], stage: str, point: WindowPoint
) -> float:
    """Return a criterion's margin as the full check has it; where it is none of its verdicts, as the window has it."""
    asked = criterion.verdict, criterion.stage or stage
    found = [v.margin for v in verdicts if (v.key, v.stage) == asked]
    interpolated = margin_at(shown, criterion, point.pressure, point.speed)
    return min([min(m, LARGEST) for m in found], default=interpolated)


def _inward_bars(point: WindowPoint, side: Side | None, *, up: bool) -> list[str]:
    """Return the end of a range of pressures as printed, and some tenths of a bar nearer to the point."""
    if side is None:
        return []
    first = float(at_least_text(BAR * side.at, 1) if up else at_most_text(BAR * side.at, 1))
    tried = [first + (0.1 if up else -0.1) * k for k in INWARD[:5]]
    here = BAR * point.pressure
    return [f"{bar:.1f}" for bar in tried if (bar < here if up else bar > here)]


def _inward_speeds(point: WindowPoint) -> list[str]:
    if point.fast is None:
        return []
    whole = math.floor(point.fast.at / SPEED_STEP + SAME)
    tried = [SPEED_STEP * (whole - k) for k in INWARD]
    return [f"{rpm:.0f}" for rpm in tried if rpm > point.speed]


def _end(judging: _Judging, side: Side | None, settings: list[tuple[str, str]], which: int) -> Side | None:
    """Return the first end that is confirmed, as printed; None where none is."""
    if side is None:
        return None
    for setting in settings:
        if judging.kept(judging.quickly(*setting)):
            number = float(setting[which])
            return replace(side, at=number if which else number / BAR)
    return None
