"""How far a long part bends between the jaws and what else bears it, and at which speed it whips.

Lengths in mm, forces in N, angles in rad, masses in kg, speeds in rev/min.

The part is a beam held in the jaws, which yield and tilt as springs; centre and steady rest are springs, too. With
f(a, b) the deflection at a of the beam on its root alone for a unit force at b,

    f(a, b) = 1 / k_root + a b / k_tilt + integral of (a - x)(b - x) / (E I) dx,  0 to the smaller of a and b

(the unit load theorem), the supports at s bear R so that each yields with the beam, (f(s, s) + 1 / k) R = f(s, q), and
the place of the force gives way by f(q, q) - f(q, s) R. Shear is left out: it matters to short parts that hardly bend.
Elementary beam theory, any handbook of the strength of materials.

A part that turns as fast as it swings in bending whips: what is out of balance throws it out without bound. With masses
m at places where it gives by f for each newton, Dunkerley's sum

    1 / w^2 = sum of m f

is below the lowest of these speeds, never above it (S. Dunkerley, On the whirling and vibration of shafts, 1894; the
sum of all 1 / w^2 is that of the diagonal, so the largest of them is less). That slices resist leaning as they turn,
which raises it, is left out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats


@dataclass(frozen=True, slots=True)
class Root:
    """The jaws as springs under the whole part: along a force across the spindle, N/mm, and against tilt, N mm/rad."""

    across: float
    tilt: float


@dataclass(frozen=True, slots=True)
class Spring:
    """What bears the beam: how far from the root, mm, and its stiffness across, N/mm."""

    place: float
    stiffness: float


@dataclass(frozen=True, slots=True, eq=False)
class Beam:
    """A beam in slices.

    Attributes
    ----------
    edges : (n + 1,) array
        From the root, mm, rising.
    rigidity : (n,) array
        E I of each slice, N mm2.
    """

    edges: Floats
    rigidity: Floats

    def __post_init__(self) -> None:
        for name in ("edges", "rigidity"):
            copy = np.array(getattr(self, name), dtype=np.float64)
            copy.setflags(write=False)
            object.__setattr__(self, name, copy)
        if len(self.edges) != len(self.rigidity) + 1 or not (np.diff(self.edges) > 0.0).all():
            raise ValueError("a beam needs rising edges, one more than slices")
        if not (self.rigidity > 0.0).all():
            raise ValueError(f"a beam's slices must be stiff, found E I of {self.rigidity.min():g} N mm2")


def gives(place: float, beam: Beam, root: Root, springs: tuple[Spring, ...]) -> float:
    """Return how far a part gives way at a place (mm from the root) for each newton there, mm/N."""
    at = max(0.0, place)
    own = _flexibility(at, at, beam, root)
    if not springs:
        return own
    across = np.array([_flexibility(max(0.0, spring.place), at, beam, root) for spring in springs])
    return own - float(across @ np.array(borne(place, beam, root, springs)))


def borne(place: float, beam: Beam, root: Root, springs: tuple[Spring, ...]) -> tuple[float, ...]:
    """Return what each spring bears of a force across at a place (mm from the root), as a share of it; no unit."""
    if not springs:
        return ()
    at, held = max(0.0, place), [max(0.0, spring.place) for spring in springs]
    between = np.array([[_flexibility(a, b, beam, root) for b in held] for a in held])
    between += np.diag([1.0 / spring.stiffness for spring in springs])
    across = np.array([_flexibility(a, at, beam, root) for a in held])
    return tuple(float(share) for share in np.linalg.solve(between, across))


def whip_speed(
    ends: Iterable[tuple[Beam, Floats]], held: float, root: Root, springs: tuple[Spring, ...]
) -> float:
    """Return a speed (rev/min) below the lowest at which a part whips.

    Parameters
    ----------
    ends : iterable of (Beam, (n,) array)
        What stands out of the jaws on either side, the first borne by the springs, too; with each slice's mass, kg.
    held : float
        Mass between the jaws, kg.
    root : Root
    springs : tuple of Spring
    """
    weighed, bearing = held / root.across, springs
    for beam, masses in ends:
        middles = 0.5 * (beam.edges[:-1] + beam.edges[1:])
        weighed += math.fsum(m * gives(x, beam, root, bearing) for m, x in zip(masses, middles, strict=True))
        bearing = ()
    # mm kg / N are 1e-3 s^2
    return 30.0 / math.pi * math.sqrt(1000.0 / weighed)


def _flexibility(a: float, b: float, beam: Beam, root: Root) -> float:
    """Return f(a, b), mm/N; Simpson's rule is exact for each slice's parabola."""
    edges = np.clip(beam.edges, None, min(a, b))
    low, high = edges[:-1], edges[1:]
    middle = 0.5 * (low + high)
    product = ((a - x) * (b - x) for x in (low, middle, high))
    first, mean, last = product
    bent = ((high - low) / 6.0 * (first + 4.0 * mean + last) / beam.rigidity).sum()
    return 1.0 / root.across + a * b / root.tilt + float(bent)
