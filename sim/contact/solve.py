"""Contact of the three jaws with the part: pressures, grip per jaw, approach, shift and tilt.

Unknowns are the cell forces and the rigid motions: x and y of the part, its tilt about x and y (unless the
back face holds it square), and the common closing travel of the jaws, which one piston moves. Each motion's
row of the equilibrium is the transpose of the gap that it opens, so the system is symmetric.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.base.arrays import Flags, Floats, Ints
from sim.base.gripping import Pattern
from sim.contact.coarse import closed_about, strips_together
from sim.contact.elastic import prepare
from sim.contact.face import JAW_ANGLES_RAD, FaceGrid, first_touch_offset, frozen_array, initial_gap
from sim.contact.mirror import MIRRORED_MOTIONS, mirrored_bodies, mirrored_images, treats_mirrored
from sim.contact.prepared import Prepared
from sim.contact.setup import ContactSetup, GripLoad
from sim.contact.unilateral import Bodies, Unilateral, solve_bodies, solve_unilateral


@dataclass(frozen=True, slots=True)
class Residuals:
    """How well the solution satisfies its equations.

    Attributes
    ----------
    force_n : float
        Largest component of the part's force balance.
    moment_nmm : float
        N mm, largest component of the part's moment balance about x and y (0 when held square).
    closing_n : float
        Closing force minus the sum over the jaws.
    penetration_mm : float
        Deepest penetration left.
    relative : float
        Largest of the balances relative to its load.
    iterations : int
        Steps of the solver.
    """

    force_n: float
    moment_nmm: float
    closing_n: float
    penetration_mm: float
    relative: float
    iterations: int


@dataclass(frozen=True, slots=True, eq=False)
class ContactResult:
    """Pressure and position of a clamped part; only ever a converged one.

    Attributes
    ----------
    grid : FaceGrid
        Cells of one face.
    pressure_mpa, gap_mm : (3, nz, nt) arrays
        Per jaw, band and strip.
    grip_n : (3,) array
        Force of each jaw along its travel.
    approach_mm : float
        Travel of the jaws from the first touch to full closing force.
    offset_mm : float
        Offset e of the jaws' bore centres at full closing force.
    part_shift_mm : (2,) array
        x and y of the part's axis at the middle of the gripped height.
    part_tilt_rad : (2,) array
        Rotation of the part about x and y.
    jaw_travel_mm : (3,) array
        Yield of each jaw's drive, away from the part.
    jaw_tilt_rad : (3,) array
        Tilt of each master jaw in its guideway (top outward when gripping outside).
    square_moment_nmm : (2,) array
        N mm, moment about x and y that the back face bears when it holds the part square.
    pattern : Pattern
        Where the faces carry: 'middle', 'edges' or 'full'.
    closed_fraction : float
        Area under pressure over the area of the three faces.
    residuals : Residuals
        Of the solution.
    """

    grid: FaceGrid
    pressure_mpa: Floats
    gap_mm: Floats
    grip_n: Floats
    approach_mm: float
    offset_mm: float
    part_shift_mm: Floats
    part_tilt_rad: Floats
    jaw_travel_mm: Floats
    jaw_tilt_rad: Floats
    square_moment_nmm: Floats
    pattern: Pattern
    closed_fraction: float
    residuals: Residuals

    def __post_init__(self) -> None:
        for name in ("pressure_mpa", "gap_mm", "grip_n", "part_shift_mm", "part_tilt_rad"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))
        for name in ("jaw_travel_mm", "jaw_tilt_rad", "square_moment_nmm"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))


def motions(grid: FaceGrid, z_middle_mm: float) -> Floats:
    """Gap that unit motions open, (n, 5): part x, part y, tilt about x, tilt about y, closing travel.

    Order of the n = 3 nz nt cells: jaw, band, strip. Tilts are about the axis' point at z_middle_mm.
    """
    phi = np.tile(grid.angles_rad, (3, grid.shape[0], 1))
    theta = phi + np.array(JAW_ANGLES_RAD)[:, None, None]
    z = np.broadcast_to((grid.heights_mm - z_middle_mm)[None, :, None], phi.shape)
    s = grid.sign
    # A part that moves along its own outward normal closes the gap; a jaw that closes does so by cos phi.
    columns = [
        -s * np.cos(theta),
        -s * np.sin(theta),
        s * z * np.sin(theta),
        -s * z * np.cos(theta),
        -np.cos(phi),
    ]
    return np.column_stack([column.ravel() for column in columns])


def press(
    setup: ContactSetup, start: ContactResult | None = None, prepared: Prepared | None = None
) -> ContactResult:
    """Clamp the part and return pressures and motions.

    Parameters
    ----------
    setup : ContactSetup
        Geometry, bodies, loads.
    start : ContactResult or None
        A neighbouring solution on the same grid, to start from.
    prepared : Prepared or None
        The bodies' compliances from `prepare`, for other loads, fits and offsets on the same bodies; computed
        here when None.

    Returns
    -------
    ContactResult

    Raises
    ------
    ContactNotConverged
        When the loads cannot be balanced by pushing jaws, or the solver does not settle.
    ValueError
        When the prepared bodies belong to another face.
    """
    ready = prepare(setup) if prepared is None else prepared
    closed = None
    if start is not None and start.pressure_mpa.shape == (3, *ready.grid.shape):
        closed = np.asarray(start.pressure_mpa > 0.0).ravel()
    return solved(setup, ready, posed(setup, ready, np.array(setup.load.jaw_outward_force_n)), closed)


def spun(
    setup: ContactSetup,
    rest: ContactResult,
    outward_n: tuple[float, float, float],
    prepared: Prepared | None = None,
) -> ContactResult:
    """Let each jaw pull outward (centrifugal force) while its piston stays where it stood at rest.

    The grip that is lost is the share lam of the outward force that the real stiffnesses leave: with drive k_chuck
    and bodies k_part in parallel lam = k_part/(k_part + k_chuck). Inside gripping gains alike.

    Parameters
    ----------
    setup : ContactSetup
        As at rest.
    rest : ContactResult
        The solution at rest.
    outward_n : tuple of float
        (3,) force on each jaw away from the spindle.
    prepared : Prepared or None
        See `press`.
    """
    ready = prepare(setup) if prepared is None else prepared
    outward = np.array(outward_n) + np.array(setup.load.jaw_outward_force_n)
    pose = posed(setup, ready, outward, rest.approach_mm)
    return solved(setup, ready, pose, np.asarray(rest.pressure_mpa > 0.0).ravel())


def _require_same_face(setup: ContactSetup, grid: FaceGrid) -> None:
    grip = setup.grip
    same = grip.inside == grid.inside and abs(grip.part_radius_mm - grid.radius_mm) <= 0.01 * grid.radius_mm
    heights = (grip.z_low_mm, grip.z_high_mm)
    if not (same and np.allclose(heights, grid.height_edges_mm[[0, -1]], atol=1e-6)):
        raise ValueError("the prepared bodies belong to another face: direction, radius or height differ")


@dataclass(frozen=True, slots=True, eq=False)
class Posed:
    """A contact as a unilateral problem: what does not depend on side load, moment and closing force.

    Attributes
    ----------
    touch_mm : float
        Offset of the jaws at the first touch.
    gap_mm : (n,) array
        Before loading, at the locked travel where there is one.
    opened : (n, 5) array
        Gap that unit motions open, mm per mm or rad; see `motions`.
    outward_n : (3,) array
        Force of each jaw away from the spindle.
    locked : float or None
        Closing travel that is held, mm.
    """

    touch_mm: float
    gap_mm: Floats
    opened: Floats
    outward_n: Floats
    locked: float | None

    def kept(self, *, hold_square: bool) -> list[int]:
        """Return which motions are free."""
        return [0, 1, *([] if hold_square else [2, 3]), *([4] if self.locked is None else [])]

    def mirrored(self, *, hold_square: bool) -> list[int]:
        """Return those of them that do not tell the two sides of jaw 1 apart."""
        return [one for one in self.kept(hold_square=hold_square) if one in MIRRORED_MOTIONS]

    def loads(self, load: GripLoad) -> Floats:
        """Return the loads that work through the motions, (5,)."""
        return np.array([*load.side_load_n, *load.moment_nmm, load.closing_force_n])


def posed(setup: ContactSetup, ready: Prepared, outward: Floats, locked: float | None = None) -> Posed:
    """Return gap and motions of a setup with the jaws' outward forces (N), and a closing travel that is held."""
    _require_same_face(setup, ready.grid)
    middle, touch = setup.grip.z_middle_mm, first_touch_offset(setup.grip, ready.grid)
    opened = ready.once("motions", middle, lambda: motions(ready.grid, middle))
    return _posed(setup, ready.grid, touch, outward, locked, opened)


def posed_on(
    setup: ContactSetup, grid: FaceGrid, touch: float, outward: Floats, locked: float | None = None
) -> Posed:
    """Return the same on another grid of the face, from a first touch that is known (mm)."""
    return _posed(setup, grid, touch, outward, locked, motions(grid, setup.grip.z_middle_mm))


def _posed(
    setup: ContactSetup, grid: FaceGrid, touch: float, outward: Floats, locked: float | None, G: Floats
) -> Posed:
    push = grid.sign * outward / setup.guide.radial_stiffness_n_per_mm
    gap = initial_gap(setup.grip, grid, touch)
    gap = (gap + push[:, None, None] * np.cos(grid.angles_rad)).ravel()
    if locked is not None:
        gap = gap + G[:, 4] * locked
    return Posed(touch, gap, G, outward, locked)


def solved(setup: ContactSetup, ready: Prepared, pose: Posed, closed: Flags | None) -> ContactResult:
    """Solve a setup's load; loads and gaps that treat all jaws alike need a sixth of the cells, mirrored ones half."""
    found, kept = found_for(setup, ready, pose, closed)
    return result_of(setup, ready.grid, pose, found, kept)


def found_for(
    setup: ContactSetup, ready: Prepared, pose: Posed, closed: Flags | None
) -> tuple[Unilateral, list[int]]:
    """Return what solves the unilateral problem of a setup's load, and the motions that are free in it."""
    gap, G, c = pose.gap_mm, pose.opened, pose.loads(setup.load)
    if treats_alike(ready.images, gap, c):
        kept = [4] if pose.locked is None else []
        found = alike_solution(
            (ready.alike_mm_n, ready.alike_n_mm), ready.images, gap, G[:, kept], c[kept], closed
        )
    elif treats_mirrored(ready.grid, gap, c):
        kept, bodies = pose.mirrored(hold_square=setup.hold_square), mirrored_bodies(ready)
        found = alike_solution(bodies, mirrored_images(ready.grid), gap, G[:, kept], c[kept], closed)
    else:
        kept, stiffness = pose.kept(hold_square=setup.hold_square), ready.stiffness_n_mm
        if closed is None:
            closed = closed_about(few_strips(ready), gap, G[:, kept], c[kept])
        found = solve_unilateral(ready.total_mm_n, gap, G[:, kept], c[kept], closed, inverse=stiffness)
    return found, kept


def few_strips(ready: Prepared) -> Floats:
    """Return the compliance of strips taken together, read from all cells once."""
    return ready.once("strips together", 0.0, lambda: strips_together(ready.total_mm_n, ready.grid.shape))


def treats_alike(images: Ints, gap: Floats, loads: Floats) -> bool:
    """Tell whether loads (5,) and gap (n,) are the same on all images of a cell."""
    alike = gap[images]
    return not np.any(loads[:4]) and bool(np.ptp(alike, axis=1).max() <= 1e-12 * (1.0 + np.abs(alike).max()))


def alike_solution(
    bodies: tuple[Floats, Floats | None] | Bodies,
    images: Ints,
    gap: Floats,
    G: Floats,
    c: Floats,
    closed: Flags | None,
) -> Unilateral:
    """Solve for one cell of those that are loaded alike, and copy it to its images.

    Parameters
    ----------
    bodies : two (m, m) arrays, or Bodies
        Compliance of images loaded alike and its inverse, if it is known.
    images : (m, k) array of int
    gap, G, c, closed :
        See `solve_unilateral`, of all cells.
    """
    rows = images[:, 0]
    begin = None if closed is None else closed[rows]
    own = gap[rows], G[rows], c / images.shape[1], begin
    if isinstance(bodies, tuple):
        part = solve_unilateral(bodies[0], *own, inverse=bodies[1])
    else:
        part = solve_bodies(bodies, *own)
    force, gaps = np.zeros(gap.size), np.zeros(gap.size)
    force[images], gaps[images] = part.force_n[:, None], part.gap_mm[:, None]
    return replace(part, force_n=force, gap_mm=gaps)


def result_of(
    setup: ContactSetup, grid: FaceGrid, pose: Posed, found: Unilateral, kept: list[int]
) -> ContactResult:
    """Return the result of a problem that was solved for the motions `kept`."""
    motion, c = np.zeros(5), pose.loads(setup.load)
    motion[kept] = found.motion
    balance = pose.opened.T @ found.force_n
    if pose.locked is not None:
        motion[4], c[4] = pose.locked, -balance[4]
    balance, outward, touch = balance + c, pose.outward_n, pose.touch_mm
    force = found.force_n.reshape(3, *grid.shape)
    along = np.cos(grid.angles_rad)
    lever = np.outer(grid.heights_mm - setup.guide.guide_height_mm, along)
    each = force.reshape(3, -1)
    grip = force.sum(axis=1) @ along
    closed = force > 0.0
    return ContactResult(
        grid=grid,
        pressure_mpa=force / grid.areas_mm2,
        gap_mm=found.gap_mm.reshape(force.shape),
        grip_n=grip,
        approach_mm=float(motion[4]),
        offset_mm=touch - grid.sign * float(motion[4]),
        part_shift_mm=motion[:2],
        part_tilt_rad=motion[2:4],
        jaw_travel_mm=(grip + grid.sign * outward) / setup.guide.radial_stiffness_n_per_mm,
        jaw_tilt_rad=each @ lever.ravel() / setup.guide.tilt_stiffness_nmm_per_rad,
        square_moment_nmm=-balance[2:4] if setup.hold_square else np.zeros(2),
        pattern=contact_pattern(np.asarray(closed)),
        closed_fraction=float((closed.sum(axis=0) * grid.areas_mm2).sum() / (3.0 * grid.areas_mm2.sum())),
        residuals=Residuals(
            force_n=float(np.abs(balance[:2]).max()),
            moment_nmm=0.0 if setup.hold_square else float(np.abs(balance[2:4]).max()),
            closing_n=float(balance[4]),
            penetration_mm=found.penetration_mm,
            relative=found.imbalance,
            iterations=found.iterations,
        ),
    )


def contact_pattern(closed: Flags) -> Pattern:
    """Name where the faces carry, from the cells under pressure (3, nz, nt).

    'middle': middle strips carry and edge strips do not; 'edges': the reverse; 'full': both.
    """
    carrying = np.any(closed, axis=(0, 1))
    count = carrying.size
    middle = bool(carrying[(count - 1) // 2] or carrying[count // 2])
    edges = bool(carrying[0] or carrying[-1])
    if middle and edges:
        return "full"
    return "edges" if edges else "middle"
