"""The holding factor over one revolution: the load stands still in space, the jaws turn under it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from sim.base.answers import written
from sim.base.arrays import Floats
from sim.base.kept import kept
from sim.contact.face import frozen_array
from sim.holding.faces import BackFace, HeldFaces, Prop
from sim.holding.program import Limit, Mode, Pressure, least_grips, program, solved

ANGLES = 24  # over one revolution; a multiple of 3
_SAME = 1e-9  # share by which factors differ that are the same but for rounding


@dataclass(frozen=True, slots=True, eq=False)
class Holding:
    """Holding factor of a cut over one revolution.

    Attributes
    ----------
    angles : (k,) array
        By which the chuck has turned, counter-clockwise seen from the tailstock, rad.
    factors : (k,) array
    spindle_angle : float
        The first that has the least factor, rad.
    limit : Limit
        There.
    """

    angles: Floats
    factors: Floats
    spindle_angle: float
    limit: Limit

    def __post_init__(self) -> None:
        for name in ("angles", "factors"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))

    @property
    def factor(self) -> float:
        """The least over the revolution."""
        return self.limit.factor

    @property
    def mode(self) -> Mode:
        """How the part begins to move there."""
        return self.limit.mode


def holding(
    faces: HeldFaces,
    total_grip: float,
    mu: float,
    cut: Floats,
    permanent: Floats | None = None,
    back_face: BackFace | None = None,
    pressure: Pressure = "shifting",
    angles: int = ANGLES,
    props: tuple[Prop, ...] = (),
) -> Holding:
    """Return the holding factor of a cut over one revolution.

    Parameters
    ----------
    faces : HeldFaces
    total_grip : float
        Sum of the jaws' forces at the speed of the cut, N.
    mu : float
        Friction of the part in the jaws, the low value.
    cut, permanent : (6,) array
        Wrenches at spindle angle 0; both stand still in space. None for no permanent load.
    back_face : BackFace, optional
    pressure : {'given', 'shifting', 'free'}
        Where the normal forces may lie, see the package.
    angles : int
        Spindle angles over one revolution.
    props : tuple of Prop
        What else bears the part; like the cut they stand still in space.

    Raises
    ------
    ValueError
        If the grip is negative, friction not greater than 0, or a wrench not six finite numbers.
    HoldingNotSolved
        If a linear program gives no answer.
    """
    turns = 2.0 * math.pi * np.arange(angles) / angles
    third = angles // 3 if angles % 3 == 0 and faces.alike else angles
    limits = limits_at(faces, total_grip, mu, cut, turns[:third], permanent, back_face, pressure, props)
    factors = [found.factor for found in limits]
    # Where the pressure shifts, many angles hold the same but for rounding: the first counts, whatever rounding makes.
    least = int(np.flatnonzero(np.asarray(factors) <= min(factors) * (1.0 + _SAME))[0])
    limit = replace(limits[least], factor=min(factors))
    return Holding(turns, np.tile(factors, angles // third), float(turns[least]), limit)


def limits_at(
    faces: HeldFaces,
    total_grip: float,
    mu: float,
    cut: Floats,
    spindle_angles: Floats,
    permanent: Floats | None = None,
    back_face: BackFace | None = None,
    pressure: Pressure = "shifting",
    props: tuple[Prop, ...] = (),
) -> list[Limit]:
    """Return how much of a cut is held at each of some spindle angles; see `holding`."""
    dead = np.zeros(6) if permanent is None else np.asarray(permanent, dtype=np.float64)
    load = np.asarray(cut, dtype=np.float64)
    for name, wrench in (("cut", load), ("permanent", dead)):
        if wrench.shape != (6,) or not np.isfinite(wrench).all():
            raise ValueError(f"{name} must be six finite numbers, found {wrench}")
    if total_grip == 0.0:
        return [Limit(0.0, "no grip left") for _ in spindle_angles]
    turns = np.array(spindle_angles, dtype=np.float64)
    return list(_solved(faces, total_grip, mu, load, turns, dead, back_face, pressure, props))


@written
@kept(
    512
)  # a window asks for the same grip under other speeds, or the same cut under another boring pressure
def _solved(
    faces: HeldFaces,
    total_grip: float,
    mu: float,
    load: Floats,
    turns: Floats,
    dead: Floats,
    back_face: BackFace | None,
    pressure: Pressure,
    props: tuple[Prop, ...],
) -> tuple[Limit, ...]:
    wanted = program(faces, total_grip, mu, back_face, pressure, props)
    angles = [float(turn) for turn in turns]
    return solved(wanted, [(turned_wrench(load, turn), turned_wrench(dead, turn)) for turn in angles])


def least_grip(
    faces: HeldFaces,
    mu: float,
    cut: Floats,
    permanent: Floats | None = None,
    back_face: BackFace | None = None,
    angles: int = ANGLES,
    props: tuple[Prop, ...] = (),
) -> float:
    """Return the least total grip that holds a cut once over one revolution, and what is permanent before it, N.

    A cut may help to hold: what pulls against the push of a centre. It does not hang on the grip that is there: of
    that a cut takes a share, `1 / holding(...).factor`, which is the same only where nothing is permanent and
    nothing but the jaws bears the part. See `holding`.

    Raises
    ------
    ValueError
        If friction is not greater than 0.
    HoldingNotSolved
        If a linear program gives no answer.
    """
    dead = np.zeros(6) if permanent is None else np.asarray(permanent, dtype=np.float64)
    load = np.asarray(cut, dtype=np.float64)
    turns = 2.0 * math.pi * np.arange(angles) / angles
    third = angles // 3 if angles % 3 == 0 and faces.alike else angles
    permanent_there = np.any(dead) or any(prop.push for prop in props)
    # What is permanent is the same beside most cuts, and is asked for once.
    asked = [*([load] if np.any(load) else []), *([np.zeros(6)] if permanent_there else [])]
    found = (_least_grip(faces, mu, one, turns[:third], dead, back_face, props) for one in asked)
    return max(found, default=0.0)


@written
@kept(512)
def _least_grip(
    faces: HeldFaces,
    mu: float,
    load: Floats,
    turns: Floats,
    dead: Floats,
    back_face: BackFace | None,
    props: tuple[Prop, ...],
) -> float:
    # Forces are taken over one as large as is asked for, about, so that the simplex sees numbers near 1.
    sides = np.array([1.0, 1.0, 1.0, *([1.0 / faces.grid.radius_mm] * 3)])
    size = float(np.linalg.norm(sides * load) + np.linalg.norm(sides * dead)) + sum(p.push for p in props)
    unit = size / mu
    wanted = program(faces, unit, mu, back_face, "shifting", props)
    angles = [float(turn) for turn in turns]
    loads = [(turned_wrench(load, turn), turned_wrench(dead, turn)) for turn in angles]
    return unit * max(least_grips(wanted, loads))


def turned_wrench(wrench: Floats, angle: float) -> Floats:
    """Return a wrench that stands still in space as the chuck sees it after turning by `angle` (rad)."""
    c, s = math.cos(angle), math.sin(angle)
    turn = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    return np.concatenate([turn @ wrench[:3], turn @ wrench[3:]])
