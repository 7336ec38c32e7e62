"""Figures that need a contact solution, over arrays of forces and sizes, from few solutions on a fixed grid.

For linear bodies without friction all pressures over the closing force F are functions of the lengths over F: of
x = (part radius - bore radius) / F, of the out-of-round over F, of the serrations' offsets over F. So a figure over F
is kept on a grid of these ratios and is linear between its points. The scenario's own sizes, which most variants
keep, have a grid over F alone. That the gap of two circles is not quite linear in the difference of their radii is
left out; it is less than a hundredth as long as that difference is under a hundredth of the radius.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace

import numpy as np

from sim.assessment.bodies import contact_setup, lobes_of
from sim.assessment.clamping import prepared_contact
from sim.assessment.figures.operation import OperationFigures
from sim.base.arrays import Flags, Floats
from sim.contact import ContactSetup, GripLoad, Prepared, press
from sim.contact.prepared import with_moduli
from sim.setup.parts import Parts
from sim.variants.table import Axis, GridTable, Name, Notes

# Share by which a figure between grid points may be off a solution of its own; the least grip of a jaw by twice that
# share of a third of the grip.
TOLERANCE = 0.01
LARGEST_FIT = 1.0  # mm; a grid point is solved at the largest force that keeps its fit under this
FIT_STEP, LOBE_STEP, FORCE_STEP, MODULUS_STEP = 0.1, 0.2, 0.2, 0.1
CONTACT = "contact"  # names these tables among those of a setup
SAME = 1e-9  # mm, within which a size is the scenario's own


@dataclass(frozen=True, slots=True, eq=False)
class ContactFit:
    """What decides a contact besides its closing force, (n,) arrays.

    Attributes
    ----------
    radius : array
        Of the part, mm.
    out_of_round : array
        Peak to peak in radius, mm.
    modulus_share, jaw_share : array
        Of the part's and of the jaws' modulus.
    """

    radius: Floats
    out_of_round: Floats
    modulus_share: Floats
    jaw_share: Floats

    def only(self, rows: Flags) -> ContactFit:
        """Return the fit of some rows."""
        return ContactFit(*(getattr(self, f.name)[rows] for f in fields(self)))


@dataclass(frozen=True, slots=True, eq=False)
class ContactPoint:
    """A point of the grid: setup with its closing force (N), prepared bodies, further coordinates by name."""

    setup: ContactSetup
    ready: Prepared
    force: float
    at: Mapping[str, float]


@dataclass(frozen=True, slots=True, eq=False)
class Question:
    """What is asked of a contact.

    Attributes
    ----------
    name : str
        By which its grids are kept.
    answer : callable
        Figures (k,) at a point of the grid, as they shall be interpolated.
    width : int
        k.
    coarseness : float
        Steps of fit and force over the usual ones: more for what hardly depends on the pattern of pressure.
        No unit.
    axes : mapping of Axis
        Of further coordinates.
    smooth : bool
        The answers have no kinks worth the name where the pattern of contact changes.
    """

    name: str
    answer: Callable[[ContactPoint], Floats]
    width: int
    coarseness: float = 1.0
    axes: Mapping[str, Axis] = field(default_factory=dict)
    smooth: bool = False


class ContactTables:
    """Contact of one operation over its fits and forces; its grids fill as they are asked.

    Parameters
    ----------
    parts, figures : Parts, OperationFigures
        Of the judged setup.
    notes : Notes
        Where its points are noted.

    Raises
    ------
    ScenarioError
        If outline, face and jaw do not fit together.
    """

    def __init__(self, parts: Parts, figures: OperationFigures, notes: Notes) -> None:
        model, work = figures.clamping.model, figures.operation.workpiece
        self._ready = {(1.0, 1.0): prepared_contact(parts, figures.index, figures.zone, model)}
        setup = contact_setup(parts, figures.index, figures.zone, model)
        self._setup = replace(
            setup, grip=replace(setup.grip, lobes=()), load=GripLoad(figures.grip.rest_total)
        )
        self._bore = setup.grip.bore_radius_mm
        self._own = (
            setup.grip.part_radius_mm,
            0.5 * work.gripped_diameter_low,
            0.5 * work.gripped_diameter_high,
        )
        self._own_lobe = work.out_of_round
        self._softness_of_part, self._softness_of_jaw = self._yields_per_force()
        self._softness = self._softness_of_part + self._softness_of_jaw
        self._tables: dict[Name, GridTable] = {}
        self._questions: dict[str, Question] = {}
        self._name, self._notes = (str(figures.index), CONTACT), notes

    @property
    def solved(self) -> int:
        """Number of grid points solved so far."""
        return sum(table.size for table in self._tables.values())

    def __call__(
        self, question: Question, force: Floats, fit: ContactFit, further: Mapping[str, Floats] | None = None
    ) -> Floats:
        """Return the answers to a question at closing forces, (n, k).

        Parameters
        ----------
        question : Question
        force : (n,) array
            Closing force, N, above 0.
        fit : ContactFit
        further : mapping of (n,) arrays
            The question's own coordinates; one that is left out has no axis.
        """
        own = {} if further is None else dict(further)
        coordinates = {
            "fit": (fit.radius - self._bore) / force,
            "lobe": 0.5 * fit.out_of_round / force,
            "force": force,
            "modulus": fit.modulus_share,
            "jaw modulus": fit.jaw_share,
            **own,
        }
        found: Floats | None = None
        for kind, names, rows in self._kinds(fit):
            if not rows.any():
                continue
            wanted = (*names, *own)
            points = np.column_stack([coordinates[name][rows] for name in wanted])
            answers = self.table((question.name, str(kind), *wanted))(points)
            found = np.zeros((force.size, answers.shape[1])) if found is None else found
            found[rows] = answers
        return np.zeros((0, question.width)) if found is None else found

    def known(self, question: Question) -> Question:
        """Return a question, kept under its name for `table`."""
        self._questions[question.name] = question
        return question

    def _kinds(self, fit: ContactFit) -> Iterator[tuple[int, tuple[str, ...], Flags]]:
        """Yield which of the own sizes (-1: another), the coordinates, and the rows, (n,), that a grid serves."""
        moduli = {"modulus": fit.modulus_share != 1.0, "jaw modulus": fit.jaw_share != 1.0}
        lobed = fit.out_of_round > 0.0
        own = np.full(lobed.size, -1)
        for k in reversed(range(len(self._own))):
            same = np.abs(fit.radius - self._own[k]) < SAME
            own[same & (np.abs(fit.out_of_round - self._own_lobe) < SAME)] = k
        # Jaws that stand off by serrations have a length that no variant changes.
        off = ("force",) if any(self._setup.grip.jaw_offsets_mm) else ()
        for having in itertools.product((False, True), repeat=2):
            more = tuple(name for name, has in zip(moduli, having, strict=True) if has)
            soft = np.all(
                [differs == has for differs, has in zip(moduli.values(), having, strict=True)], axis=0
            )
            for k in range(len(self._own)):
                yield k, ("force", *more), (own == k) & soft
            for with_lobe in (False, True):
                lobe = ("lobe",) if with_lobe else ()
                rows = (own < 0) & soft & (lobed == with_lobe)
                yield -1, ("fit", *lobe, *off, *more), rows

    def table(self, key: Name) -> GridTable:
        """Return a table by its question's name, the own size it is for (-1: another), and its coordinates."""
        if key not in self._tables:
            question, kind, names = self._questions[key[0]], int(key[1]), key[2:]
            coarse, scale = question.coarseness, 0.2 * self._softness
            known = {
                "fit": Axis("sinh", coarse * FIT_STEP, scale),
                "lobe": Axis("sinh", 0.5 * (1.0 + coarse) * LOBE_STEP, scale),
                "force": Axis("log", coarse * FORCE_STEP),
                "modulus": Axis("log", MODULUS_STEP),
                "jaw modulus": Axis("log", MODULUS_STEP),
                **question.axes,
            }

            def node(at: tuple[float, ...]) -> Floats:
                return question.answer(self._point(dict(zip(names, at, strict=True)), kind))

            axes = tuple(known[name] for name in names)
            self._tables[key] = GridTable(axes, node, question.width, (*self._name, *key), self._notes)
        return self._tables[key]

    def _point(self, at: dict[str, float], kind: int) -> ContactPoint:
        """Return the contact at one point of the grid."""
        grip = self._setup.grip
        if kind >= 0:
            force, lobe = at["force"], 0.5 * self._own_lobe
            grip = replace(grip, part_radius_mm=self._own[kind])
        else:
            longest = max(abs(at["fit"]), at.get("lobe", 0.0), 1e-30)
            force = at.get("force", min(self._setup.load.closing_force_n, LARGEST_FIT / longest))
            lobe = at.get("lobe", 0.0) * force
            # The prepared face belongs to the part's radius, so the bore takes the fit.
            grip = replace(grip, bore_radius_mm=grip.part_radius_mm - at["fit"] * force)
        grip = replace(grip, lobes=lobes_of(lobe))
        setup = replace(self._setup, grip=grip, load=GripLoad(force))
        return ContactPoint(setup, self._prepared(at), force, at)

    def _prepared(self, at: Mapping[str, float]) -> Prepared:
        shares = (at.get("modulus", 1.0), at.get("jaw modulus", 1.0))
        if shares not in self._ready:
            self._ready[shares] = with_moduli(self._ready[1.0, 1.0], *shares)
        return self._ready[shares]

    def _yields_per_force(self) -> tuple[float, float]:
        """Return how far part and jaw give way per closing force where they fit exactly, mm/N: lengths over F."""
        grip, ready = self._setup.grip, self._ready[1.0, 1.0]
        grip = replace(grip, bore_radius_mm=grip.part_radius_mm, jaw_offsets_mm=(0.0, 0.0, 0.0))
        found = press(replace(self._setup, grip=grip), prepared=ready)
        force = (found.pressure_mpa[0] * found.grid.areas_mm2).ravel()
        part = ready.total_mm_n[: force.size, : force.size] - ready.guide_mm_n - ready.jaw_mm_n
        # Mean yield under this force, by the work it does.
        by_part, by_jaw = (
            float(force @ body @ force / force.sum() ** 2) / 3.0 for body in (part, ready.jaw_mm_n)
        )
        return by_part, by_jaw
