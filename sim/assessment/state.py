"""A judged setup at other states: another travel, pressure, speed, spindle angle, part size or place on the path.

A state is judged by the same functions as the scenario: its figures are those that `check` gives for the file with
the state's pressure and highest speed written into it. What costs time (solids, compliances of part and jaw, the
stock along the path) is taken over from the assessment, so that a state costs milliseconds; its verdicts, which look at
whole turns and at both limits of size, cost some tenths of a second and are asked for apart.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from types import MappingProxyType

import numpy as np

from meshes.points import Point3
from sim.assessment.bodies import contact_setup, off_first_jaw
from sim.assessment.clamping import peak_per_um, prepared_contact
from sim.assessment.face_gap import closest_points, gap_at, touch_travel
from sim.assessment.figures.grip import GripFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.operation import Gripped, gripped, needing
from sim.assessment.results import Assessment
from sim.assessment.thin_section import Known
from sim.base.arrays import Floats
from sim.clearance.standing import Standing, Track, standings, track
from sim.contact import (
    ContactNotConverged,
    ContactResult,
    ContactSetup,
    GripLoad,
    Prepared,
    band_means,
    finer,
    press,
    turned,
)
from sim.mechanics import spin
from sim.scenario import Scenario
from sim.setup.parts import Parts

BORING = "boring"


@dataclass(frozen=True, slots=True, eq=False)
class States:
    """A judged setup and what all its states share.

    Attributes
    ----------
    assessment : Assessment
    prepared : tuple of Prepared
        Compliances of each operation.
    tracks : dict of str to Track
        Every cutting path with the stock along it: 'boring', and the number of an operation that has a program.
    bored : dict
        What is known of pockets bored otherwise (`sim.assessment.bored`).
    parted, sections : dict
        What is known of each operation's necks: what parts off under its centre (`sim.assessment.neck`), and what its
        cuts load (`sim.assessment.thin_section`). Neither pressure nor speed moves them.
    """

    assessment: Assessment
    prepared: tuple[Prepared, ...]
    tracks: Mapping[str, Track]
    bored: dict[tuple[object, ...], object] = field(default_factory=dict, init=False)
    parted: dict[int, tuple[str, ...]] = field(default_factory=dict, init=False)
    sections: dict[int, Known] = field(default_factory=dict, init=False)


@dataclass(frozen=True, slots=True, eq=False)
class AskedState:
    """One operation at one state, before its contact is solved.

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
    closest : two (x, y, z) or None
        Where jaw 1's face and the part are that near, mm, spindle at angle 0; None when gripped.
    gripped : bool
        The jaws have reached the part.
    figures : GripFigures
        Grip of the operation at this pressure with this highest speed, as `check` gives it.
    setup : ContactSetup or None
        The contact to be solved; None when open, or when no grip is left.
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
    closest: tuple[Point3, Point3] | None
    gripped: bool
    figures: GripFigures
    setup: ContactSetup | None


@dataclass(frozen=True, slots=True, eq=False)
class GripState(AskedState):
    """One operation at one state.

    Attributes
    ----------
    grip : (3,) array
        Of each jaw at the speed, N; zeros when open or when nothing is left.
    contact : ContactResult or None
        None when open, when no grip is left, or when the part is not held.
    bands : array or None
        Band-mean pressure, MPa, (3, bands in z, bands around).
    band_peak_per_um : float
        By how much the largest of them changes with 1 um of bore radius, MPa; nan without contact or if not asked for.
    """

    grip: Floats
    contact: ContactResult | None
    bands: Floats | None
    band_peak_per_um: float

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
    paths: dict[str, PathFigures] = {BORING: assessment.boring}
    paths |= {str(path.operation): path for path in assessment.machining if path is not None}
    prepared = tuple(
        prepared_contact(assessment.parts, f.index, f.zone, f.clamping.model) for f in assessment.operations
    )
    tracks = {
        key: track(path.moves, path.tools, path.bodies, path.stock, path.stock_name)
        for key, path in paths.items()
        if path.moves
    }
    return States(assessment, prepared, MappingProxyType(tracks))


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
    per_um: bool = False,
) -> GripState:
    """Return an operation at a state; what is not given is as the scenario has it, gripped, at rest.

    Gripped inside, at the operation's highest speed: where the jaws press hardest.

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
    per_um : bool
        Whether it is asked what 1 um of bore radius does, which takes two more contacts.

    Raises
    ------
    ValueError
        If a value is not finite, or lies outside of what the setup allows.
    """
    asked = asked_at(
        ready,
        operation,
        travel=travel,
        pressure=pressure,
        speed=speed,
        spindle_angle=spindle_angle,
        gripped_diameter=gripped_diameter,
        side_force=side_force,
    )
    return solved_at(ready, asked, per_um=per_um)


def asked_at(
    ready: States,
    operation: int,
    *,
    travel: float | None = None,
    pressure: float | None = None,
    speed: float | None = None,
    spindle_angle: float = 0.0,
    gripped_diameter: float | None = None,
    side_force: float = 0.0,
) -> AskedState:
    """Return an operation at a state as `at` does, its contact not solved yet.

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
    if speed is None:
        speed = stated.gripping.speed_high if stated.gripping.direction == "inside" else 0.0
    require_loads(pressure, speed)
    for name, value in (("spindle_angle", spindle_angle), ("side_force", side_force)):
        if not math.isfinite(value) or (value < 0.0 and name == "side_force"):
            raise ValueError(f"{name} must be finite and 0 or more, found {value:g}")
    parts = gripping_at(ready.assessment.parts, operation, pressure, speed)
    known = gripped(parts, operation, on_land=first.zone.stands)
    middle = 0.5 * (work.gripped_diameter_low + work.gripped_diameter_high)
    diameter = middle if size is None else size
    touch = touch_travel(parts, operation, diameter)
    wanted = max(touch, known.grip_travel) if place is None else place
    touched = wanted >= touch - 1e-9
    jaw_travel = min(touch, wanted)
    load = turned(
        GripLoad(1.0, off_first_jaw(parts.direction, side_force)), spindle_angle if side_force > 0.0 else 0.0
    )
    setup = _setup(ready, parts, operation, known, speed, diameter, load) if touched else None
    return AskedState(
        operation=operation,
        travel=wanted,
        pressure=pressure,
        speed=speed,
        spindle_angle=spindle_angle,
        gripped_diameter=diameter,
        side_force=side_force,
        touch_travel=touch,
        jaw_travel=jaw_travel,
        gap=0.0 if touched else gap_at(parts, operation, jaw_travel, diameter),
        closest=None
        if touched
        else closest_points(parts, operation, known.zone.middle, jaw_travel, diameter),
        gripped=touched,
        # What everything at once asks for, as it is judged: the closed forms may ask for more than there is.
        figures=needing(parts, known, operation, first.grip.needed_total),
        setup=setup,
    )


def solved_at(ready: States, asked: AskedState, *, per_um: bool = False) -> GripState:
    """Return a state with its contact, as `at` does."""
    setup, bodies = asked.setup, ready.prepared[asked.operation]
    pressed, contact = (None, None) if setup is None else _contact(setup, bodies)
    bands = None if contact is None else band_means(contact)
    change = math.nan
    if per_um and setup is not None and pressed is not None and contact is not None:
        whole = not any(setup.load.side_load_n)
        change = peak_per_um(setup, pressed, contact, bodies, divided=whole)
    return GripState(
        **{one.name: getattr(asked, one.name) for one in fields(AskedState)},
        grip=np.zeros(3) if contact is None else contact.grip_n,
        contact=contact,
        bands=bands,
        band_peak_per_um=change,
    )


def bodies_of(ready: States, operation: int) -> ContactSetup:
    """Return what an operation's bodies are prepared from; its load and the part's size do not matter."""
    first = ready.assessment.operations[operation]
    return contact_setup(ready.assessment.parts, operation, first.zone, first.clamping.model)


def on_path(ready: States, stage: str, position: float) -> Standing:
    """Return the tool at a place of a path (mm along it), and what it is nearest to there.

    Parameters
    ----------
    ready : States
    stage : str
        'boring', or the number of an operation that has a program.
    position : float

    Raises
    ------
    ValueError
        If the stage has no path (jaws that need no boring), or the position is not a number.
    """
    return places_on_path(ready, stage, (position,))[0]


def places_on_path(ready: States, stage: str, positions: Sequence[float]) -> tuple[Standing, ...]:
    """Return `on_path` at many places (mm along the path), which takes less than asking for each."""
    if stage not in ready.tracks:
        raise ValueError(f"stage must be one with a cutting path, found {stage}")
    return standings(ready.tracks[stage], positions)


def gripping_at(parts: Parts, index: int, pressure: float, speed: float) -> Parts:
    """Return the parts under a scenario with this pressure and highest speed in one operation."""
    scenario = parts.scenario
    operation = scenario.operations[index]
    low = min(operation.gripping.speed_low, speed)
    grip = operation.gripping.model_copy(update={"pressure": pressure, "speed_low": low, "speed_high": speed})
    operations = list(scenario.operations)
    operations[index] = operation.model_copy(update={"gripping": grip})
    edited: Scenario = scenario.model_copy(update={"operations": tuple(operations)})
    return replace(parts, scenario=edited)


def _setup(
    ready: States,
    parts: Parts,
    operation: int,
    known: Gripped,
    speed: float,
    diameter: float,
    load: GripLoad,
) -> ContactSetup | None:
    """Return the contact to be solved at a speed; None where no grip is left."""
    grip, stated = known.grip, parts.scenario.operations[operation].gripping
    pull = 3.0 * spin.centrifugal_force(grip.centrifugal_moment, speed)
    closing = spin.grip_at_speed(grip.rest_total, pull, stated.direction, stated.grip_loss_share)
    if not closing > 0.0:
        return None
    model = ready.assessment.operations[operation].clamping.model
    setup = contact_setup(parts, operation, known.zone, model)
    return replace(
        setup,
        grip=replace(setup.grip, part_radius_mm=0.5 * diameter),
        load=replace(load, closing_force_n=closing),
    )


def _contact(
    setup: ContactSetup, bodies: Prepared
) -> tuple[ContactResult, ContactResult] | tuple[None, None]:
    """Return the contact of whole strips, and that with divided ones; None where the part is not held."""
    try:
        found = press(setup, prepared=bodies)
    except ContactNotConverged:
        return None, None
    # Under a side load all cells of all jaws would be divided, which no slider waits for.
    return found, found if any(setup.load.side_load_n) else finer(setup, bodies, found)


def _in_range(name: str, value: float | None, low: float, high: float, unit: str) -> float | None:
    if value is not None and not low - 1e-9 <= value <= high + 1e-9:
        raise ValueError(f"{name} must lie between {low:g} and {high:g} {unit}, found {value:g} {unit}")
    return value


def require_loads(pressure: float, speed: float) -> None:
    """Refuse a pressure (MPa) or a speed (rev/min) that is none."""
    if not (math.isfinite(pressure) and pressure > 0.0):
        raise ValueError(f"pressure must be finite and above 0 MPa, found {pressure:g} MPa")
    if not (math.isfinite(speed) and speed >= 0.0):
        raise ValueError(f"speed must be finite and 0 rev/min or more, found {speed:g} rev/min")
