"""A clamped part under further loads: what depends on bodies, fit and closed cells is done once.

A load across the spindle, its moment or another closing force changes few cells of a part at rest, so each further
load takes a small share of a `press` (`sim.contact.pivot`) and gives the same figures. Where a load changes too many of
them, or cannot be held, the general solver is asked, with its errors.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.linalg import LinAlgError

from sim.base.arrays import Flags, Floats
from sim.contact.coarse import closed_about
from sim.contact.elastic import prepare
from sim.contact.errors import ContactNotConverged
from sim.contact.mirror import treats_mirrored
from sim.contact.pivot import Balanced, Pivot, Settled, balanced, pivoted, settled, times
from sim.contact.prepared import Prepared
from sim.contact.setup import ContactSetup, GripLoad
from sim.contact.solve import (
    ContactResult,
    Posed,
    few_strips,
    found_for,
    posed,
    result_of,
    solved,
    treats_alike,
)
from sim.contact.together import settled_together
from sim.contact.unilateral import Unilateral


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """A part between the jaws, ready for further loads.

    Attributes
    ----------
    setup : ContactSetup
        Without side load and moment.
    prepared : Prepared
    posed : Posed
        Gap and motions.
    pivot : Pivot
    """

    setup: ContactSetup
    prepared: Prepared
    posed: Posed
    pivot: Pivot
    _balanced: dict[bool, Balanced | None] = field(default_factory=dict)

    def balanced(self, hold_square: bool) -> Balanced | None:  # noqa: FBT001
        """Return the pivot with the motions that are free."""
        if hold_square not in self._balanced:
            self._balanced[hold_square] = balanced(self.pivot, self.posed.kept(hold_square=hold_square))
        return self._balanced[hold_square]


def at_rest(
    setup: ContactSetup, prepared: Prepared | None = None, *, locked_at: ContactResult | None = None
) -> Rest:
    """Clamp the part without side load and moment, and make it ready for further loads.

    Parameters
    ----------
    setup : ContactSetup
    prepared : Prepared or None
        See `press`.
    locked_at : ContactResult or None
        A solution at which the pistons stay, as in `spun`; None: the closing force acts.
    """
    ready = prepare(setup) if prepared is None else prepared
    setup = replace(setup, load=replace(setup.load, side_load_n=(0.0, 0.0), moment_nmm=(0.0, 0.0)))
    travel = None if locked_at is None else locked_at.approach_mm
    outward = np.array(setup.load.jaw_outward_force_n)
    pose = posed(setup, ready, outward, travel)
    try:
        pivot = _pivot_at_rest(setup, ready, pose)
    except LinAlgError as error:
        raise ContactNotConverged("The compliance of the contact is not positive definite.") from error
    return Rest(setup, ready, pose, pivot)


def _pivot_at_rest(setup: ContactSetup, ready: Prepared, pose: Posed) -> Pivot:
    """Return the pivot on the cells that are closed at rest; jaws that are not alike begin from what few strips say."""
    loads, kept = pose.loads(setup.load), pose.kept(hold_square=setup.hold_square)
    about = None
    if not treats_alike(ready.images, pose.gap_mm, loads):
        opened = pose.opened[:, kept]
        about = closed_about(few_strips(ready), pose.gap_mm, opened, loads[kept])
        pivot = None
        if about is not None and not treats_mirrored(ready.grid, pose.gap_mm, loads):
            pivot = _pivoted(setup, ready, pose, about)
        state = None if pivot is None else balanced(pivot, kept)
        found = None if state is None else settled(state, loads[kept])
        if pivot is not None and found is not None:
            if not found.changed.size:
                return pivot
            closed = pivot.closed.copy()
            closed[found.changed] ^= True
            return _pivoted(setup, ready, pose, closed)
    return _pivoted(setup, ready, pose, _closed(setup, ready, pose, about))


def _closed(setup: ContactSetup, ready: Prepared, pose: Posed, about: Flags | None) -> Flags:
    """Return which cells are closed at rest; all where the part is not held."""
    try:
        return np.asarray(found_for(setup, ready, pose, about)[0].force_n > 0.0)
    except ContactNotConverged:  # a load may hold what is not balanced without it
        return np.ones(pose.gap_mm.size, dtype=bool)


def _pivoted(setup: ContactSetup, ready: Prepared, pose: Posed, closed: Flags) -> Pivot:
    each, stiffness, opened = closed.reshape(3, -1), ready.stiffness_n_mm, pose.opened
    jaw = each.shape[1]  # the jaws' compliances are equal
    period, resisted = jaw if np.all(each == each[0]) else None, None
    if 2 * np.count_nonzero(closed) > closed.size:
        z_middle = float(setup.grip.z_middle_mm)
        resisted = np.column_stack(
            [
                ready.once("resisted motions", z_middle, lambda: times(stiffness, opened, jaw)),
                times(stiffness, pose.gap_mm[:, None], jaw),
            ]
        )
    return pivoted(ready.total_mm_n, stiffness, pose.gap_mm, opened, closed, period, resisted)


def loaded(
    rest: Rest, load: GripLoad, start: ContactResult | None = None, *, hold_square: bool | None = None
) -> ContactResult:
    """Load a part at rest.

    Parameters
    ----------
    rest : Rest
    load : GripLoad
        Its outward forces of the jaws must be those at rest; with locked pistons its closing force does not matter.
    start : ContactResult or None
        A neighbouring solution.
    hold_square : bool or None
        Whether the back face keeps the part from tilting; None: as at rest.

    Raises
    ------
    ContactNotConverged
        As `press`.
    ValueError
        When a jaw pulls otherwise than at rest.
    """
    state, through = _asked(rest, [load], hold_square)
    own = _under(rest, load, hold_square)
    closed = None if start is None else np.asarray(start.pressure_mpa > 0.0).ravel()
    changed = None if closed is None else np.flatnonzero(closed != rest.pivot.closed)
    found = None if state is None else settled(state, through[0], changed)
    return _anew(rest, own, closed) if found is None else _result(rest, own, found)


def turned_grips(rest: Rest, loads: Sequence[GripLoad]) -> tuple[Floats, ContactResult]:
    """Return the grip of each jaw under several loads, N, (k, 3), and the first state that leaves a jaw least.

    Raises
    ------
    ContactNotConverged
        When the part cannot be held under one of them.
    """
    state, through = _asked(rest, loads, None)
    together = None if state is None else settled_together(state, through)
    nz, _ = rest.prepared.grid.shape
    along = np.tile(np.cos(rest.prepared.grid.angles_rad), nz)
    grips, anew = np.zeros((len(loads), 3)), {}
    if together is not None:
        grips = together.force_n.reshape(len(loads), 3, -1) @ along
    closed = None
    for row in range(len(loads)):
        if together is not None and together.found[row]:
            closed = together.force_n[row] > 0.0
            continue
        anew[row] = _anew(rest, _under(rest, loads[row], None), closed)
        closed, grips[row] = np.asarray(anew[row].pressure_mpa > 0.0).ravel(), anew[row].grip_n
    worst = first_least(grips)
    if worst in anew or together is None:
        return grips, anew[worst]
    return grips, _result(rest, _under(rest, loads[worst], None), together.one(worst))


def first_least(grips: Floats) -> int:
    """Return the first row of grips (k, 3) that has the least of all; mirrored loads give the same but for rounding."""
    least = grips.min(axis=1)
    return int(np.flatnonzero(least <= least.min() + 1e-9 * np.abs(grips).max())[0])


def _asked(
    rest: Rest,
    loads: Sequence[GripLoad],
    hold_square: bool | None,  # noqa: FBT001
) -> tuple[Balanced | None, Floats]:
    """Return the pivot with its motions, and the loads that work through these, (k, m)."""
    square = rest.setup.hold_square if hold_square is None else hold_square
    if any(load.jaw_outward_force_n != rest.setup.load.jaw_outward_force_n for load in loads):
        raise ValueError("the jaws must pull outward as they did at rest")
    through = np.array([rest.posed.loads(load) for load in loads])
    return rest.balanced(square), through[:, rest.posed.kept(hold_square=square)]


def _under(rest: Rest, load: GripLoad, hold_square: bool | None) -> ContactSetup:  # noqa: FBT001
    """Return the setup under a load."""
    square = rest.setup.hold_square if hold_square is None else hold_square
    return replace(rest.setup, load=load, hold_square=square)


def _anew(rest: Rest, setup: ContactSetup, closed: Flags | None) -> ContactResult:
    """Solve among all cells, or raise the error of a part that is not held."""
    return solved(setup, rest.prepared, rest.posed, rest.pivot.closed if closed is None else closed)


def _result(rest: Rest, setup: ContactSetup, found: Settled) -> ContactResult:
    solution = Unilateral(
        found.force_n, found.gap_mm, found.motion, found.rounds, found.penetration_mm, found.imbalance
    )
    return result_of(
        setup, rest.prepared.grid, rest.posed, solution, rest.posed.kept(hold_square=setup.hold_square)
    )
