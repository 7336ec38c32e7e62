"""How far a long part bends between the jaws and what else bears it, for each newton across it. Lengths in mm, N, rad.

The part is a beam held in the jaws, which yield and tilt as springs; centre and steady rest are springs, too. With
f(a, b) the deflection at a of the beam on its root alone for a unit force at b,

    f(a, b) = 1 / k_root + a b / k_tilt + integral of (a - x)(b - x) / (E I) dx,  0 to the smaller of a and b

(the unit load theorem), the supports at s bear R so that each yields with the beam, (f(s, s) + 1 / k) R = f(s, q), and
the place of the force gives way by f(q, q) - f(q, s) R. Shear is left out: it matters to short parts that hardly bend.
Elementary beam theory, any handbook of the strength of materials.
"""

from __future__ import annotations

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
    held = [max(0.0, spring.place) for spring in springs]
    between = np.array([[_flexibility(a, b, beam, root) for b in held] for a in held])
    between += np.diag([1.0 / spring.stiffness for spring in springs])
    across = np.array([_flexibility(a, at, beam, root) for a in held])
    return own - float(across @ np.linalg.solve(between, across))


def _flexibility(a: float, b: float, beam: Beam, root: Root) -> float:
    """Return f(a, b), mm/N; Simpson's rule is exact for each slice's parabola."""
    edges = np.clip(beam.edges, None, min(a, b))
    low, high = edges[:-1], edges[1:]
    middle = 0.5 * (low + high)
    product = ((a - x) * (b - x) for x in (low, middle, high))
    first, mean, last = product
    bent = ((high - low) / 6.0 * (first + 4.0 * mean + last) / beam.rigidity).sum()
    return 1.0 / root.across + a * b / root.tilt + float(bent)
