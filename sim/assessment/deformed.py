"""How part and jaws move under the grip of a state: what the model knows of it, for pictures that enlarge it.

Of the part it is all of its outline, by the finite elements of the contact. Of a jaw it is its master jaw in the
guideway (yield and tilt) and the mean movement and opening of its pressed face; what lies between is not asked for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.assessment.bodies import contact_setup
from sim.assessment.state import GripState, States, at
from sim.base.arrays import Flags, Floats, Ints
from sim.contact import ContactResult, Prepared, default_cache, part_alone
from sim.contact.face import FaceGrid, frozen_array
from sim.contact.harmonics import HIGHEST_OF_SHAPE, filled, pressure_waves
from sim.contact.shape import without_position
from sim.setup.held import GRIPPED_WITHIN

PLACES = 64  # round the outline, beside its corners
ANGLES = 120  # over one turn
RING_ANGLES = 360  # of the circle whose roundness is told, as `sim.contact.shape`
_ON = 1e-6  # mm within which a place lies on the pressed surface


@dataclass(frozen=True, slots=True)
class JawMotion:
    """How a jaw moves from the first touch to the full grip, outward from the spindle axis.

    Attributes
    ----------
    master_mm, master_slope : float
        Of the master jaw at the height of the guideway's middle, mm; by how much more per mm of z, no unit.
    pivot_mm : float
        That height, z.
    face_mm, face_slope : float
        Mean of the pressed face at its middle height, mm; by how much more per mm of z, no unit.
    middle_mm : float
        That height, z.
    """

    master_mm: float
    master_slope: float
    pivot_mm: float
    face_mm: float
    face_slope: float
    middle_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Deformed:
    """Movement of a clamped part and of its jaws since the jaws touched it.

    Attributes
    ----------
    places_mm : (k, 2) array
        r and z along the part's outline, in order round it; a corner comes twice, with each of its edges.
    held : (k,) array of bool
        Whether it lies on the surface that the jaws press, which is not cut while they do.
    angles_rad : (m,) array
        From jaw 1, evenly over one turn.
    moved_mm : (k + 1, 3, m) array
        Elastic movement outward, around and along z; that of the ring comes last.
    shift_mm, tilt_rad : (2,) arrays
        Motion of the whole part along x and y at the pressed face's middle, and its turn about x and y.
    ring_mm : (2,) array
        r and z of the circle whose roundness is judged.
    roundness_um : float
        Peak to peak of its deviation from round, without size and position, micrometres: the same after the release.
    jaws : three JawMotion
    """

    places_mm: Floats
    held: Flags
    angles_rad: Floats
    moved_mm: Floats
    shift_mm: Floats
    tilt_rad: Floats
    ring_mm: Floats
    roundness_um: float
    jaws: tuple[JawMotion, ...]

    def __post_init__(self) -> None:
        for name in ("places_mm", "angles_rad", "moved_mm", "shift_mm", "tilt_rad", "ring_mm"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))
        self.held.setflags(write=False)

    @property
    def largest_mm(self) -> float:
        """The largest elastic movement of a place of the outline, mm."""
        return float(np.sqrt((self.moved_mm**2).sum(axis=1)).max())


def worst_shape(ready: States, operation: int) -> tuple[GripState, Deformed] | None:
    """Return the state in which the part comes out farthest from round, as the verdict says, and its shape there.

    Of the smallest, the middle and the largest part, at the speed at which the jaws press hardest: none outside, the
    highest inside. None where no shape is known.
    """
    work, speed = ready.assessment.operations[operation].operation.workpiece, hardest_speed(ready, operation)
    low, high = work.gripped_diameter_low, work.gripped_diameter_high
    found = []
    for size in (low, 0.5 * (low + high), high):
        state = at(ready, operation, speed=speed, gripped_diameter=size)
        shape = deformed(ready, state)
        if shape is not None:
            found.append((state, shape))
    return max(found, key=lambda one: one[1].roundness_um, default=None)


def hardest_speed(ready: States, operation: int) -> float:
    """Return the speed (rev/min) at which the jaws press hardest: none outside, the highest inside."""
    assessment = ready.assessment
    gripping = assessment.operations[operation].operation.gripping
    return gripping.speed_high if assessment.parts.direction == "inside" else 0.0


def clamped_mm(shape: Deformed) -> Floats:
    """Return how the places stand while clamped, (k + 1, 3, m), the part's motion included; the ring comes last."""
    places = np.vstack([shape.places_mm, shape.ring_mm])
    radius, z = places[:, 0, None], places[:, 1, None] - shape.jaws[0].middle_mm
    c, s = np.cos(shape.angles_rad), np.sin(shape.angles_rad)
    (about_x, about_y), (x, y) = shape.tilt_rad, shape.shift_mm
    across, up = x + about_y * z, y - about_x * z
    along = radius * (about_x * s - about_y * c)
    moved: Floats = shape.moved_mm + np.stack([across * c + up * s, up * c - across * s, along], axis=1)
    return moved


def released_mm(shape: Deformed) -> Floats:
    """Return how surfaces that were cut true while clamped stand after the release; what is pressed is not cut."""
    freed: Floats = np.where(np.append(shape.held, False)[:, None, None], 0.0, -shape.moved_mm)
    return freed


def outline_places(outline_mm: Floats, count: int = PLACES) -> tuple[Floats, Ints]:
    """Return places (k, 2) evenly along each edge of a closed outline, with both its ends, and the edges' numbers."""
    start, end = outline_mm, np.roll(outline_mm, -1, axis=0)
    lengths = np.linalg.norm(end - start, axis=1)
    steps = np.maximum(1, np.round(count * lengths / lengths.sum()).astype(int))
    found = [
        one + np.linspace(0.0, 1.0, n + 1)[:, None] * (other - one)
        for one, other, n in zip(start, end, steps, strict=True)
    ]
    return np.concatenate(found), np.repeat(np.arange(len(steps)), steps + 1)


def deformed(ready: States, state: GripState) -> Deformed | None:
    """Return how part and jaws move at a state; None where nothing is held or the contact has no elastic bodies.

    The part is drawn round: of one that is more than its turned core the core alone is known.
    """
    contact, prepared = state.contact, ready.prepared[state.operation]
    if contact is None or prepared.harmonics is None:
        return None
    figures = ready.assessment.operations[state.operation]
    setup = contact_setup(ready.assessment.parts, state.operation, figures.zone, "elastic")
    places, edges = outline_places(setup.part.outline_mm)
    ring = prepared.harmonics.places_mm[0]
    response = _response(ready, state.operation, np.vstack([places, ring]))
    load = pressure_waves(contact.grid, contact.pressure_mpa, HIGHEST_OF_SHAPE)
    waves = (response @ (load / np.pi)[:, :, None])[:, :, 0].reshape(HIGHEST_OF_SHAPE + 1, -1, 3)
    angles = np.linspace(0.0, 2.0 * np.pi, ANGLES, endpoint=False)
    turn = np.linspace(0.0, 2.0 * np.pi, RING_ANGLES, endpoint=False)
    round_mm = without_position(_over(turn, waves[:, -1:])[0, 0])
    middle = 0.5 * float(contact.grid.height_edges_mm[0] + contact.grid.height_edges_mm[-1])
    radius = setup.grip.part_radius_mm
    return Deformed(
        places_mm=places,
        held=_held(places, edges, radius, (float(figures.zone.low), float(figures.zone.high))),
        angles_rad=angles,
        moved_mm=_over(angles, waves),
        shift_mm=contact.part_shift_mm,
        tilt_rad=contact.part_tilt_rad,
        ring_mm=ring,
        roundness_um=1e3 * float(np.ptp(round_mm)),
        jaws=jaw_motions(contact, prepared, setup.guide.guide_height_mm, middle),
    )


def jaw_motions(
    contact: ContactResult, prepared: Prepared, pivot_mm: float, middle_mm: float
) -> tuple[JawMotion, ...]:
    """Return how the three jaws move: the drive closes them all, and each yields under its own pressure."""
    grid, sign = prepared.grid, prepared.grid.sign
    force = on_cells(contact, grid).reshape(3, -1)
    yielded = (force @ (prepared.jaw_mm_n + prepared.guide_mm_n)).reshape(3, *grid.shape)
    c = np.cos(grid.angles_rad)
    outward = sign * (yielded - contact.approach_mm * c)
    # The rigid motion of the face that fits its cells best: along the jaw, and its turn.
    lever = np.broadcast_to((grid.heights_mm - middle_mm)[:, None] * c, grid.shape).ravel()
    basis = np.column_stack([np.broadcast_to(c, grid.shape).ravel(), lever])
    weight = np.sqrt(grid.areas_mm2.ravel())[:, None]
    flat = grid.shape[0] == 1
    basis = basis[:, :1] if flat else basis
    fit = np.linalg.lstsq(weight * basis, weight * outward.reshape(3, -1).T, rcond=None)[0]
    return tuple(
        JawMotion(
            master_mm=float(sign * (contact.jaw_travel_mm[jaw] - contact.approach_mm)),
            master_slope=float(sign * contact.jaw_tilt_rad[jaw]),
            pivot_mm=pivot_mm,
            face_mm=float(fit[0, jaw]),
            face_slope=0.0 if flat else float(fit[1, jaw]),
            middle_mm=middle_mm,
        )
        for jaw in range(3)
    )


def on_cells(contact: ContactResult, grid: FaceGrid) -> Floats:
    """Return the forces (3, nz, nt), N, of a contact on the cells of a grid whose strips it may have divided."""
    force = contact.pressure_mpa * contact.grid.areas_mm2
    owner = np.searchsorted(grid.angle_edges_rad, contact.grid.angles_rad) - 1
    found: Floats = force @ np.equal.outer(owner, np.arange(grid.shape[1])).astype(np.float64)
    return found


def _held(places: Floats, edges: Ints, radius: float, heights: tuple[float, float]) -> Flags:
    """Return which places lie on the outline's edge at the gripped radius, between the heights where jaws press it."""
    low, high = heights
    found = np.zeros(len(places), dtype=bool)
    for edge in np.unique(edges):
        own = edges == edge
        r, z = places[own].T
        along = np.ptp(r) < _ON and abs(r[0] - radius) < GRIPPED_WITHIN
        found[own] = along & (z > low - _ON) & (z < high + _ON)
    return found


def _over(angles: Floats, waves: NDArray[np.complex128]) -> Floats:
    """Return the movement (k, 3, m) outward, around and along z at angles, of waves (n, k, 3) around the part."""
    turning = np.exp(1j * np.outer(np.arange(len(waves)), angles))
    summed = (waves.reshape(len(waves), -1).T @ turning).reshape(*waves.shape[1:], -1)
    return np.stack([summed[:, 0].real, summed[:, 1].imag, summed[:, 2].real], axis=1)


def _response(ready: States, operation: int, places: Floats) -> Floats:
    """Return what waves of pressure do at places, (n, 3 k, nz); a second or two where no cache knows it."""
    key = ("outline", operation)
    found = ready.bored.get(key)
    if not isinstance(found, np.ndarray):
        parts = ready.assessment.parts
        setup = contact_setup(parts, operation, ready.assessment.operations[operation].zone, "elastic")
        part = part_alone(setup, places, default_cache()).harmonics
        whole = filled(part).whole_mm
        found = ready.bored[key] = whole.reshape(len(whole), -1, whole.shape[-1])
    return found
