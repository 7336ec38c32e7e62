"""The advice of each verdict that another pressure or speed may mend, judged by the limits of that pressure or speed.

The verdicts state what else would help; what is said of pressure and speed is put before it here, where all figures of
an operation are known together.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from operator import attrgetter

import numpy as np

from sim.assessment.advice import (
    Bound,
    Change,
    less_torque,
    lower_pressure,
    lower_speed,
    more_torque,
    raise_pressure,
    sentence,
)
from sim.assessment.clamping import Squeezed
from sim.assessment.demand import asked_speed, ends
from sim.assessment.figures.cut import CutDemand
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.grip_wanted import (
    Asked,
    grip_asked,
    grip_to_close,
    grip_to_spare,
    rest_by_vdi,
    rest_for_weight,
    rest_to_close,
    rest_to_hold,
    rest_to_turn,
    settled,
)
from sim.assessment.holding import grip_to_hold
from sim.assessment.jaws import own_pulls, screwed_as_stated, top_jaw, wedging_arm
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.across import JAW_PUSHED_ACROSS
from sim.assessment.verdicts.boring import BORING_TRAVEL, STEADY_PRESSURE
from sim.assessment.verdicts.grip import (
    CREEP,
    GRIP_AT_REST,
    GUIDEWAY_MOMENT,
    HOLDING_FACTOR,
    LARGEST_GRIP,
    LEAST_GRIP_OF_A_JAW,
    LEAST_SPEED,
    SPINDLE_SPEED,
    may_creep,
)
from sim.assessment.verdicts.jaw import (
    JAW_SEAT_STAYS_CLOSED,
    PRESSURE_UNDER_THE_HEAD,
    SCREW_TORQUE,
    SERRATIONS,
    jaw_seat_stays_closed_and_limit,
    pressure_under_the_head_and_limit,
    screw_torque_and_limit,
    seated_under,
)
from sim.assessment.verdicts.machining import HOLDING_FACTOR_EACH_MOVE, PROGRAM_SPEED
from sim.assessment.verdicts.part import (
    DISPLACEMENT_AGAINST_WALL,
    GRIP_TRAVEL,
    LOADING_CLEARANCE,
    MARKING,
    ROUNDNESS_AFTER_RELEASE,
    STRESS_AGAINST_YIELD,
)
from sim.assessment.verdicts.pockets import boring_travels
from sim.base.rounding import range_texts
from sim.mechanics import cutting, kienzle, spin
from sim.mechanics.grip import pressure_for_grip
from sim.setup.drive import drive
from sim.setup.parts import Parts

# What grows with the grip in proportion, and by which words it bounds the pressure.
STRAINED = {
    LARGEST_GRIP.key: "the chuck's largest grip",
    GUIDEWAY_MOMENT.key: "the guideway moment",
    JAW_SEAT_STAYS_CLOSED.key: "the jaw's seat",
    SERRATIONS.key: "the serrations",
    JAW_PUSHED_ACROSS.key: "what a jaw bears across it",
}
# What grows less than in proportion, since the faces then bear more evenly: a bound only where it is missed already.
SQUEEZED = {
    MARKING.key: "the marking of the part",
    ROUNDNESS_AFTER_RELEASE.key: "the part's roundness",
    STRESS_AGAINST_YIELD.key: "the stress of the part",
    DISPLACEMENT_AGAINST_WALL.key: "the part's displacement",
}
SPARES: dict[str, Callable[[Squeezed], float]] = {
    MARKING.key: attrgetter("band_peak"),
    ROUNDNESS_AFTER_RELEASE.key: attrgetter("roundness"),
    STRESS_AGAINST_YIELD.key: attrgetter("stress_share"),
    DISPLACEMENT_AGAINST_WALL.key: attrgetter("displacement"),
}
HELD = (HOLDING_FACTOR.key, HOLDING_FACTOR_EACH_MOVE.key)
LOOSE = (*HELD, GRIP_AT_REST.key, LEAST_GRIP_OF_A_JAW.key)
PROGRAMMED = (HOLDING_FACTOR_EACH_MOVE.key, PROGRAM_SPEED.key)
SPEEDS = (SPINDLE_SPEED.key, PROGRAM_SPEED.key)
TRAVELS = (LOADING_CLEARANCE.key, GRIP_TRAVEL.key, BORING_TRAVEL.key)
TORQUES = (SCREW_TORQUE.key, PRESSURE_UNDER_THE_HEAD.key)
SETTLED, SETTLING = 0.1, 200  # rev/min within which a speed has settled, and steps to it
LOWER = 20  # lower speeds that are tried, too
STEADIER = "Fit a valve that holds so low a pressure steadily."


@dataclass(frozen=True, slots=True)
class Wanted:
    """What would just meet a verdict: grip at rest (N), speed (rev/min); nan where it plays no part.

    `or_less` tells whether every lower speed meets it, too: a cut that runs slower takes more force.
    """

    rest: float
    speed: float
    or_less: bool = True


def with_remedies(
    parts: Parts,
    operations: tuple[OperationFigures, ...],
    machining: tuple[MachiningFigures | None, ...],
    verdicts: list[Verdict],
) -> list[Verdict]:
    """Return the verdicts with their advice on pressure, speed, torque and travel judged."""
    known = {
        f.operation.name: _Remedies(parts, f, m, verdicts) for f, m in zip(operations, machining, strict=True)
    }
    found = []
    for verdict in verdicts:
        met = verdict.value >= verdict.limit if verdict.at_least else verdict.value <= verdict.limit
        creeps = verdict.key in HELD and verdict.status == "warn" and may_creep(verdict.value)
        if verdict.status == "pass" or (met and not creeps):
            found.append(verdict)  # what warns for another reason says itself what to do about that
        elif verdict.key in TRAVELS:
            concerned = tuple(f for f in operations if verdict.stage in ("boring", f.operation.name))
            found.append(replace(verdict, advice=_other_travel(parts, concerned, operations, verdict)))
        elif verdict.key in TORQUES:
            found.append(replace(verdict, advice=_less_torque(parts, verdict, operations)))
        elif verdict.stage in known:
            found.append(known[verdict.stage].told(verdict))
        else:
            found.append(verdict)
    return found


def _other_travel(
    parts: Parts,
    concerned: tuple[OperationFigures, ...],
    operations: tuple[OperationFigures, ...],
    verdict: Verdict,
) -> str:
    """Say at which boring travel every operation loads and keeps its reserve, if at any."""
    for which in (operations, concerned):
        ranges = [boring_travels(parts, f) for f in which]
        low, high = max(r.low for r in ranges), min(r.high for r in ranges)
        if low <= high:
            only = "" if which == operations else ", which the other operations do not allow"
            first, last = range_texts(low, high, 2)
            return (
                f"Bore between {first} and {last} mm of the stroke{only}, or {_lower_first(verdict.advice)}"
            )
    return f"No boring travel mends it. {verdict.advice}"


def _all_allowed(allowed: Callable[[float], float], speeds: Sequence[float]) -> bool:
    """Tell whether each of some rising speeds is allowed where the spindle turns no faster.

    What is allowed is finite and rises with the speed: if at the lowest of them the highest is, so are those between.
    """
    if not speeds:
        return True
    least = allowed(speeds[0])
    if not least >= speeds[0]:
        return False
    if least >= speeds[-1]:
        return True
    half = (len(speeds) + 1) // 2
    return _all_allowed(allowed, speeds[1:half]) and _all_allowed(allowed, speeds[half:])


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]


def _torque_allowed(parts: Parts) -> tuple[float, float]:
    """Return the torque of the jaw screws, and what screw and jaw bear, N m."""
    found = screwed_as_stated(parts.scenario)
    now, by_screw = screw_torque_and_limit(parts.scenario.soft_jaw.screws.torque, found.allowed_torque)
    # The pressure under the head grows with the torque.
    pressed, borne = pressure_under_the_head_and_limit(
        found.head_pressure, parts.jaw_material.surface_pressure
    )
    return now, min(by_screw, now * (borne / pressed) if pressed > 0.0 else math.inf)


def _seat_factor(parts: Parts, figures: OperationFigures) -> float:
    """Return how many times the moment on a jaw its seat stays closed under an operation's grip."""
    factor, _ = jaw_seat_stays_closed_and_limit(seated_under(parts, figures))
    return factor


def _less_torque(parts: Parts, verdict: Verdict, operations: tuple[OperationFigures, ...]) -> str:
    """Judge less torque: the seats of all operations must stay closed with it."""
    now, allowed = _torque_allowed(parts)
    least = min((_seat_factor(parts, figures) for figures in operations), default=math.inf)
    needed = now / least if least > 0.0 else math.inf
    others = "Use a higher property class, larger screws, or lower jaws."
    if verdict.key == PRESSURE_UNDER_THE_HEAD.key:
        washer = parts.scenario.soft_jaw.screws.washer_diameter is not None
        others = "Use a harder jaw." if washer else "Use a hard washer, or a harder jaw."
    if math.isinf(needed):
        return others
    return sentence([less_torque(allowed, needed)], others)


class _Remedies:
    """One operation's pressures and speeds with what bounds them."""

    def __init__(
        self,
        parts: Parts,
        figures: OperationFigures,
        machining: MachiningFigures | None,
        verdicts: list[Verdict],
    ) -> None:
        self._parts, self._figures, self._machining = parts, figures, machining
        self._own = [v for v in verdicts if v.stage == figures.operation.name]
        self._now = 10.0 * figures.operation.gripping.pressure
        self._outside = parts.direction == "outside"

    def told(self, verdict: Verdict) -> Verdict:
        """Return a missed verdict of the operation with judged advice; one that neither mends as it is."""
        changes: list[Change] = []
        others = verdict.advice
        if verdict.key == PROGRAM_SPEED.key and verdict.limit == self._figures.operation.gripping.speed_high:
            return verdict  # no grip is asked for there: the operation is judged up to that speed only
        if verdict.key in STRAINED or verdict.key in SQUEEZED:
            changes.append(lower_pressure(self._now, self._scaled(verdict), self._lowest()))
            if verdict.key == JAW_SEAT_STAYS_CLOSED.key:
                changes += self._tighter()
        elif verdict.key in LOOSE or verdict.key in SPEEDS:
            wanted = self._wanted(verdict)
            if not math.isnan(wanted.rest):
                changes.append(self._raised(self._pressure(wanted.rest)))
            if not math.isnan(wanted.speed):
                verb = "let the program run" if verdict.key in PROGRAMMED else "run"
                slower = self._speed(verdict), wanted.speed, self._slowest()
                changes.append(lower_speed(*slower, verb, or_less=wanted.or_less))
        elif verdict.key == STEADY_PRESSURE.key:
            changes.append(self._raised(10.0 * self._parts.scenario.machine.lowest_pressure))
            others = "" if changes[0].possible else STEADIER
        else:
            return verdict
        return replace(verdict, advice=sentence(changes, others))

    def _raised(self, wanted: float) -> Change:
        return raise_pressure(self._now, wanted, list(self._highest()), unsure=list(self._unsure()))

    def _tighter(self) -> list[Change]:
        """Judge more torque for a seat that gapes: the preload it asks for grows with the torque."""
        (now, allowed), factor = _torque_allowed(self._parts), _seat_factor(self._parts, self._figures)
        return [more_torque(now, now / factor, allowed)] if factor > 0.0 else []

    def _pressure(self, rest: float) -> float:
        """Return the pressure (bar) that gives a grip at rest (N); infinite where none does."""
        height = self._figures.zone.middle + self._parts.scenario.chuck.guideway_depth
        try:
            return 10.0 * pressure_for_grip(max(rest, 0.0), height, drive(self._parts.scenario.chuck))
        except ValueError:
            return math.inf

    def _scaled(self, verdict: Verdict) -> float:
        """Return the pressure (bar) at which a verdict on what grows with the grip is just met.

        What squeezes the part falls less than the grip: it is solved for where it is missed, else told in proportion.

        What centrifugal forces add to the grip does not go down with the pressure.
        """
        rest, gain = self._figures.grip.rest_total, self._gained(verdict)
        share = SPARES.get(verdict.key)
        if share is not None and verdict.margin < 1.0:
            return self._pressure(self._sparing(rest + gain, share, verdict.limit) - gain)
        return self._pressure(verdict.margin * (rest + gain) - gain)

    @cached_property
    def _sparing(self) -> Callable[[float, Callable[[Squeezed], float], float], float]:
        """Tell the largest total grip (N) under which what it does to the part keeps a limit; several verdicts ask."""
        return cache(lambda now, share, limit: grip_to_spare(self._parts, self._figures, now, share, limit))

    def _gained(self, verdict: Verdict) -> float:
        """Return what centrifugal forces add to what the grip at rest does to a verdict, as a total grip, N.

        Inside the force of the jaws adds to the grip itself; outside the pull of the soft jaw, at the height of its
        centre of mass, loads its seat beside the grip, the heaviest jaw most.
        """
        if not self._outside:
            return 3.0 * self._figures.grip.centrifugal_per_jaw
        if verdict.key not in (JAW_SEAT_STAYS_CLOSED.key, SERRATIONS.key):
            return 0.0
        top, figures = top_jaw(self._parts), self._figures
        speed = figures.operation.gripping.speed_high
        pull = 3.0 * max(own_pulls(self._parts, top, figures.grip_travel, speed))
        if verdict.key == SERRATIONS.key:
            return pull
        arm = wedging_arm(self._parts)
        return pull * (top.height + arm) / (figures.zone.middle + arm)

    def _lowest(self) -> list[Bound]:
        """Return below what the gripping pressure may not go."""
        needed = max(self._pressure(rest) for rest in self._needed())
        return [
            Bound(
                10.0 * self._parts.scenario.machine.lowest_pressure,
                "the lowest that the hydraulics hold steadily",
            ),
            Bound(needed, "what the cuts at their speed need"),
        ]

    def _needed(self) -> Iterator[float]:
        """Yield the grips at rest (N) that cuts and speed ask for."""
        figures, times = self._figures, self._parts.scenario.limits.holding_factor
        yield self._by_vdi(figures.operation.gripping.speed_high)
        yield self._to_hold(figures.all_demands, times)
        yield rest_to_close(figures, self._closing)
        yield rest_for_weight(figures, times)

    def _highest(self) -> Iterator[Bound]:
        """Yield above what the gripping pressure may not go."""
        chuck, machine = self._parts.scenario.chuck, self._parts.scenario.machine
        yield Bound(10.0 * chuck.pressure_limit, "the chuck's pressure limit")
        yield Bound(10.0 * machine.pressure_limit, "the machine's pressure limit")
        for verdict in self._own:
            if verdict.key in STRAINED and math.isfinite(verdict.margin):
                yield Bound(self._scaled(verdict), STRAINED[verdict.key])
            elif self._bounds(verdict) and verdict.margin < 1.0:
                yield Bound(min(self._now, self._scaled(verdict)), SQUEEZED[verdict.key])

    def _unsure(self) -> Iterator[Bound]:
        """Yield about where marking and roundness would be missed."""
        for verdict in self._own:
            if self._bounds(verdict) and 1.0 <= verdict.margin < math.inf:
                yield Bound(self._scaled(verdict), SQUEEZED[verdict.key])

    def _bounds(self, verdict: Verdict) -> bool:
        may_mark = verdict.key == MARKING.key and self._figures.operation.marking_allowed
        return verdict.key in SQUEEZED and not may_mark

    def _slowest(self) -> Bound:
        low = self._figures.operation.gripping.speed_low
        if low >= LEAST_SPEED:
            return Bound(low, "the operation's lowest (gripping.speed_low)")
        return Bound(LEAST_SPEED, "the least that is advised")

    def _speed(self, verdict: Verdict) -> float:
        """Return the speed at which a verdict is judged now."""
        if verdict.key in SPEEDS:
            return verdict.value
        if verdict.key in HELD:
            return max(demand.speed for demand in self._held(verdict))
        return self._figures.operation.gripping.speed_high

    def _held(self, verdict: Verdict) -> tuple[CutDemand, ...]:
        """Return the cuts of which a verdict says how they are held."""
        figures = self._figures
        return figures.demands if verdict.key == HOLDING_FACTOR.key else figures.demands_of_moves

    @cached_property
    def _grip(self) -> Callable[[CutDemand, float], float]:
        return cache(grip_to_hold(self._parts, self._figures))

    @cached_property
    def _closing(self) -> Callable[[float], float]:
        return cache(grip_to_close(self._parts, self._figures))

    def _wanted(self, verdict: Verdict) -> Wanted:
        """Return grip at rest and speed at which a verdict on too little grip, or too much speed, is just met."""
        if verdict.key in HELD:
            return self._hold(verdict)
        if verdict.key in SPEEDS:
            return self._turn(verdict)
        return self._rest() if verdict.key == GRIP_AT_REST.key else self._close()

    def _hold(self, verdict: Verdict) -> Wanted:
        limit, demands = self._parts.scenario.limits.holding_factor, self._held(verdict)
        # Met, it is told because the part may creep.
        times = limit if verdict.value < limit else max(limit, CREEP)

        def allowed(speed: float) -> float:
            """Return the highest speed at which all cuts are held that run at `speed` or slower; infinite at that."""
            slower = (
                (min(one.speed, speed), self._speed_at(self._grip_grown(one, times, speed)))
                for one in demands
            )
            return min((then for run, then in slower if then < run), default=math.inf)

        rest = self._to_hold(demands, times)
        return Wanted(rest, *self._settled(allowed)) if self._outside else Wanted(rest, math.nan)

    @cached_property
    def _to_hold(self) -> Callable[[tuple[CutDemand, ...], float], float]:
        """Tell the grip at rest (N) that holds each of some cuts so many times; several verdicts ask."""

        def held(demands: tuple[CutDemand, ...], times: float) -> float:
            figures = self._figures
            return settled(self._parts, figures, lambda asked: rest_to_hold(figures, asked, demands, times))

        return cache(held)

    def _rest(self) -> Wanted:
        rest = self._by_vdi(self._figures.operation.gripping.speed_high)
        return Wanted(rest, *self._settled(self._permitted)) if self._outside else Wanted(rest, math.nan)

    def _permitted(self, speed: float) -> float:
        """Return the speed (rev/min) that VDI 3106 permits where the cuts run no faster than `speed`."""
        grip, limits = self._figures.grip, self._parts.scenario.limits
        return spin.permissible_speed(
            grip.rest_total,
            self._asked(speed),
            3.0 * grip.centrifugal_moment,
            grip.permissible.marked,
            self._parts.direction,
            limits.holding_factor,
            limits.grip_factor,
        ).by_cutting

    def _asked(self, speed: float) -> float:
        """Return the grip (N, no safety) that cuts which run no faster than a speed (rev/min) ask for."""
        return grip_asked(
            lambda one, times: self._grip_grown(one, times, speed),
            self._figures.all_demands,
            self._parts.scenario.limits.holding_factor,
        )

    def _grip_grown(self, demand: CutDemand, times: float, speed: float) -> float:
        """Return no less than the grip (N) that holds a cut so many times which runs no faster than `speed` (rev/min).

        It is convex in the cut's force: the chord from that of now to that at the lowest speed lies above it.
        """
        now, most = 1.0, self._growth(demand, self._slowest().value)
        then = self._growth(demand, speed)
        held = self._grip(demand, times)
        if then <= now:
            return held
        return held + (then - now) / (most - now) * (self._grip(demand, times * most) - held)

    def _settled(self, allowed: Callable[[float], float], *, costly: bool = False) -> tuple[float, bool]:
        """Return the highest speed (rev/min) that is allowed although cuts take more force when they run slower.

        Parameters
        ----------
        allowed : callable
            Speed that is allowed where the spindle turns no faster than one given, at which the cuts take more force;
            rises with it.
        costly : bool
            As few of the lower ones are asked as tell of all; `allowed` is finite.

        Returns
        -------
        (float, bool)
            0 where there is none; whether every lower one that may be set is allowed, too.
        """
        speed = allowed(math.inf)
        for _ in range(SETTLING):
            if not 0.0 < speed < math.inf:
                return speed, True
            slower = min(speed, allowed(speed))
            if speed - slower < SETTLED:
                lower = np.linspace(min(self._slowest().value, slower), slower, LOWER)[:-1]
                each = (
                    _all_allowed(allowed, lower.tolist()) if costly else all(allowed(n) >= n for n in lower)
                )
                return slower, each
            speed = slower
        return 0.0, True

    def _growth(self, demand: CutDemand, speed: float) -> float:
        """Return how many times its force of now a cut takes where the spindle turns no faster than `speed`."""
        operation, run, diameter = self._figures.operation, demand.speed, demand.forces.diameter
        if demand in self._figures.demands:
            cut = operation.cuts[self._figures.demands.index(demand)]
            if cut.forces is not None or cut.rotating_tool:
                return 1.0
            run = min(run, asked_speed(cut))  # at which its force was worked out
            diameter, _ = ends(cut)
        now, then = (kienzle.speed_factor(cutting.cutting_speed(diameter, n)) for n in (run, min(run, speed)))
        return then / now

    def _turn(self, verdict: Verdict) -> Wanted:
        """Return what a speed asks for: the grip where grip is what limits it, else nothing but another speed."""
        grip = self._figures.grip
        if verdict.limit >= grip.permissible.marked * (1.0 - 1e-9) or (
            verdict.limit >= self._parts.scenario.machine.speed_limit * (1.0 - 1e-9)
        ):
            return Wanted(math.nan, verdict.limit)
        found = self._settled(lambda speed: min(verdict.limit, self._permitted(speed)))
        return Wanted(max(self._by_vdi(verdict.value), rest_to_turn(self._figures, verdict.value)), *found)

    @cached_property
    def _by_vdi(self) -> Callable[[float], float]:
        """Tell the grip at rest (N) that VDI 3106 asks for at a speed (rev/min); several verdicts ask."""
        figures, limits = self._figures, self._parts.scenario.limits

        def needed(asked: Asked) -> float:
            return grip_asked(asked, figures.all_demands, limits.holding_factor)

        def asked_for(speed: float) -> float:
            return settled(
                self._parts, figures, lambda asked: rest_by_vdi(limits, figures, needed(asked), speed)
            )

        return cache(asked_for)

    def _close(self) -> Wanted:
        figures = self._figures

        def allowed(speed: float) -> float:
            more = max(self._growth(one, speed) for one in figures.all_demands)
            return self._speed_at(self._closing(more))

        rest = rest_to_close(figures, self._closing)
        return Wanted(rest, *self._settled(allowed, costly=True)) if self._outside else Wanted(rest, math.nan)

    def _speed_at(self, left: float) -> float:
        """Return the speed (rev/min) at which an outside grip (N) is left."""
        grip, gripping = self._figures.grip, self._figures.operation.gripping
        if math.isinf(left):
            return 0.0
        return spin.speed_at_grip(
            grip.rest_total, left, 3.0 * grip.centrifugal_moment, gripping.grip_loss_share
        )
