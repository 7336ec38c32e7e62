"""What a dial's readings say against the scenario: scatter that it states too small, limits that are gone already."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.mechanics.run_out import ALIKE_WORST
from sim.readings.dial_fit import LEAST_SPAN, OF_JAW, DialFit
from sim.readings.findings import BY_BOUNDS, Finding
from sim.readings.fit import Estimate
from sim.readings.scatters import MOST_OFF, needed

WORDS = {
    "repeat_scatter": "scatter of a jaw's force from clamping to clamping",
    "stiffness_scatter": "how unlike the jaws yield",
    "rebolted_along": "jaws bolted on again, along",
    "rebolted_across": "jaws bolted on again, across",
    "rebolted_up": "jaws bolted on again, up or down",
}
NOT_TOLD = (
    "friction_scatter (it drifts with the force as unlike stiffness does: all of it counts as stiffness_scatter), "
    "travel_error, spindle, chuck_moved and lobes"
)


def dial_findings(found: DialFit) -> tuple[Finding, ...]:
    """Return what does not agree and what is not told, the serious first."""
    every = [
        *_impossible(found),
        *_repeat(found),
        *_remount(found),
        *_up(found),
        *_drift(found),
        *_limits(found),
        *_few(found),
        *_held(found),
    ]
    return tuple(sorted(every, key=lambda f: (not f.rejects, not f.serious)))


def um(estimate: Estimate) -> str:
    """Return a length (mm) with its bounds in words."""
    value, low, high = (f"{1000.0 * v:.3g}" for v in (estimate.value, estimate.low, estimate.high))
    return f"{value} µm (held)" if estimate.held else f"{value} µm ({low} to {high})"


def share(estimate: Estimate) -> str:
    """Return a share with its bounds in words."""
    value, low, high = (f"{v:.3g}" for v in (estimate.value, estimate.low, estimate.high))
    return f"{value} (held)" if estimate.held else f"{value} ({low} to {high})"


def _impossible(found: DialFit) -> Iterator[Finding]:
    for name in ("repeat_scatter", "stiffness_scatter"):
        estimate = found.fields[name]
        if estimate.held or estimate.high <= 1.0:
            continue
        sure = estimate.low > 1.0
        yield Finding(
            "too much",
            f"{WORDS[name]} would be {share(estimate)} of all of it, and a share is at most 1: "
            + (
                "the part was put in at other angles, the unit is not that of the header, or chips lay in the jaws."
                if sure
                else "the readings are too few or scatter too much to state it; it is left as in the scenario."
            ),
            serious=True,
            basis=BY_BOUNDS,
            rejects=sure,
        )


def _contradicted(
    field: str, stated: str, measured: Estimate | None, allowed: float, words: str
) -> Iterator[Finding]:
    """Say that what was measured is surely more than what a field allows."""
    if measured is None or measured.low <= allowed:
        return
    yield Finding(
        field,
        f"{words} {um(measured)}, more than the {1000.0 * allowed:.3g} µm that {stated} let expect.",
        serious=True,
        basis=BY_BOUNDS,
    )


def _repeat(found: DialFit) -> Iterator[Finding]:
    running = found.dialled.running
    force = float(found.dialled.force.max())
    measured = None if found.repeat_shift is None else found.repeat_shift.times(force)
    # What the scenario counts is with jaws that yield freely along the part, rho = 1.
    allowed = running.repeat_scatter * force / found.dialled.springs.radial / OF_JAW
    stated = f"running.repeat_scatter {running.repeat_scatter:g} and chuck.radial_stiffness"
    words = f"from clamping to clamping the part stands off by (standard deviation, at {force / 1000.0:.1f} kN a jaw)"
    yield from _contradicted("clamping anew", stated, measured, allowed, words)


def _remount(found: DialFit) -> Iterator[Finding]:
    running, rho = found.dialled.running, found.dialled.rho
    along, across = running.rebolted_along, running.rebolted_across
    allowed = max(math.hypot(one * along, (1.0 - one) * across) for one in (rho, 1.0)) / OF_JAW
    stated = f"running.rebolted_along {1000.0 * along:g} µm and rebolted_across {1000.0 * across:g} µm"
    words = "from one mounting of the jaws to the next the part stands off by (standard deviation)"
    yield from _contradicted("jaws bolted on again", stated, found.remount_shift, allowed, words)


def _up(found: DialFit) -> Iterator[Finding]:
    radius = found.dialled.springs.seat_radius
    if found.remount_lean is None or radius <= 0.0:
        return
    up = found.dialled.running.rebolted_up
    stated = f"running.rebolted_up {1000.0 * up:g} µm"
    words = f"from one mounting to the next the seats rise, over a radius of {radius:.1f} mm, by (standard deviation)"
    yield from _contradicted(
        "jaws bolted on again", stated, found.remount_lean.times(radius), up / OF_JAW, words
    )


def _drift(found: DialFit) -> Iterator[Finding]:
    setup = found.dialled
    if found.drift is None:
        return
    force = float(setup.force.max())
    yields = 1.0 / setup.springs.radial + setup.springs.lever**2 / setup.springs.tilting
    allowed = ALIKE_WORST * setup.running.stiffness_scatter * yields * force
    stated = f"running.stiffness_scatter {setup.running.stiffness_scatter:g} and the chuck's stiffnesses"
    words = f"up to {force / 1000.0:.1f} kN a jaw the part drifts by"
    yield from _contradicted("unlike stiffness", stated, found.drift.times(force), allowed, words)


def _limits(found: DialFit) -> Iterator[Finding]:
    setup = found.dialled
    if found.run_out is not None and found.run_out.low > setup.runout_limit:
        yield Finding(
            "run-out",
            f"the dial moves by {um(found.run_out)}, more than runout_limit {1000.0 * setup.runout_limit:g} µm; what "
            "the part itself runs out is in it.",
            serious=True,
            basis=BY_BOUNDS,
        )
    if found.lean is not None and found.lean.times(setup.face).low > setup.squareness_limit:
        yield Finding(
            "squareness",
            f"over a diameter of {setup.face:.0f} mm the part leans by {um(found.lean.times(setup.face))}, more than "
            f"squareness_limit {1000.0 * setup.squareness_limit:g} µm; what the part itself is out of square is in it.",
            serious=True,
            basis=BY_BOUNDS,
        )


def _few(found: DialFit) -> Iterator[Finding]:
    for name, estimate in found.fields.items():
        if estimate.held or estimate.high <= MOST_OFF * estimate.value:
            continue
        yield Finding(
            "few readings",
            f"{WORDS[name]}: the upper bound, which is written, is over {MOST_OFF:g} times what was found; "
            f"{needed()} clampings or mountings on a dial fine enough bring it within that.",
            serious=False,
            basis=BY_BOUNDS,
        )


def _held(found: DialFit) -> Iterator[Finding]:
    for name, why in found.reasons.items():
        yield Finding(
            "not determined",
            f"{WORDS[name]} (running.{name}): {why}, so it stays as in the scenario.",
            serious=False,
            basis="places of the readings",
        )
    if found.lean is None:
        yield Finding(
            "not determined",
            f"lean of the part: it takes clampings read on a face or at two heights {LEAST_SPAN:g} mm apart.",
            serious=False,
            basis="places of the readings",
        )
    yield Finding(
        "not determined",
        f"{NOT_TOLD} are told by no reading of a dial on a part put in at one angle; they stay as in the scenario.",
        serious=False,
        basis="derived",
    )


def usable_fields(found: DialFit) -> dict[str, Estimate]:
    """Return the fields that a scenario can take: found, and a share of 1 at most."""
    shares = ("repeat_scatter", "stiffness_scatter")
    return {
        name: e for name, e in found.fields.items() if not e.held and (name not in shares or e.high <= 1.0)
    }
