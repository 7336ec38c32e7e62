"""The linear program of one spindle angle: the largest multiple of a cut that the supports balance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim.base.arrays import Floats
from sim.base.errors import ChuckSceneError
from sim.holding.faces import BackFace, HeldFaces, Prop
from sim.holding.supports import free, propping, shifting, standing

Pressure = Literal["given", "shifting", "free"]
Mode = Literal[
    "slips around",
    "pulled out",
    "pushed back",
    "tips",
    "pushed off a jaw",
    "does not bear its weight",
    "no grip left",
    "nothing moves it",
]

_UNBOUNDED = 1e3  # times the grip: no jaw carries such a load, only a back face does
_SOLVED, _INFEASIBLE = 0, 2  # states of scipy's solver


class HoldingNotSolved(ChuckSceneError):  # noqa: N818 - reads as the sentence it stands for
    """The linear program gave no answer; no figure is returned."""


@dataclass(frozen=True, slots=True)
class Limit:
    """How much of a cut is held at one spindle angle.

    Attributes
    ----------
    factor : float
        Infinite where the back face takes any multiple; 0 where the permanent load alone is not held.
    mode : str
        How the part begins to move at that multiple.
    torque, axial, side, tipping : float
        By which share the factor would rise for each share by which that component of the cut were less: its part in
        the power of the motion that begins (the dual solution). Their sum is 1, a negative one helps to hold; the
        largest names the mode.
    """

    factor: float
    mode: Mode
    torque: float = 0.0
    axial: float = 0.0
    side: float = 0.0
    tipping: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class LinearProgram:
    """All of the program but the load: forces over the grip, moments over grip and gripped radius.

    Attributes
    ----------
    scale : (6,) array
        From N and N mm.
    balance : (rows, n) array
        Six rows of equilibrium, then the sum of the normal forces, then, if the normal forces take the side load by
        themselves, two rows that say so. No unit: over the grip, moments over grip and radius.
    limits : (m, n) array
        Rows that may not be above 0. No unit, as `balance`.
    bounds : n pairs
        Least and largest of each, no unit.
    """

    scale: Floats
    balance: Floats
    limits: Floats
    bounds: tuple[tuple[float, float], ...]


def program(
    faces: HeldFaces,
    total_grip: float,
    mu: float,
    back_face: BackFace | None,
    pressure: Pressure,
    props: tuple[Prop, ...] = (),
) -> LinearProgram:
    """Return the program of a grip, for any load and spindle angle.

    Parameters
    ----------
    faces : HeldFaces
        Where the jaws press.
    total_grip : float
        Sum of the jaws' forces, N.
    mu : float
        Friction of the part in the jaws, no unit.
    back_face : BackFace or None
        On which the part stands; None where it hangs in the jaws alone.
    pressure : {'given', 'shifting', 'free'}
        Where the normal forces may lie, see the package.
    props : tuple of Prop
        What else bears the part.

    Raises
    ------
    ValueError
        If grip (N) or friction is not greater than 0.
    """
    if not (0.0 < total_grip < math.inf and 0.0 < mu < math.inf):
        raise ValueError(f"grip and friction must be greater than 0, found {total_grip:g} N and {mu:g}")
    jaws = free(faces, mu) if pressure == "free" else shifting(faces, mu, tilts=pressure == "shifting")
    supports = [jaws] if back_face is None else [jaws, standing(back_face, faces.middle)]
    supports += [propping(prop, faces.middle, total_grip) for prop in props]
    unit = np.array([1.0, 1.0, 1.0, *([1.0 / faces.grid.radius_mm] * 3)])
    columns = [s.columns for s in supports]
    rubbing = [np.zeros(s.rubbing.shape[1]) for s in supports]
    grip = [np.concatenate([s.grip, rest]) for s, rest in zip(supports, rubbing, strict=True)]
    rows = [np.hstack(columns) * unit[:, None], np.concatenate(grip)[None]]
    if pressure == "given":
        others = sum(c.shape[1] for c in columns) - jaws.grip.size
        rows.append(np.hstack([jaws.wrench[:2], np.zeros((2, others))]))
    lowest = [np.concatenate([s.lowest, rest]) for s, rest in zip(supports, rubbing, strict=True)]
    highest = [
        np.concatenate([s.highest, rest + math.inf]) for s, rest in zip(supports, rubbing, strict=True)
    ]
    return LinearProgram(
        scale=unit / total_grip,
        balance=np.vstack(rows),
        limits=_side_by_side([s.limits for s in supports]),
        bounds=tuple(zip(_joined(lowest), _joined(highest), strict=True)),
    )


def solved(wanted: LinearProgram, cut: Floats, permanent: Floats) -> Limit:
    """Return how much of a cut (6,) is held beside a permanent load (6,).

    Raises
    ------
    HoldingNotSolved
        If the solver gives no answer.
    """
    from scipy.optimize import linprog

    load, dead = wanted.scale * cut, wanted.scale * permanent
    size = float(np.linalg.norm(load)) or 1.0
    load = load / size
    rows, count = wanted.balance.shape
    column, right = np.zeros(rows), np.zeros(rows)
    column[:6], right[:6], right[6] = load, -dead, 1.0
    if rows > 7:
        column[7:], right[7:] = load[:2], -dead[:2]
    for presolve in (False, True):  # it takes longer than the simplex itself, but settles the rare rest
        found = linprog(
            np.concatenate([[-1.0], np.zeros(count)]),
            A_ub=np.hstack([np.zeros((len(wanted.limits), 1)), wanted.limits]),
            b_ub=np.zeros(len(wanted.limits)),
            A_eq=np.hstack([column[:, None], wanted.balance]),
            b_eq=right,
            bounds=[(0.0, _UNBOUNDED), *wanted.bounds],
            method="highs",
            options={"presolve": presolve},
        )
        if found.status in (_SOLVED, _INFEASIBLE):
            break
    if found.status == _INFEASIBLE:
        return Limit(0.0, "does not bear its weight")
    if found.status != _SOLVED:
        raise HoldingNotSolved(f"the holding factor was not found: {found.message}")
    multiple = float(np.asarray(found.x)[0])
    if multiple >= 0.999 * _UNBOUNDED:
        return Limit(math.inf, "nothing moves it")
    share = -column * np.asarray(found.eqlin.marginals)
    torque, axial, tipping = float(share[5]), float(share[2]), float(share[3] + share[4])
    side = float(share[0] + share[1] + share[7:].sum())
    mode = _mode(torque, axial, side, tipping, axial_load=float(load[2]))
    return Limit(max(0.0, multiple) / size, mode, torque, axial, side, tipping)


def _mode(torque: float, axial: float, side: float, tipping: float, *, axial_load: float) -> Mode:
    along: Mode = "pulled out" if axial_load > 0.0 else "pushed back"
    ways: tuple[tuple[float, Mode], ...] = (
        (torque, "slips around"),
        (axial, along),
        (tipping, "tips"),
        (side, "pushed off a jaw"),
    )
    return max(ways, key=lambda way: way[0])[1]


def _joined(rows: list[Floats]) -> list[float]:
    return [float(value) for value in np.concatenate(rows)]


def _side_by_side(blocks: list[Floats]) -> Floats:
    """Return the matrix with the blocks on its diagonal."""
    found = np.zeros((sum(len(b) for b in blocks), sum(b.shape[1] for b in blocks)))
    row = column = 0
    for block in blocks:
        found[row : row + len(block), column : column + block.shape[1]] = block
        row, column = row + len(block), column + block.shape[1]
    return found
