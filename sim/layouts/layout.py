"""A layout: one set of jaws, or several that do the job together, with the verdicts on all of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from meshes.mass import mass_properties
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.verdict import ORDER, Status, Verdict
from sim.assessment.verdicts.boring import BORING_SPEED, STEADY_PRESSURE
from sim.assessment.verdicts.fixture import BORING_RING_PRESSURE, BORING_RING_SPEED
from sim.assessment.verdicts.friction import FRICTION_OF_THE_PART_IN_THE_JAWS
from sim.setup.rebore import PocketStock, pocket_stock

# Verdicts that hold a stated value against a rule for it: it may lie on the limit, nothing is nearer to failing there.
STATED = frozenset(
    {
        BORING_RING_PRESSURE.key,
        BORING_RING_SPEED.key,
        BORING_SPEED.key,
        FRICTION_OF_THE_PART_IN_THE_JAWS.key,
        STEADY_PRESSURE.key,
    }
)
# A plug or an outer ring stands in a seat that is bored first, against a ring (common practice, no source).
BORING_SET_UPS = {"none": 1, "ring": 1, "plug": 2, "outer ring": 2}


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """One way to do the job.

    Attributes
    ----------
    name : str
    sets : tuple of Assessment
        One for each set of jaws, in the order of the work.
    """

    name: str
    sets: tuple[Assessment, ...]

    @property
    def operations(self) -> tuple[tuple[Assessment, OperationFigures], ...]:
        """Every operation with the set that grips it, in the order of the work."""
        return tuple((one, figures) for one in self.sets for figures in one.operations)

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Of all sets, in the order of the sets."""
        return tuple(v for one in self.sets for v in one.verdicts)

    @property
    def unasked(self) -> int:
        """Questions that matter and were not asked, of all sets."""
        return sum(len(one.unasked) for one in self.sets)

    @property
    def status(self) -> Status:
        """Worst of all sets; at best a warning where something that matters was not asked."""
        return min((one.status for one in self.sets), key=ORDER.index)


@dataclass(frozen=True, slots=True)
class SetUps:
    """What the layout asks of the setter: sets of jaws to mount, boring set-ups, clampings of the part."""

    jaw_sets: int
    boring: int
    clampings: int

    @property
    def total(self) -> int:
        """Times that something is set up: mounting a set counts once, and so does each boring and each clamping."""
        return self.jaw_sets + self.boring + self.clampings


def set_ups(layout: Layout) -> SetUps:
    """Return the number of set-ups of a layout."""
    boring = sum(BORING_SET_UPS[one.scenario.boring.fixture.kind] for one in layout.sets)
    return SetUps(len(layout.sets), boring, len(layout.operations))


def closest(verdicts: tuple[Verdict, ...]) -> Verdict:
    """Return the verdict that is nearest to its limit, or farthest beyond it; stated values count only if they fail.

    Raises
    ------
    ValueError
        If there is none.
    """
    return min(counted(verdicts), key=lambda v: v.rank)


def counted(verdicts: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    """Return the verdicts whose margin says something: what was computed, and stated values that break their rule."""
    return tuple(v for v in verdicts if v.status != "pass" or v.key not in STATED)


def least_margin(verdicts: tuple[Verdict, ...]) -> float:
    """Return the least margin of what counts; infinite without a limit anywhere."""
    return min((v.margin for v in counted(verdicts)), default=math.inf)


def jaw_mass(one: Assessment) -> float:
    """Return the mass (kg) of one soft jaw as bored."""
    return mass_properties(one.parts.bored, one.parts.jaw_material.density).mass


def metal_removed(one: Assessment) -> float:
    """Return what is turned out of one blank, cm3, the fixture's seat included."""
    return 1e-3 * float(one.parts.blank.volume - one.parts.bored.volume)


def metal_left(one: Assessment) -> PocketStock:
    """Return the pocket of a set that leaves least for a re-bore."""
    return min(pocket_stock(one.parts), key=lambda stock: stock.radial)
