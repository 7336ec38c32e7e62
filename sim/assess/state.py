"""A judged setup at other states: another travel, pressure, speed, spindle angle, part size or place on the path.

A state is judged by the same functions as the scenario: its figures are those that `check` gives for the file with
the state's pressure and highest speed written into it. What costs time (solids, compliances of part and jaw, the
stock along the path) is taken over from the assessment, so that a state costs milliseconds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim import spin, stroke
from sim.assess.bodies import contact_setup, off_first_jaw
from sim.assess.clamping import prepared_contact
from sim.assess.operation import grip_part
from sim.assess.verdicts import in_order
from sim.assess.verdicts_grip import grip_verdicts
from sim.assess.verdicts_jaw import seat_verdicts
from sim.assess.verdicts_part import part_verdicts
from sim.assessment import Assessment, OperationFigures, Verdict
from sim.clearance.standing import Standing, Track, standing, track
from sim.contact import ContactNotConverged, ContactResult, GripLoad, Prepared, band_means, press, turned
from sim.loading import face_width
from sim.parts import Parts
from sim.scenario import Scenario

Floats = NDArray[np.float64]
LEAST_PRESSURE = 1e-3  # MPa; a grip of nothing has no contact to solve


@dataclass(frozen=True, slots=True, eq=False)
class States:
    """A judged setup and what all its states share: compliances of each operation, the stock along the path."""

    assessment: Assessment
    prepared: tuple[Prepared, ...]
    track: Track


@dataclass(frozen=True, slots=True, eq=False)
class GripState:
    """One operation at one state.

    Attributes
    ----------
    operation : int
    travel : float
        Asked for, mm.
    pressure, speed, spindle_angle : float
        MPa, rev/min, rad.
    gripped_diameter : float
        Of the part that is gripped, mm.
    side_force : float
        Across the spindle on the part, fixed in space: at angle 0 it pushes off jaw 1, N.
    touch_travel : float
        Travel at the first touch of that part, mm.
    jaw_travel : float
        Where the jaws stand: at the travel asked for, or where the part stops them, mm.
    gap : float
        Least radial distance of part and faces, mm; 0 when gripped.
    gripped : bool
        The jaws have reached the part.
    grip : (3,) array
        Of each jaw at the speed, N; zeros when open or when nothing is left.
    contact : ContactResult or None
        None when open, when no grip is left, or when the part is not held.
    bands : array or None
        Band-mean pressure, MPa, (3, bands in z, bands around).
    figures : OperationFigures
        The operation at this pressure with this highest speed, as `check` gives them.
    verdicts : tuple of Verdict
        Of the operation, worst first, judged on `figures`.
    """

    operation: int
    travel: float
    pressure: float
    speed: float
    spindle_angle: float
    gripped_diameter: float
    side_force: float
    touch_travel: float
    jaw_travel: float
    gap: float
    gripped: bool
    grip: Floats
    contact: ContactResult | None
    bands: Floats | None
    figures: OperationFigures
    verdicts: tuple[Verdict, ...]

    @property
    def total(self) -> float:
        """Sum over the jaws, N."""
        return float(self.grip.sum())

    @property
    def band_peak(self) -> float:
        """Largest band-mean pressure, MPa; 0 without contact."""
        return 0.0 if self.bands is None else float(self.bands.max())


def states(assessment: Assessment) -> States:
    """Return an assessment made ready for its states.

    Raises
    ------
    ScenarioError
        If outline, face and jaw of an operation do not fit together.
    """
    boring = assessment.boring
    prepared = tuple(
        prepared_contact(assessment.parts, f.index, f.zone, f.clamping.model) for f in assessment.operations
    )
    return States(assessment, prepared, track(boring.moves, boring.tools, boring.bodies, boring.stock))


def at(
    ready: States,
    operation: int,
    *,
    travel: float | None = None,
    pressure: float | None = None,
    speed: float | None = None,
    spindle_angle: float = 0.0,
    gripped_diameter: float | None = None,
    side_force: float = 0.0,
) -> GripState:
    """Return an operation at a state; what is not given is as the scenario has it, gripped, at its lowest speed.

    Parameters
    ----------
    ready : States
    operation : int
    travel : float, optional
        Of the jaws, mm; beyond the part they stand on it.
    pressure : float, optional
        Actuating pressure, MPa.
    speed : float, optional
        Spindle speed, rev/min; it counts as the operation's highest speed.
    spindle_angle : float
        rad, counter-clockwise from the tailstock.
    gripped_diameter : float, optional
        Size of the part, mm; the middle of its tolerance if not given.
    side_force : float
        N, see `GripState`.

    Raises
    ------
    ValueError
        If a value is not finite, or lies outside of what the setup allows.
    """
    first = ready.assessment.operations[operation]
    stated = first.operation
    work = stated.workpiece
    size = _in_range(
        "gripped_diameter", gripped_diameter, work.gripped_diameter_low, work.gripped_diameter_high, "mm"
    )
    place = _in_range("travel", travel, 0.0, ready.assessment.scenario.chuck.stroke, "mm")
    pressure = stated.gripping.pressure if pressure is None else pressure
    speed = stated.gripping.speed_low if speed is None else speed
    _require_positive(pressure=pressure)
    for name, value in (("speed", speed), ("spindle_angle", spindle_angle), ("side_force", side_force)):
        if not math.isfinite(value) or (value < 0.0 and name != "spindle_angle"):
            raise ValueError(f"{name} must be finite and 0 or more, found {value:g}")
    parts = _edited(ready.assessment.parts, operation, pressure, speed)
    figures = grip_part(parts, operation, first.clamping.model, ready.prepared[operation])
    verdicts = (
        *part_verdicts(parts, ready.assessment.boring, figures),
        *grip_verdicts(parts, figures),
        *seat_verdicts(parts, figures),
    )
    middle = 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high)
    diameter = middle if size is None else size
    touch = _touch_travel(parts, figures, diameter)
    wanted = max(touch, figures.grip_travel) if place is None else place
    gripped = wanted >= touch - 1e-9
    jaw_travel = min(touch, wanted)
    contact = _contact(ready, parts, figures, speed, diameter, side_force, spindle_angle) if gripped else None
    return GripState(
        operation=operation,
        travel=wanted,
        pressure=pressure,
        speed=speed,
        spindle_angle=spindle_angle,
        gripped_diameter=diameter,
        side_force=side_force,
        touch_travel=touch,
        jaw_travel=jaw_travel,
        gap=0.0 if gripped else gap_at(parts, operation, jaw_travel, diameter),
        gripped=gripped,
        grip=np.zeros(3) if contact is None else contact.grip_n,
        contact=contact,
        bands=None if contact is None else band_means(contact),
        figures=figures,
        verdicts=in_order(verdicts),
    )


def gap_at(parts: Parts, operation: int, travel: float, diameter: float) -> float:
    """Return the least radial distance (mm) of part and bored faces at a travel; negative where they overlap."""
    scenario = parts.scenario
    pocket = scenario.pocket_of(scenario.operations[operation])
    return stroke.loading_clearance(
        0.5 * diameter,
        0.5 * pocket.diameter,
        face_width(scenario),
        scenario.boring.travel - travel,
        parts.direction,
    )


def on_path(ready: States, position: float) -> Standing:
    """Return the boring tool at a place of its path (mm along it), and what it is nearest to there.

    Raises
    ------
    ValueError
        If the jaws need no boring, so that there is no path, or the position is not a number.
    """
    return standing(ready.track, position)


def _edited(parts: Parts, index: int, pressure: float, speed: float) -> Parts:
    """Return the parts under a scenario with this pressure and highest speed in one operation."""
    scenario = parts.scenario
    operation = scenario.operations[index]
    low = min(operation.gripping.speed_low, speed)
    grip = operation.gripping.model_copy(update={"pressure": pressure, "speed_low": low, "speed_high": speed})
    operations = list(scenario.operations)
    operations[index] = operation.model_copy(update={"gripping": grip})
    edited: Scenario = scenario.model_copy(update={"operations": tuple(operations)})
    return replace(parts, scenario=edited)


def _touch_travel(parts: Parts, figures: OperationFigures, diameter: float) -> float:
    """Return the travel (mm) at which the jaws touch a part of this diameter, within the stroke."""
    scenario = parts.scenario
    pocket = scenario.pocket_of(figures.operation)
    found = stroke.travel(
        0.5 * diameter,
        0.5 * pocket.diameter,
        face_width(scenario),
        scenario.boring.travel,
        scenario.chuck.stroke,
        parts.direction,
    )
    return min(max(found.grip_travel, 0.0), scenario.chuck.stroke)


def _contact(
    ready: States,
    parts: Parts,
    figures: OperationFigures,
    speed: float,
    diameter: float,
    side: float,
    angle: float,
) -> ContactResult | None:
    """Return the contact at a speed; None where no grip is left or the part is not held."""
    grip, stated = figures.grip, figures.operation.gripping
    pull = 3.0 * spin.centrifugal_force(grip.centrifugal_moment, speed)
    closing = spin.grip_at_speed(grip.rest_total, pull, stated.direction, stated.grip_loss_share)
    if not closing > 0.0:
        return None
    load = GripLoad(1.0, off_first_jaw(parts, side))
    setup = contact_setup(parts, figures.index, figures.zone, closing, figures.clamping.model, load)
    fitted = replace(setup.grip, part_radius_mm=0.5 * diameter)
    setup = replace(setup, grip=fitted, load=turned(setup.load, angle) if side > 0.0 else setup.load)
    try:
        return press(setup, prepared=ready.prepared[figures.index])
    except ContactNotConverged:
        return None


def _in_range(name: str, value: float | None, low: float, high: float, unit: str) -> float | None:
    if value is not None and not low - 1e-9 <= value <= high + 1e-9:
        raise ValueError(f"{name} must lie between {low:g} and {high:g} {unit}, found {value:g} {unit}")
    return value


def _require_positive(pressure: float) -> None:
    if not (math.isfinite(pressure) and pressure > 0.0):
        raise ValueError(f"pressure must be finite and above 0 MPa, found {pressure:g} MPa")
