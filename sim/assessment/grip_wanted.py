"""What grip the verdicts on too little of it ask for, N in all: at rest, or left at a speed.

At so much each is just met, and at less it is not: what is advised, and what a gauge must read, follows from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

from sim.assessment.bodies import Surfaces, reported_surfaces
from sim.assessment.clamping import SPINDLE_ANGLES, Squeezed, made_ready, sizes_of, squeezed
from sim.assessment.figures.cut import CutDemand
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.holding import asked_for_times, grip_to_hold
from sim.assessment.part_wall import part_wall
from sim.assessment.verdicts.grip import LEAST_JAW, least_grip_of_a_jaw_and_limit, share_to_keep
from sim.base.answers import written
from sim.contact import ContactNotConverged, ContactSetup, revolve
from sim.mechanics import spin
from sim.scenario import Limits
from sim.setup.parts import Parts

NEAR = 1e-3  # share within which a grip is found
SETTLING = 4  # times that it is asked how the pressure lies
SPARED = 0.02  # share within which a grip that spares the part is found
SPARING = 0.999  # of the grip that is tried next, so that it keeps off the limit
MORE, TRIED = 1.5, 24  # times the grip that is tried next where the side load pushes the part off, and tries
Asked = Callable[[CutDemand, float], float]  # N for so many times a cut


def lost(figures: OperationFigures, speed: float) -> float:
    """Return what a speed (rev/min) takes off any grip at rest, N; inside nothing, the gain is not counted."""
    gripping = figures.operation.gripping
    if gripping.direction == "inside":
        return 0.0
    pull = 3.0 * spin.centrifugal_force(figures.grip.centrifugal_moment, speed)
    return gripping.grip_loss_share * pull


def settled(parts: Parts, figures: OperationFigures, wanted: Callable[[Asked], float]) -> float:
    """Return a grip at rest (N) that is wanted where the pressure lies along the jaws as it does under that grip.

    `wanted` gives it by what cuts ask for where the pressure lies in one way.
    """
    rest = wanted(grip_to_hold(parts, figures))
    for _ in range(SETTLING):
        if not 0.0 < rest < math.inf:
            return rest
        try:
            then = wanted(grip_to_hold(parts, figures, rest))
        except ContactNotConverged:
            return rest
        near, rest = abs(then - rest) <= NEAR * rest, then
        if near:
            break
    return rest


def rest_to_hold(
    figures: OperationFigures,
    asked: Asked,
    demands: Iterable[CutDemand],
    times: float,
) -> float:
    """Return the grip at rest (N) at which each cut is held so many times at its speed.

    `asked` is from `sim.assessment.holding.grip_to_hold`.
    """
    return max((asked(one, times) + lost(figures, one.speed) for one in demands), default=0.0)


def grip_asked(asked: Asked, demands: Iterable[CutDemand], times: float) -> float:
    """Return the grip (N, no safety) that cuts ask for which shall be held so many times; `asked` as above."""
    return max(asked_for_times(asked(one, 1.0), asked(one, times), times) for one in demands)


def rest_by_vdi(limits: Limits, figures: OperationFigures, needed: float, speed: float) -> float:
    """Return the grip at rest (N) that VDI 3106 asks for at a speed (rev/min) by what cuts need (N, no safety)."""
    return spin.required_grip_at_rest(
        needed,
        3.0 * spin.centrifugal_force(figures.grip.centrifugal_moment, speed),
        figures.operation.gripping.direction,
        limits.holding_factor,
        limits.grip_factor,
    )


def rest_to_turn(figures: OperationFigures, speed: float) -> float:
    """Return the grip at rest (N) of which a speed (rev/min) takes no more than two thirds (EN 1550); 0 inside."""
    if figures.operation.gripping.direction == "inside":
        return 0.0
    return 3.0 * spin.centrifugal_force(figures.grip.centrifugal_moment, speed) / spin.LARGEST_LOSS


def grip_to_close(parts: Parts, figures: OperationFigures) -> Callable[[float], float]:
    """Return what tells the grip at speed (N) that leaves enough on every jaw, by times of the worst side load."""
    index, outline = figures.index, figures.operation.workpiece.outline
    surfaces = reported_surfaces(part_wall(parts, index, figures.zone), outline, figures.zone)
    holding_factor = parts.scenario.limits.holding_factor

    def closing(times: float) -> float:
        setup = figures.clamping.turning
        load = setup.load
        x, y = load.side_load_n
        about_x, about_y = load.moment_nmm
        pushed = replace(
            load, side_load_n=(times * x, times * y), moment_nmm=(times * about_x, times * about_y)
        )
        return _grip_to_close(replace(setup, load=pushed), surfaces, holding_factor)

    return closing


@written
def _grip_to_close(setup: ContactSetup, surfaces: Surfaces, holding_factor: float) -> float:
    """Return the grip (N) that a contact's side load leaves enough of on every jaw, over one turn; infinite for none.

    What it takes off the least loaded jaw hardly hangs on the grip: the grip that would be enough beside that is tried
    next. Where it pushes the part off, more is tried.
    """
    ready = made_ready(setup, surfaces)
    grip = 3.0 * math.hypot(*setup.load.side_load_n)
    for _ in range(TRIED):
        load = replace(setup.load, closing_force_n=max(grip, 3.0 * LEAST_JAW))
        try:
            least = revolve(replace(setup, load=load), SPINDLE_ANGLES, ready).least_n
        except ContactNotConverged:
            grip = MORE * load.closing_force_n
            continue
        kept, must = least_grip_of_a_jaw_and_limit(least, load.closing_force_n, holding_factor)
        if 0.0 <= kept - must <= NEAR * must:
            return load.closing_force_n
        off = load.closing_force_n / 3.0 - least
        grip = (1.0 + 0.5 * NEAR) * 3.0 * max(off + LEAST_JAW, off / (1.0 - share_to_keep(holding_factor)))
    return math.inf


def grip_to_spare(
    parts: Parts, figures: OperationFigures, now: float, asked: Callable[[Squeezed], float], limit: float
) -> float:
    """Return the largest total grip (N) up to `now` under which what it does to the part keeps a limit; 0 for none.

    Parameters
    ----------
    now : float
        Total grip under which the limit is missed, N.
    asked : function
        Which figure keeps the limit.
    limit : float
        In the unit of that figure.

    Notes
    -----
    These figures fall less than in proportion: the less the grip, the less of the faces bears. Between a grip that
    keeps the limit and one that does not a power law is tried, as of a line contact at first (Hertz: its root).
    """
    index = figures.index
    wall = part_wall(parts, index, figures.zone)
    surfaces = reported_surfaces(wall, figures.operation.workpiece.outline, figures.zone)
    setup, sizes = figures.clamping.turning, sizes_of(parts, index)

    def value(grip: float) -> float:
        return asked(squeezed(setup, surfaces, wall, sizes, grip))

    try:
        high, over = now, value(now)
        if not over > limit:
            return now
        low = high
        for _ in range(TRIED):
            low *= SPARING * (limit / over) ** 2
            if low < 3.0 * LEAST_JAW:
                return 0.0
            under = value(low)
            if under <= limit:
                break
            high, over = low, under
        for _ in range(SETTLING):
            if high <= (1.0 + SPARED) * low or under <= 0.0:
                break
            power = math.log(over / under) / math.log(high / low)
            guess = low * (limit / under) ** (1.0 / power) if power > 0.0 else math.sqrt(low * high)
            guess = min(max(guess * (1.0 - 0.5 * SPARED), low * (1.0 + 0.1 * SPARED)), high)
            there = value(guess)
            low, under, high, over = (
                (guess, there, high, over) if there <= limit else (low, under, guess, there)
            )
    except ContactNotConverged:
        return 0.0
    return low


def rest_to_close(figures: OperationFigures, closing: Callable[[float], float]) -> float:
    """Return the grip at rest (N) that leaves enough on every jaw at the highest speed, as `grip_to_close` tells."""
    return closing(1.0) + lost(figures, figures.operation.gripping.speed_high)


def rest_for_weight(figures: OperationFigures, holding_factor: float) -> float:
    """Return the grip at rest (N) that alone holds the part's weight at the highest speed; 0 where it need not."""
    alone = figures.alone
    if alone is None:
        return 0.0
    if not alone.factor > 0.0:
        return math.inf
    return alone.grip * holding_factor / alone.factor + lost(figures, figures.operation.gripping.speed_high)
