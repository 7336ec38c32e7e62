"""The linear program of one spindle angle: the largest multiple of a cut that the supports balance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from sim.base.arrays import Floats
from sim.base.errors import ChuckSceneError
from sim.base.kept import kept
from sim.holding.faces import BackFace, HeldFaces, Prop
from sim.holding.supports import Support, free, propping, shifting, standing

if TYPE_CHECKING:
    import highspy

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
_GRIP = 6  # row of the sum of the normal forces, behind the six of equilibrium


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
    supports = [_jaws(faces, mu, pressure)]
    if back_face is not None:
        supports.append(_blocks(standing(back_face, faces.middle)))
    supports += [_blocks(propping(prop, faces.middle, total_grip)) for prop in props]
    unit = np.array([1.0, 1.0, 1.0, *([1.0 / faces.grid.radius_mm] * 3)])
    columns = np.hstack([s.columns for s in supports])
    rows = [columns * unit[:, None], np.concatenate([s.grip for s in supports])[None]]
    if pressure == "given":
        pushes = supports[0].pushes
        rows.append(np.hstack([pushes, np.zeros((2, columns.shape[1] - pushes.shape[1]))]))
    bounds = np.hstack([s.bounds for s in supports])
    return LinearProgram(
        scale=unit / total_grip,
        balance=np.vstack(rows),
        limits=_side_by_side([s.limits for s in supports]),
        bounds=tuple(zip(*bounds.tolist(), strict=True)),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Blocks:
    """What one support brings into the program, for its pushes and then its friction; no unit, as `Support`.

    Attributes
    ----------
    columns : (6, n) array
    grip : (n,) array
    limits : (m, n) array
    bounds : (2, n) array
        Least and largest.
    pushes : (2, k) array
        Forces across the spindle of its pushes.
    """

    columns: Floats
    grip: Floats
    limits: Floats
    bounds: Floats
    pushes: Floats


def _blocks(support: Support) -> _Blocks:
    rubbing = np.zeros(support.rubbing.shape[1])
    return _Blocks(
        support.columns,
        np.concatenate([support.grip, rubbing]),
        support.limits,
        np.stack(
            [
                np.concatenate([support.lowest, rubbing]),
                np.concatenate([support.highest, rubbing + math.inf]),
            ]
        ),
        support.wrench[:2],
    )


@kept(16)  # the same for every load, grip and prop beside them
def _jaws(faces: HeldFaces, mu: float, pressure: Pressure) -> _Blocks:
    return _blocks(
        free(faces, mu) if pressure == "free" else shifting(faces, mu, tilts=pressure == "shifting")
    )


def solved(wanted: LinearProgram, loads: Sequence[tuple[Floats, Floats]]) -> tuple[Limit, ...]:
    """Return how much of each cut (6,) is held beside its permanent load (6,).

    One after the other, each from where the simplex ended for the one before: a sixth of the time of beginning anew.

    Raises
    ------
    HoldingNotSolved
        If the solver gives no answer.
    """
    solver = _posed(wanted)
    return tuple(_limit(solver, wanted, cut, permanent) for cut, permanent in loads)


def least_grips(wanted: LinearProgram, loads: Sequence[tuple[Floats, Floats]]) -> tuple[float, ...]:
    """Return the least grip that holds each cut (6,) once beside its permanent load (6,), over the program's own grip.

    The same program asked the other way round: the multiple is given and the sum of the normal forces wanted.

    Raises
    ------
    HoldingNotSolved
        If the solver gives no answer.
    """
    import highspy

    solver, unknown = _posed(wanted), wanted.balance.shape[1]
    solver.changeObjectiveSense(highspy.ObjSense.kMinimize)
    solver.changeColCost(0, 0.0)
    for column in range(unknown):
        solver.changeColCost(1 + column, float(wanted.balance[_GRIP, column]))
    solver.changeColBounds(0, 0.0, 0.0)
    solver.changeRowBounds(_GRIP, 0.0, math.inf)
    return tuple(_least(solver, wanted, cut + permanent) for cut, permanent in loads)


def _least(solver: highspy._Highs, wanted: LinearProgram, load: Floats) -> float:
    for row, of in enumerate(wanted.scale * load):
        solver.changeRowBounds(row, float(-of), float(-of))
    status = _run(solver)
    if status != "Optimal":
        raise HoldingNotSolved(f"the grip that a cut asks for was not found: {status}")
    return max(0.0, float(solver.getInfo().objective_function_value))


def _posed(wanted: LinearProgram) -> highspy._Highs:
    """Return the solver with all of the program but the load: the first column and the right side are 0."""
    import highspy

    matrix = np.vstack([wanted.balance, wanted.limits])
    matrix = np.hstack([np.zeros((len(matrix), 1)), matrix])
    row, column = np.nonzero(matrix)
    right = np.zeros(len(matrix))
    right[_GRIP] = 1.0
    model = highspy.HighsLp()
    model.num_row_, model.num_col_ = matrix.shape
    model.col_cost_ = np.eye(1, matrix.shape[1])[0]
    model.sense_ = highspy.ObjSense.kMaximize
    model.col_lower_, model.col_upper_ = np.array([(0.0, _UNBOUNDED), *wanted.bounds]).T
    model.row_lower_ = np.where(np.arange(len(matrix)) < len(wanted.balance), right, -math.inf)
    model.row_upper_ = right
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = np.searchsorted(row, np.arange(len(matrix) + 1))
    model.a_matrix_.index_, model.a_matrix_.value_ = column, matrix[row, column]
    solver = highspy._Highs()  # the class over it prints a line of its own when made
    # Its own presolve takes longer than the simplex itself, and no thread is worth starting for some forty rows.
    for option, value in (("output_flag", False), ("presolve", "off"), ("threads", 1)):
        solver.setOptionValue(option, value)
    solver.passModel(model)
    return solver


def _limit(solver: highspy._Highs, wanted: LinearProgram, cut: Floats, permanent: Floats) -> Limit:
    load, dead = wanted.scale * cut, wanted.scale * permanent
    size = float(np.linalg.norm(load)) or 1.0
    load = load / size
    column = np.zeros(len(wanted.balance))
    # Behind the sum of the normal forces stand rows for the side load alone, if any.
    for row, of in (*enumerate(range(6)), *zip(range(_GRIP + 1, len(column)), range(2), strict=False)):
        column[row] = load[of]
        solver.changeCoeff(row, 0, float(load[of]))
        solver.changeRowBounds(row, float(-dead[of]), float(-dead[of]))
    status = _run(solver)
    if status == "Infeasible":
        return Limit(0.0, "does not bear its weight")
    if status != "Optimal":
        raise HoldingNotSolved(f"the holding factor was not found: {status}")
    found = solver.getSolution()
    multiple = float(found.col_value[0])
    if multiple >= 0.999 * _UNBOUNDED:
        return Limit(math.inf, "nothing moves it")
    share = column * np.array(found.row_dual[: len(column)])
    torque, axial, tipping = float(share[5]), float(share[2]), float(share[3] + share[4])
    side = float(share[0] + share[1] + share[_GRIP + 1 :].sum())
    mode = _mode(torque, axial, side, tipping, axial_load=float(load[2]))
    return Limit(max(0.0, multiple) / size, mode, torque, axial, side, tipping)


def _run(solver: highspy._Highs) -> str:
    """Return the state in which the solver ends; what it does not settle it is asked once more from the beginning."""
    solver.run()
    status = solver.modelStatusToString(solver.getModelStatus())
    if status not in ("Optimal", "Infeasible"):
        solver.clearSolver()
        solver.setOptionValue("presolve", "on")
        solver.run()
        solver.setOptionValue("presolve", "off")
        status = solver.modelStatusToString(solver.getModelStatus())
    return str(status)


def _mode(torque: float, axial: float, side: float, tipping: float, *, axial_load: float) -> Mode:
    along: Mode = "pulled out" if axial_load > 0.0 else "pushed back"
    ways: tuple[tuple[float, Mode], ...] = (
        (torque, "slips around"),
        (axial, along),
        (tipping, "tips"),
        (side, "pushed off a jaw"),
    )
    return max(ways, key=lambda way: way[0])[1]


def _side_by_side(blocks: list[Floats]) -> Floats:
    """Return the matrix with the blocks on its diagonal."""
    found = np.zeros((sum(len(b) for b in blocks), sum(b.shape[1] for b in blocks)))
    row = column = 0
    for block in blocks:
        found[row : row + len(block), column : column + block.shape[1]] = block
        row, column = row + len(block), column + block.shape[1]
    return found
