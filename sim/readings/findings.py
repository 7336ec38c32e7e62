"""What the readings say against the scenario: its chuck's data, its grease, its jaws, single readings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy import stats

from sim.base.unit_words import percent
from sim.readings.fit import CONFIDENCE, Estimate, Fitted, usable
from sim.readings.hysteresis import hysteresis, untold

DOUBT = 0.01  # probability below which readings contradict what they are compared with
GREASED, DRY = 0.08, 0.25  # friction of wedge and guideway (common practice, no source)
LITTLE_GREASE = 0.15  # end of the greased range, about halfway (common practice, no source)
OF_GREASE = (
    f"common practice, no source: about {GREASED:g} greased, up to {LITTLE_GREASE:g} still greased, {DRY:g} and more "
    "without grease"
)
# Friction below which no greased wedge and guideway is: steel on steel, sliding, greased 0.04 to 0.25 (a formula bank,
# easymanua.ls 691667, page 323).
SLIPPERY = 0.04
MORE = 0.05  # share beyond the chuck's data from which on readings are rejected: twice what a gauge may err
SCATTER = 0.15  # of the mean force, beyond which readings contradict each other
SERIOUS_HYSTERESIS = 0.05
BY_F = f"F test of least squares, level {percent(DOUBT)}"
BY_BOUNDS = f"{percent(CONFIDENCE)} bounds of the fit"


@dataclass(frozen=True, slots=True)
class Finding:
    """One sentence on the readings.

    Attributes
    ----------
    kind, text, basis : str
    serious : bool
        The setup must not be relied on before it is cleared up.
    rejects : bool
        The readings cannot be those of this chuck, or would make it stronger than its data: nothing is taken from them.
    """

    kind: str
    text: str
    serious: bool
    basis: str
    rejects: bool = False


def findings(found: Fitted, gauge: float | None = None) -> tuple[Finding, ...]:
    """Return what does not agree and what is not determined, the serious first; the gauge's stiffness in N/mm."""
    every = [
        *_scatter(found),
        *_hysteresis(found),
        *_against_data(found),
        *_too_much(found),
        *_grease(found),
        *_slippery(found),
        *_loss(found),
        *_offset(found),
        *_outliers(found),
        *_held(found),
        *_stiffness(found, gauge),
    ]
    return tuple(sorted(every, key=lambda f: (not f.rejects, not f.serious)))


def bounds(estimate: Estimate, form: str = "{:.2f}") -> str:
    """Return a value with its bounds in words."""
    value, low, high = (form.format(v) for v in (estimate.value, estimate.low, estimate.high))
    return f"{value} (held)" if estimate.held else f"{value} ({low} to {high})"


def _against_data(found: Fitted) -> Iterator[Finding]:
    if found.stated_probability >= DOUBT:
        return
    setup = found.gauged
    share = float(setup.readings.force.sum() / found.stated_predicted.sum()) - 1.0
    word = "less" if share < 0.0 else "more"
    data = {
        "efficiency": f"chuck.efficiency {setup.stated_scale:g} and chuck.guideway_friction {setup.stated_friction:g}",
        "share of the stated pull": f"chuck.largest_pull and chuck.guideway_friction {setup.stated_friction:g}",
        "share of the chuck's grip points": "chuck.grip_points",
    }[setup.scaled]
    chance = found.stated_probability
    rare = f"{percent(chance, 1)}" if chance >= 0.001 else "under 0.1\u00a0%"
    yield Finding(
        "chuck's data",
        f"the readings contradict the chuck's data: over all they give {percent(abs(share))} {word} force than {data} "
        f"let expect (probability of that if these are right: {rare}).",
        serious=True,
        basis=BY_F,
        rejects=share > MORE,
    )


def _too_much(found: Fitted) -> Iterator[Finding]:
    scale = found.scale
    if found.gauged.scaled != "efficiency" or scale.value <= 1.0:
        return
    sure = scale.low > 1.0
    yield Finding(
        "efficiency",
        f"an efficiency of {bounds(scale)} is more than the whole pull: "
        + (
            "chuck.piston_area, chuck.wedge_angle or the gauge is not as stated."
            if sure
            else "the file for scenarios holds it at 1; readings at heights farther apart would tell it better."
        ),
        serious=sure,
        basis=f"{BY_BOUNDS}; an efficiency is at most 1",
        rejects=sure,
    )


def _grease(found: Fitted) -> Iterator[Finding]:
    friction = found.friction
    if friction.held or friction.value <= LITTLE_GREASE:
        return
    sure = friction.low > LITTLE_GREASE
    or_pull, held = "", ""
    if found.scale.held:
        or_pull = " or to less pull than stated"
        held = f", with {found.gauged.scaled} held at {found.scale.value:g},"
    yield Finding(
        "grease",
        f"a friction of {bounds(friction)} in wedge and guideway{held} {'points' if sure else 'may point'} to "
        f"missing grease{or_pull}: the greased range ends at {LITTLE_GREASE:g}; grease the chuck and measure again.",
        serious=sure,
        basis=OF_GREASE,
    )


def _loss(found: Fitted) -> Iterator[Finding]:
    loss = found.loss
    if loss.held:
        return
    if loss.low > 1.0:
        yield Finding(
            "jaws",
            f"speed changes the force by {bounds(loss)} times the centrifugal force of these jaws, which is more than "
            "all of it: heavier jaws were on the chuck, or it has lost pressure at speed.",
            serious=True,
            basis=BY_BOUNDS,
            rejects=True,
        )
    elif loss.high < 0.0:
        yield Finding(
            "jaws",
            f"the force changes with speed against its direction ({bounds(loss)} of the centrifugal force): the gauge "
            "was gripped the other way round, or pressures differ.",
            serious=True,
            basis=BY_BOUNDS,
            rejects=True,
        )


def _scatter(found: Fitted) -> Iterator[Finding]:
    share = found.scatter / float(found.gauged.readings.force.mean())
    if share > SCATTER:
        yield Finding(
            "scatter",
            f"the readings contradict each other: they scatter about the fit by {percent(share)} of their mean, and a "
            "gauge by a few hundredths.",
            serious=True,
            basis=f"common practice, no source: {percent(SCATTER)}, more than hysteresis of a worn chuck explains",
            rejects=True,
        )


def _hysteresis(found: Fitted) -> Iterator[Finding]:
    told, why = hysteresis(found.gauged.readings), untold(found.gauged.readings)
    if why:
        yield Finding(
            "not determined",
            f"hysteresis: {why}; friction keeps force while the pressure falls, and a part is gripped with rising "
            "pressure.",
            serious=False,
            basis="places of the readings",
        )
    if told is None:
        return
    word = "more" if told.share > 0.0 else "less"
    pairs = "1 pair" if told.pairs == 1 else f"{told.pairs} pairs"
    yield Finding(
        "hysteresis",
        f"with falling pressure the gauge reads {percent(abs(told.share))} {word} than with rising pressure ({pairs}; "
        f"most between lines {told.lines[0]} and {told.lines[1]}, {percent(abs(told.largest))} at "
        f"{10.0 * told.pressure:.3g} bar): the fit lies between them, and a part is gripped with "
        "rising pressure; fit those readings alone.",
        serious=abs(told.share) >= SERIOUS_HYSTERESIS,
        basis=f"readings of one height and speed in the order of their lines; common practice, no source: from "
        f"{percent(SERIOUS_HYSTERESIS)} on it counts",
    )


def _slippery(found: Fitted) -> Iterator[Finding]:
    friction = usable(found).friction
    if friction.held or friction.high >= SLIPPERY:
        return
    yield Finding(
        "grease",
        f"a friction of {bounds(friction, '{:.3f}')} in wedge and guideway is less than any grease leaves: forces, "
        "units or pressures are not as the header says (is the total force taken for that of one jaw?).",
        serious=True,
        basis=f"no lubricated guideway stays below {SLIPPERY:g} (a public table of sliding friction, steel on steel)",
        rejects=True,
    )


def _offset(found: Fitted) -> Iterator[Finding]:
    """Look for a force that is missing (or too much) at every pressure: seals, a spring, a gauge not set to zero."""
    setup = found.gauged
    columns = [np.ones(setup.readings.count), setup.unit_force(found.friction.value)]
    if not found.loss.held:
        columns.append(setup.centrifugal)
    freedom = setup.readings.count - len(columns)
    if freedom < 1 or float(np.ptp(setup.readings.pressure)) == 0.0:
        return
    design = np.column_stack(columns)
    change, _, rank, _ = np.linalg.lstsq(design, found.residual, rcond=None)
    if rank < len(columns):
        return
    left = found.residual - design @ change
    variance = float(left @ left) / freedom
    spread = float(np.sqrt(variance * np.linalg.inv(design.T @ design)[0, 0]))
    if spread <= 0.0 or 2.0 * stats.t.sf(abs(change[0]) / spread, freedom) >= DOUBT:
        return
    low = change[0] < 0.0
    yield Finding(
        "offset",
        f"{abs(change[0]) / 1000.0:.2f} kN per jaw are {'missing' if low else 'left over'} at every pressure: the "
        f"force is not proportional to it ({'seals or a return spring take their share' if low else 'a preload'}, "
        "or the gauge was not set to zero).",
        serious=False,
        basis=f"t test of what the fit leaves, level {percent(DOUBT)}",
    )


def _outliers(found: Fitted) -> Iterator[Finding]:
    """Name readings too far off for their number; they still count."""
    count = found.residual.size
    if found.scatter <= 0.0 or found.freedom < 2:
        return
    squares = float(found.residual @ found.residual)
    without = np.sqrt(np.maximum(squares - found.residual**2, 1e-30) / (found.freedom - 1))
    far = np.abs(found.residual) / without
    limit = float(stats.t.isf(0.5 * DOUBT / count, found.freedom - 1))
    for row in np.flatnonzero(far > limit):
        yield Finding(
            "single reading",
            f"line {found.gauged.readings.line[row]} lies {found.residual[row] / 1000.0:+.2f} kN off the fit, "
            f"{far[row]:.1f} standard deviations of the others; it counts, but look at it again.",
            serious=False,
            basis=f"t test of each reading against the others, level {percent(DOUBT)} over all readings",
        )


REMEDIES = {
    "scale": "readings at heights farther apart would tell it from the friction",
    "friction": "readings at heights farther apart would tell",
    "loss": "readings at rest and at higher speeds would tell",
}


def _held(found: Fitted) -> Iterator[Finding]:
    words = {
        "scale": found.gauged.scaled,
        "friction": "friction of wedge and guideway",
        "loss": "loss by speed",
    }
    values = {"scale": found.scale, "friction": found.friction, "loss": found.loss}
    for name, why in found.reasons.items():
        yield Finding(
            "not determined",
            f"{words[name]}: {why}, so it is held at {values[name].value:g}, as in the scenario; {REMEDIES[name]}.",
            serious=False,
            basis=BY_BOUNDS if "bounds" in why else "places of the readings",
        )


def _stiffness(found: Fitted, gauge: float | None) -> Iterator[Finding]:
    if stiffness(found, gauge) is not None:
        return
    stated = found.gauged.stated_stiffness / 1000.0
    if gauge is None:
        why = "the gauge's stiffness is not stated (--gauge-stiffness)"
    elif found.loss.held:
        why = "it follows from the loss by speed, which is not determined"
    else:
        why = f"the loss by speed, {found.loss.value:.2f} of the centrifugal force, is none of two springs"
    yield Finding(
        "not determined",
        f"stiffness of one jaw's drive: {why}; it stays as in the scenario, {stated:g} kN/mm.",
        serious=False,
        basis="two springs under one load",
    )


def stiffness(found: Fitted, gauge: float | None) -> Estimate | None:
    """Return the stiffness of one jaw's drive and guideway (N/mm) from a gauge's stiffness per jaw (N/mm).

    Two springs under one load: lam = k_gauge / (k_gauge + k_chuck). None where the gauge's stiffness is not known, or
    the loss share is not found or does not lie between 0 and 1.
    """
    loss = found.loss
    if gauge is None or loss.held or not 0.0 < loss.value < 1.0:
        return None

    def chuck(share: float) -> float:
        return gauge * (1.0 - share) / share if share > 0.0 else np.inf

    return Estimate(chuck(loss.value), chuck(min(loss.high, 1.0)), chuck(max(loss.low, 0.0)))
