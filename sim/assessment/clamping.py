"""The part clamped in the jaws: pressure, shape, stress and run-out, least grip under the worst side force.

Every limit is judged where it is worst. The part is clamped at rest; jaws that grip inside press hardest at the highest
speed, jaws that grip outside then hold least, so both states are looked at. (Between them forces are linear in the
square of the speed, and what is linear in them within one pattern of contact is largest at an end.)

Two models of the bodies: 'foundation' (columns, milliseconds, order of magnitude) and 'elastic' (finite elements of
part and jaw, seconds the first time, then kept in the user's cache folder).
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.assessment.bodies import (
    FREE_FACE,
    ContactModel,
    Surfaces,
    contact_setup,
    off_first_jaw,
    reported_surfaces,
)
from sim.assessment.figures.clamping import ClampingFigures, RunOut
from sim.assessment.part_wall import PartWall, part_wall
from sim.assessment.run_out import StatedLobes, left_lobes, run_out_of, stated_lobes, worst_run_out
from sim.assessment.side import SideLoad
from sim.assessment.stress import Strained, annulus_roundness, strained, worst_of
from sim.base.answers import written
from sim.base.arrays import Floats
from sim.base.errors import ScenarioError
from sim.contact import (
    ClampedShape,
    ContactNotConverged,
    ContactResult,
    ContactSetup,
    GripLoad,
    JawOpening,
    PartAlone,
    Prepared,
    Revolution,
    at_rest,
    band_means,
    clamped_shape,
    clamped_stress,
    default_cache,
    face_flatness_um,
    finer,
    jaw_opening,
    loaded,
    part_alone,
    prepare,
    press,
    revolve,
    solved_loss_share,
    taper_to_bore,
    turned,
)
from sim.setup.held import HeldZone
from sim.setup.parts import Parts

SPINDLE_ANGLES = 12  # over one turn; multiples of 60 deg off the load are the worst for three equal jaws
AT_REST, FAST = "at rest", "at the highest speed"
NONE = (0.0, 0.0, 0.0)
MICROMETRE = 1e-3  # mm
# N/mm, of whole chucks with fibre-plastic and with steel top jaws (see sim.setup.drive); a drive alone is stiffer.
UNSTATED_STIFFNESS = (66e3, 216e3)


@dataclass(frozen=True, slots=True)
class Clamping:
    """Forces on the clamped part, N.

    Attributes
    ----------
    rest, fast : float
        Total grip at rest, and at the highest speed with all that inside gripping gains there.
    counted : float
        Total grip at the highest speed without that gain.
    side : SideLoad
        Worst load across the spindle.
    outward : float
        Centrifugal force of one jaw at the highest speed.
    differences : (float, float, float)
        Of each jaw beyond that, by its own mass.
    boring : float
        Per jaw while boring, as felt at the gripped height.
    """

    rest: float
    fast: float
    counted: float
    side: SideLoad
    outward: float
    differences: tuple[float, float, float]
    boring: float


@dataclass(frozen=True, slots=True)
class Sizes:
    """Diameters of the gripped surface by its tolerance, mm, and its lobes."""

    low: float
    high: float
    lobes: StatedLobes


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """The part between the jaws in one state, the worst of its sizes where nothing else is said.

    Attributes
    ----------
    name : str
    closing : float
        Total grip, N.
    setup, contact, shape :
        Of the middle size; shape None without finite elements.
    pressure : ContactResult
        The contact with strips divided where it begins and ends, for what is asked of its pressures.
    peak_at : ContactSetup
        Of the size that has the largest pressure.
    hardest : two ContactResult
        Of that size, as `contact` and `pressure`.
    band_peak, roundness : float
        MPa, um.
    strained : Strained
    opening : JawOpening
        Of the middle size.
    run_out : RunOut
    left : (m,) array
        Amplitudes of the lobes that stay after release, mm, each of the size that keeps most of it.
    """

    name: str
    closing: float
    setup: ContactSetup
    contact: ContactResult
    pressure: ContactResult
    peak_at: ContactSetup
    hardest: tuple[ContactResult, ContactResult]
    shape: ClampedShape | None
    band_peak: float
    roundness: float
    strained: Strained
    opening: JawOpening
    run_out: RunOut
    left: Floats


def clamp(
    parts: Parts,
    index: int,
    zone: HeldZone,
    forces: Clamping,
    model: ContactModel,
    ready: Prepared | None = None,
) -> ClampingFigures:
    """Press the jaws on the part of an operation; `ready` are its bodies from `prepared_contact`, if at hand.

    Raises
    ------
    ScenarioError
        If outline, face and jaw do not fit together.
    ContactNotConverged
        If the part without side load is not balanced between the jaws.
    """
    work, wall = parts.scenario.operations[index].workpiece, part_wall(parts, index, zone)
    surfaces = reported_surfaces(wall, work.outline, zone)
    sizes = sizes_of(parts, index)
    try:
        setup = contact_setup(parts, index, zone, model)
    except ValueError as error:
        raise ScenarioError(f"operations[{index}].workpiece: {error}") from None
    found = (
        _clamped(index, setup, surfaces, wall, sizes, zone.length, forces)
        if ready is None
        else _pressed(setup, surfaces, wall, sizes, zone.length, forces, ready)
    )
    chuck = parts.scenario.chuck
    if "radial_stiffness" in chuck.model_fields_set:
        return found
    return replace(
        found, loss_share_range=loss_share_over(found.loss_share_by_stiffness, chuck.radial_stiffness)
    )


@written
def _clamped(
    index: int,
    setup: ContactSetup,
    surfaces: Surfaces,
    wall: PartWall,
    sizes: Sizes,
    length: float,
    forces: Clamping,
) -> ClampingFigures:
    """Make the bodies ready and press the jaws on the part of the operation `index`, held over `length` mm."""
    try:
        ready = made_ready(setup, surfaces)
    except ValueError as error:
        raise ScenarioError(f"operations[{index}].workpiece: {error}") from None
    return _pressed(setup, surfaces, wall, sizes, length, forces, ready)


def _pressed(
    setup: ContactSetup,
    surfaces: Surfaces,
    wall: PartWall,
    sizes: Sizes,
    length: float,
    forces: Clamping,
    ready: Prepared,
) -> ClampingFigures:
    rows = turned_rows(surfaces)
    # No speed changes it: a window asks for it again at every speed of a pressure.
    rest = ready.last(
        AT_REST,
        (setup, wall, sizes, forces.rest),
        lambda: _state(AT_REST, setup, wall, sizes, rows, ready, forces.rest, NONE),
    )
    states = [rest]
    # Where nothing is left at speed, or a jaw leaves the part, the verdicts on grip fail by themselves.
    if forces.fast > 0.0:
        with contextlib.suppress(ContactNotConverged):
            states.append(_state(FAST, setup, wall, sizes, rows, ready, forces.fast, forces.differences))
    hardest = max(states, key=lambda state: state.closing)
    turn, unsupported = None, None
    turning = replace(setup, load=_turning_load(forces, off_first_jaw(wall.direction, forces.side.amount)))
    if forces.counted > 0.0:
        turn, unsupported = _one_turn(turning, ready)
    tapers = [taper_to_bore(s.opening, s.closing / 3.0, forces.boring, length) for s in states]
    worst = max(range(len(states)), key=lambda k: abs(tapers[k].diameter_um))
    worst_strain = worst_of([state.strained for state in states])
    peak = max(states, key=lambda state: state.band_peak)
    return ClampingFigures(
        model=setup.model,
        contact=hardest.contact,
        pressure=hardest.pressure,
        rest=rest.contact,
        state=hardest.name,
        band_peak=peak.band_peak,
        band_peak_per_um=ready.last(
            "peak per um",
            (peak.peak_at, peak.band_peak),
            lambda: peak_per_um(peak.peak_at, *peak.hardest, ready),
        ),
        revolution=turn,
        unsupported_least=unsupported,
        turning=turning,
        side=forces.side.amount,
        roundness=max(state.roundness for state in states),
        roundness_basis=_roundness_basis(wall, setup.model),
        shape=hardest.shape,
        surfaces=tuple(name for name, _ in surfaces),
        flatness=math.nan if hardest.shape is None else _flatness(hardest.shape, surfaces),
        openings=tuple((state.closing / 3.0, state.opening) for state in states),
        opening=states[worst].opening,
        taper=tapers[worst],
        run_outs=tuple(state.run_out for state in states),
        left_lobes=hardest.left,
        hoop_stress=worst_strain.hoop,
        bending_stress=worst_strain.bending,
        decisive_stress=worst_strain.decisive,
        decisive_kind=worst_strain.kind,
        decisive_place=worst_strain.place,
        stress_share=worst_strain.share,
        displacement=worst_strain.displacement,
        wall=wall.thickness,
        loss_share_by_stiffness=_loss(rest.setup, rest.contact, forces.outward, ready),
        loss_share_range=None,
    )


def _state(
    name: str,
    setup: ContactSetup,
    wall: PartWall,
    sizes: Sizes,
    turned: Sequence[int],
    ready: Prepared,
    closing: float,
    differences: tuple[float, float, float],
) -> State:
    """Press the smallest, the middle and the largest part with a total grip (N) and what each jaw pulls beyond it."""
    setup = replace(setup, load=GripLoad(closing, jaw_outward_force_n=differences))
    setups = _within_tolerance(setup, sizes)
    pressed = [press(one, prepared=ready) for one in setups]
    shapes = [clamped_shape(one, ready) for one in pressed] if setup.model == "elastic" else []
    pressures = [finer(one, ready, found) for one, found in zip(setups, pressed, strict=True)]
    peaks = [float(band_means(one).max()) for one in pressures]
    worst = int(np.argmax(peaks))
    stresses = [clamped_stress(one, ready) for one in pressed] if setup.model == "elastic" else []
    strains = [
        strained(wall, closing / 3.0, peak, *((shapes[k], stresses[k]) if shapes else (None, None)))
        for k, peak in enumerate(peaks)
    ]
    roundness = (
        max(float(shape.roundness_um[0]) for shape in shapes)
        if shapes
        else annulus_roundness(wall, closing / 3.0)
    )
    return State(
        name=name,
        closing=closing,
        setup=setup,
        contact=pressed[0],
        pressure=pressures[0],
        peak_at=setups[worst],
        hardest=(pressed[worst], pressures[worst]),
        shape=shapes[0] if shapes else None,
        band_peak=max(peaks),
        roundness=roundness,
        strained=worst_of(strains),
        opening=jaw_opening(pressed[0], ready),
        run_out=worst_run_out([run_out_of(name, one, sizes.lobes, ready) for one in setups]),
        left=left_lobes(shapes, turned),
    )


@dataclass(frozen=True, slots=True)
class Squeezed:
    """What a total grip does to part and jaw, the worst of the part's sizes, as the verdicts ask for it.

    Attributes
    ----------
    band_peak, roundness, stress_share, displacement : float
        MPa, um, of yield, mm.
    """

    band_peak: float
    roundness: float
    stress_share: float
    displacement: float


@written
def squeezed(
    setup: ContactSetup, surfaces: Surfaces, wall: PartWall, sizes: Sizes, closing: float
) -> Squeezed:
    """Return what another total grip (N) does to part and jaw.

    Raises
    ------
    ContactNotConverged
        If the part is not balanced between the jaws.
    """
    ready = made_ready(setup, surfaces)
    found = _state(AT_REST, setup, wall, sizes, turned_rows(surfaces), ready, closing, NONE)
    strain = found.strained
    return Squeezed(found.band_peak, found.roundness, strain.share, strain.displacement)


def sizes_of(parts: Parts, index: int) -> Sizes:
    """Return the diameters of an operation's gripped surface by its tolerance, and its lobes."""
    work = parts.scenario.operations[index].workpiece
    return Sizes(work.gripped_diameter_low, work.gripped_diameter_high, stated_lobes(work))


def prepared_contact(parts: Parts, index: int, zone: HeldZone, model: ContactModel) -> Prepared:
    """Return the bodies of an operation made ready for contact, whatever the loads and the part's size.

    Raises
    ------
    ScenarioError
        If outline, face and jaw do not fit together.
    """
    outline = parts.scenario.operations[index].workpiece.outline
    surfaces = reported_surfaces(part_wall(parts, index, zone), outline, zone)
    try:
        return made_ready(contact_setup(parts, index, zone, model), surfaces)
    except ValueError as error:
        raise ScenarioError(f"operations[{index}].workpiece: {error}") from None


def part_of_contact(parts: Parts, index: int, zone: HeldZone) -> PartAlone:
    """Return the part of an operation alone, by finite elements, as `prepared_contact` takes it.

    Raises
    ------
    ScenarioError
        If outline and face do not fit together.
    """
    outline = parts.scenario.operations[index].workpiece.outline
    surfaces = reported_surfaces(part_wall(parts, index, zone), outline, zone)
    places = np.array([place for _, place in surfaces])
    try:
        return part_alone(contact_setup(parts, index, zone, "elastic"), places, default_cache())
    except ValueError as error:
        raise ScenarioError(f"operations[{index}].workpiece: {error}") from None


def made_ready(setup: ContactSetup, surfaces: Surfaces) -> Prepared:
    """Return a contact's bodies made ready for such surfaces to be reported; its load does not matter."""
    places = np.array([place for _, place in surfaces]) if setup.model == "elastic" else None
    return prepare(setup, places, default_cache())


def _within_tolerance(setup: ContactSetup, sizes: Sizes) -> list[ContactSetup]:
    """Return the setup of the middle part, of the smallest and of the largest that the tolerance allows, each once."""
    limits = (sizes.low, sizes.high)
    radii = dict.fromkeys((setup.grip.part_radius_mm, *(0.5 * d for d in limits)))
    return [replace(setup, grip=replace(setup.grip, part_radius_mm=radius)) for radius in radii]


def _turning_load(forces: Clamping, off: tuple[float, float]) -> GripLoad:
    """Return the load at the highest speed, turned so that at spindle angle 0 it pushes along `off`, off jaw 1.

    With the grip at rest where that speed leaves none.
    """
    side = forces.side
    turn = math.atan2(side.force[1], side.force[0]) - math.atan2(off[1], off[0])
    load = turned(GripLoad(forces.counted or forces.rest, side.force, side.moment), turn)
    return replace(load, jaw_outward_force_n=forces.differences)


def _one_turn(setup: ContactSetup, ready: Prepared) -> tuple[Revolution | None, float | None]:
    """Return the grip over one turn, and the least grip in its worst state without help against tipping.

    None where the part is not balanced between the jaws.
    """
    try:
        rest = at_rest(setup, ready)
        turn = revolve(setup, SPINDLE_ANGLES, ready, rest)
    except ContactNotConverged:
        return None, None
    load = turned(setup.load, turn.worst_rad)
    try:
        return turn, float(loaded(rest, load, turn.worst, hold_square=False).grip_n.min())
    except ContactNotConverged:
        return turn, None


def _loss(setup: ContactSetup, contact: ContactResult, outward: float, ready: Prepared) -> float:
    """Return the share of the jaws' pull that the real stiffnesses turn into a loss of grip; nan if it is not found."""
    if not outward > 0.0:
        return math.nan
    try:
        return solved_loss_share(setup, contact, min(outward, 0.5 * float(contact.grip_n.min())), ready)
    except ContactNotConverged:
        return math.nan


def loss_share_over(share: float, stiffness: float) -> tuple[float, float]:
    """Return the least and the largest share that is lost over the range of a drive whose stiffness is not stated.

    lam = k/(k + k_drive) with the bodies' own k, two springs in parallel, found from the share at one stiffness (N/mm).
    """
    if share <= 0.0:  # rigid bodies, or drives beside which they are
        return (share, share)
    bodies = share * stiffness / (1.0 - share)
    shares = [bodies / (bodies + drive) for drive in (*UNSTATED_STIFFNESS, stiffness)]
    return min(shares), max(shares)


def peak_per_um(
    setup: ContactSetup,
    pressed: ContactResult,
    pressure: ContactResult,
    ready: Prepared,
    *,
    divided: bool = True,
) -> float:
    """Return by how much the largest band mean (MPa) changes with 1 um of bore radius; nan where it is not found.

    Parameters
    ----------
    setup : ContactSetup
    pressed : ContactResult
        From `press`.
    pressure : ContactResult
        What is changed: that result with strips divided where the contact begins and ends, or itself.
    ready : Prepared
    divided : bool
        Whether strips are divided.
    """
    peak = float(band_means(pressure).max())
    changes = []
    for step in (-MICROMETRE, MICROMETRE):
        other = replace(setup, grip=replace(setup.grip, bore_radius_mm=setup.grip.bore_radius_mm + step))
        try:
            found = press(other, pressed, ready)
            if divided:
                found = finer(other, ready, found, pressure)
        except ContactNotConverged:
            return math.nan
        changes.append(abs(float(band_means(found).max()) - peak))
    return max(changes)


def turned_rows(surfaces: Surfaces) -> list[int]:
    """Return the numbers of the surfaces around the part that may have been turned."""
    return [row for row, (name, _) in enumerate(surfaces) if name != FREE_FACE]


def _flatness(shape: ClampedShape, surfaces: Surfaces) -> float:
    face = [row for row, (name, _) in enumerate(surfaces) if name == FREE_FACE]
    return face_flatness_um(shape, face) if face else math.nan


def _roundness_basis(wall: PartWall, model: ContactModel) -> str:
    """Say where the out-of-roundness after release comes from."""
    if model == "elastic":
        where = "bore" if wall.bore_is_turned else "outside"
        return f"finite elements (Fourier series around the part), {where} at the gripped height"
    return "annulus series (Michell; Barber, Elasticity) on the wall at grip height over the held length"
