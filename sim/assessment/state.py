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

from sim.assessment.as_stated import doubts, without_passes
from sim.assessment.bodies import ContactModel, contact_setup, off_first_jaw
from sim.assessment.clamping import peak_per_um, prepared_contact
from sim.assessment.figures.grip import GripFigures
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.machining import asked_again, held_again
from sim.assessment.not_judged import not_judged
from sim.assessment.operation import Gripped, after, grip_part, gripped, needing
from sim.assessment.results import Assessment
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.across import across_verdict
from sim.assessment.verdicts.grip import grip_verdicts
from sim.assessment.verdicts.jaw import seat_verdicts
from sim.assessment.verdicts.judge import in_order, judge, with_limits
from sim.assessment.verdicts.machining import moves_held_verdicts
from sim.assessment.verdicts.metal import wall_verdict
from sim.assessment.verdicts.part import part_verdicts
from sim.assessment.verdicts.running import running_verdicts
from sim.assessment.verdicts.spindle import spindle_verdicts
from sim.assessment.verdicts.supports import support_verdicts
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
from sim.mechanics import spin, stroke
from sim.scenario import Scenario
from sim.setup.grip_travel import face_width
from sim.setup.parts import Parts

Point3 = tuple[float, float, float]
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
    """

    assessment: Assessment
    prepared: tuple[Prepared, ...]
    tracks: Mapping[str, Track]
    bored: dict[tuple[object, ...], object] = field(default_factory=dict, init=False)


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


@dataclass(frozen=True, slots=True, eq=False)
class JudgedState:
    """An operation at another pressure and highest speed, as `check` judges it; verdicts worst first."""

    figures: OperationFigures
    verdicts: tuple[Verdict, ...]


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
    _require_loads(pressure, speed)
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
        closest=None if touched else _closest(parts, operation, known.zone.middle, jaw_travel, diameter),
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


def judged_at(ready: States, operation: int, pressure: float, speed: float) -> JudgedState:
    """Return an operation judged at another pressure (MPa) and highest speed (rev/min).

    It takes many contacts, over one turn and at the limits of size: some tenths of a second.

    Raises
    ------
    ValueError
        If a value is not finite, or the chuck's own data do not reach so far.
    ContactNotConverged
        If the part at rest is not balanced between the jaws.
    """
    _require_loads(pressure, speed)
    parts = gripping_at(ready.assessment.parts, operation, pressure, speed)
    model = ready.assessment.operations[operation].clamping.model
    earlier = ready.assessment.operations[:operation]
    figures, machining = _gripped_anew(ready, parts, operation, model, earlier)
    verdicts = (
        *part_verdicts(parts, ready.assessment.boring, figures),
        *running_verdicts(parts, figures),
        wall_verdict(parts, figures),
        *grip_verdicts(parts, figures),
        *moves_held_verdicts(parts, figures, machining),
        *support_verdicts(parts, figures),
        *spindle_verdicts(parts, figures),
        *seat_verdicts(parts, figures),
        across_verdict(parts, figures),
    )
    before = ready.assessment
    doubted = doubts(before.verdicts, [f.operation.name for f in before.operations])
    return JudgedState(figures, in_order(without_passes(verdicts, doubted)))


def with_pressures(ready: States, pressures: Mapping[int, float]) -> Assessment:
    """Return the whole setup judged with other pressures (MPa) of some operations, by their numbers.

    As `with_gripping` with the highest speeds that the scenario states.
    """
    operations = ready.assessment.operations
    return with_gripping(
        ready,
        {n: (pressure, operations[n].operation.gripping.speed_high) for n, pressure in pressures.items()},
    )


def with_gripping(ready: States, gripping: Mapping[int, tuple[float, float]]) -> Assessment:
    """Return the whole setup judged at other (pressure, highest speed) of some operations, MPa and rev/min.

    As `assess` gives it for the file with these values; solids, compliances and the boring path are taken over.

    Raises
    ------
    ValueError
        If a value is not finite, or the chuck's own data do not reach so far.
    ContactNotConverged
        If a part at rest is not balanced between the jaws.
    """
    before, parts = ready.assessment, ready.assessment.parts
    for index, (pressure, speed) in gripping.items():
        _require_loads(pressure, speed)
        parts = gripping_at(parts, index, pressure, speed)
    figures: tuple[OperationFigures, ...] = ()
    machining: tuple[MachiningFigures | None, ...] = ()
    for f in before.operations:
        if f.index in gripping:
            found_anew, program = _gripped_anew(ready, parts, f.index, f.clamping.model, figures)
        else:
            found_anew, program = after(parts, f, figures), before.machining[f.index]
        figures, machining = (*figures, found_anew), (*machining, program)
    found = parts, before.boring, figures, machining
    limits = tuple(with_gripping(states(one), gripping) for one in before.at_limits)
    verdicts = with_limits(parts.scenario, judge(*found), limits)
    return Assessment(parts.scenario, *found, verdicts, not_judged(*found), at_limits=limits)


def _gripped_anew(
    ready: States, parts: Parts, index: int, model: ContactModel, earlier: Sequence[OperationFigures]
) -> tuple[OperationFigures, MachiningFigures | None]:
    """Return an operation under another grip, with its program: neither pressure nor speed moves its path."""
    before = ready.assessment.machining[index]
    known = gripped(parts, index)
    asked = asked_again(known, before)
    figures = grip_part(parts, index, model, ready.prepared[index], earlier, known=known, moves=asked)
    return figures, held_again(before, figures)


def gap_at(parts: Parts, operation: int, travel: float, diameter: float) -> float:
    """Return the least radial distance (mm) of part and bored faces at a travel; negative where they overlap."""
    scenario = parts.scenario
    pocket = scenario.pocket_of(scenario.operations[operation])
    return stroke.loading_clearance(
        0.5 * diameter,
        0.5 * pocket.diameter,
        face_width(parts.place, pocket),
        scenario.boring.travel - travel,
        parts.direction,
    )


def _closest(
    parts: Parts, operation: int, height: float, travel: float, diameter: float
) -> tuple[Point3, Point3]:
    """Return the points of jaw 1's face and of the part that are nearest, at a height z (mm)."""
    scenario = parts.scenario
    pocket = scenario.pocket_of(scenario.operations[operation])
    bored, moved = 0.5 * pocket.diameter, scenario.boring.travel - travel
    e = moved if parts.direction == "outside" else -moved
    half = 0.5 * face_width(parts.place, pocket)
    corner = (e + math.sqrt(bored**2 - half**2), half)
    sign = 1.0 if parts.direction == "outside" else -1.0
    faces = ((e + bored, 0.0), corner)
    x, y = min(faces, key=lambda point: sign * math.hypot(*point))
    share = 0.5 * diameter / math.hypot(x, y)
    return (x, y, height), (share * x, share * y, height)


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


def touch_travel(parts: Parts, operation: int, diameter: float) -> float:
    """Return the travel (mm) at which the jaws touch a part of this diameter, within the stroke."""
    scenario = parts.scenario
    pocket = scenario.pocket_of(scenario.operations[operation])
    found = stroke.travel(
        0.5 * diameter,
        0.5 * pocket.diameter,
        face_width(parts.place, pocket),
        scenario.boring.travel,
        scenario.chuck.stroke,
        parts.direction,
    )
    return stroke.within_stroke(found.grip_travel, scenario.chuck.stroke)


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


def _require_loads(pressure: float, speed: float) -> None:
    if not (math.isfinite(pressure) and pressure > 0.0):
        raise ValueError(f"pressure must be finite and above 0 MPa, found {pressure:g} MPa")
    if not (math.isfinite(speed) and speed >= 0.0):
        raise ValueError(f"speed must be finite and 0 rev/min or more, found {speed:g} rev/min")
