"""What may push and rub on the part: the jaws under one of three kinds of pressure, and the back face.

Forces are multiples of unknown numbers: pushes, and friction along each edge of each friction pyramid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.contact.face import JAW_ANGLES_RAD
from sim.holding.faces import NOTHING, BackFace, HeldFaces, Prop, corners, lattice

SIDES = 16  # of the friction pyramid; a multiple of 4: torque alone and axial force alone come out exact
PYRAMID_ERROR = 1.0 - math.cos(math.pi / SIDES)  # largest share by which friction is taken too low
AROUND = 24  # directions in which a prop bears; a multiple of 3, so that a third of a turn changes nothing
STRIPS, BANDS = 3, 2  # parts of a face that rub on their own; 12 x 6 of them change the factor by under 1 %


@dataclass(frozen=True, slots=True, eq=False)
class Support:
    """Pushes and friction of one body on the part; forces over the grip, moments over grip and radius: no unit.

    Attributes
    ----------
    wrench : (6, k) array
        Of each push.
    grip : (k,) array
        What each adds to the sum of the jaws' normal forces.
    lowest, highest : (k,) arrays
        Bounds of the pushes.
    least : (m, k) array
        Combinations of the pushes that may not be negative.
    capacity : (n, k) array
        Coefficient of friction times the normal force of each push on each place that rubs.
    rubbing : (6, n SIDES) array
        Wrench of friction along each edge of each place's pyramid.
    """

    wrench: Floats
    grip: Floats
    lowest: Floats
    highest: Floats
    least: Floats
    capacity: Floats
    rubbing: Floats

    @property
    def columns(self) -> Floats:
        """Wrenches of all unknowns: pushes, then friction."""
        return np.hstack([self.wrench, self.rubbing])

    @property
    def limits(self) -> Floats:
        """Rows that may not be above 0: friction less its capacity, and `least` reversed."""
        cones = np.kron(np.eye(len(self.capacity)), np.ones((1, SIDES)))
        empty = np.zeros((len(self.least), cones.shape[1]))
        return np.vstack([np.hstack([-self.capacity, cones]), np.hstack([-self.least, empty])])


def wrenches(place: tuple[Floats, Floats, Floats], force: tuple[Floats, Floats, Floats]) -> Floats:
    """Return the wrenches (6, n) of forces (x, y, z) at places (x, y, z)."""
    (x, y, z), (fx, fy, fz) = place, force
    return np.array([fx, fy, fz, y * fz - z * fy, z * fx - x * fz, x * fy - y * fx])


def on_cylinder(radius: float, angle: Floats, height: Floats) -> tuple[Floats, Floats, Floats]:
    """Return x, y, z of places on a cylinder."""
    return radius * np.cos(angle), radius * np.sin(angle), height


def shifting(faces: HeldFaces, mu: float, *, tilts: bool) -> Support:
    """Return the jaws with the pressure of the contact, changed by closing, shift and (if it `tilts`) tilt of the part.

    The moments of the normal forces are those of all cells; friction acts at the centres of `STRIPS` x `BANDS` parts
    of each face, with what the cells there can carry.
    """
    turn = np.array(JAW_ANGLES_RAD)[:, None, None]
    angle, height, share = lattice(faces)
    part = _parts(faces, angle, height).ravel()
    theta, z, share = (angle + turn).ravel(), height.ravel(), share.ravel()
    press = _motions(faces, theta, z) * share
    nothing = np.zeros(theta.size)
    inward = -faces.grid.sign
    push = (inward * np.cos(theta), inward * np.sin(theta), nothing)
    wrench = wrenches(on_cylinder(faces.grid.radius_mm, theta, z), push) @ press.T
    carried: Floats = np.array([np.bincount(part, row) for row in press], dtype=np.float64)
    held = carried[0] > NOTHING  # of all the grip
    centre, level = (np.bincount(part, share * row)[held] / carried[0, held] for row in (theta, z))
    highest = np.array([math.inf] * 3 + [math.inf if tilts else 0.0] * 2)
    return Support(
        wrench=wrench,
        grip=press.sum(axis=1),
        lowest=-highest,
        highest=highest,
        least=_motions(faces, *corners(faces)).T,
        capacity=mu * carried[:, held].T,
        rubbing=_rubbing(faces.grid.radius_mm, centre, level),
    )


def free(faces: HeldFaces, mu: float) -> Support:
    """Return the jaws with any pressure at the ends of their faces."""
    theta, z = corners(faces)
    count, inward = theta.size, -faces.grid.sign
    push = (inward * np.cos(theta), inward * np.sin(theta), np.zeros(count))
    return Support(
        wrench=wrenches(on_cylinder(faces.grid.radius_mm, theta, z), push),
        grip=np.ones(count),
        lowest=np.zeros(count),
        highest=np.full(count, math.inf),
        least=np.zeros((0, count)),
        capacity=mu * np.eye(count),
        rubbing=_rubbing(faces.grid.radius_mm, theta, z),
    )


def standing(back: BackFace, middle: float) -> Support:
    """Return the back face: three places on each jaw that push away from the chuck."""
    offsets = back.half_angle * np.array([-1.0, 0.0, 1.0])
    theta = (np.array(JAW_ANGLES_RAD)[:, None] + offsets).ravel()
    count, none = theta.size, np.zeros(theta.size)
    place = on_cylinder(back.radius, theta, np.full(count, back.height - middle))
    along = wrenches(place, (np.cos(theta), np.sin(theta), none))
    across = wrenches(place, (-np.sin(theta), np.cos(theta), none))
    rubs = back.friction > 0.0
    return Support(
        wrench=wrenches(place, (none, none, np.ones(count))),
        grip=none,
        lowest=none,
        highest=np.full(count, math.inf),
        least=np.zeros((0, count)),
        capacity=back.friction * np.eye(count) if rubs else np.zeros((0, count)),
        rubbing=_pyramids(along, across) if rubs else np.zeros((6, 0)),
    )


def propping(prop: Prop, middle: float, total_grip: float) -> Support:
    """Return a prop: its push along the spindle, which is always there, and what it may bear across it.

    Forces across lie in a polygon of `AROUND` sides inside the circle: it errs low by at most 1 - cos(pi / AROUND),
    0.9 %.

    Parameters
    ----------
    prop : Prop
    middle : float
        Of the held height, mm, chuck frame.
    total_grip : float
        Over which all forces are taken, N.
    """
    turn = 2.0 * math.pi * np.arange(AROUND) / AROUND
    none = np.zeros(AROUND)
    across = wrenches((none, none, none + prop.height - middle), (np.cos(turn), np.sin(turn), none))
    push = np.array([[0.0], [0.0], [-prop.push / total_grip], [0.0], [0.0], [0.0]])
    count = AROUND + 1
    return Support(
        wrench=np.hstack([push, across]),
        grip=np.zeros(count),
        lowest=np.concatenate([[1.0], none]),
        highest=np.concatenate([[1.0], none + math.inf]),
        least=np.concatenate([[prop.across / total_grip], none - 1.0])[None],
        capacity=np.zeros((0, count)),
        rubbing=np.zeros((6, 0)),
    )


def _motions(faces: HeldFaces, theta: Floats, z: Floats) -> Floats:
    """Return how closing, shift along x and y and tilts in their planes change the pressure at places, (5, n)."""
    along = 2.0 * z / faces.length
    c, s = np.cos(theta), np.sin(theta)
    return np.array([np.ones(theta.size), c, s, along * c, along * s])


def _parts(faces: HeldFaces, angle: Floats, height: Floats) -> np.ndarray:
    """Return to which part of the faces each point of the lattice belongs."""
    grid = faces.grid
    edges = _between(grid.angle_edges_rad, STRIPS)
    ends = _between(grid.height_edges_mm, BANDS) - faces.middle
    jaw = np.arange(3)[:, None, None] * STRIPS * BANDS
    return jaw + np.digitize(angle, edges) * BANDS + np.digitize(height, ends)


def _between(edges: Floats, parts: int) -> Floats:
    """Return where equal parts of what some edges span meet, in the unit of the edges."""
    return np.linspace(edges[0], edges[-1], parts + 1)[1:-1]


def _rubbing(radius: float, theta: Floats, z: Floats) -> Floats:
    """Return the friction pyramids at places on the gripped cylinder: around and along."""
    place, none = on_cylinder(radius, theta, z), np.zeros(theta.size)
    around = wrenches(place, (-np.sin(theta), np.cos(theta), none))
    return _pyramids(around, wrenches(place, (none, none, np.ones(theta.size))))


def _pyramids(one: Floats, other: Floats) -> Floats:
    """Return the edges of the pyramids over two directions, (6, n SIDES): inside the cone, edges on it."""
    turn = 2.0 * math.pi * np.arange(SIDES) / SIDES
    edges = one[:, :, None] * np.cos(turn) + other[:, :, None] * np.sin(turn)
    return edges.reshape(6, -1)
