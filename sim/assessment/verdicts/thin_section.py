"""Verdict on the thinnest section between the jaws and each cut: does it bear what the cut bends and twists it with."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.thin_section import BEARS, ThinSections
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule, over
from sim.base.floats import Number
from sim.base.rounding import near
from sim.mechanics.cutting import CutForces
from sim.mechanics.thin_section import Sections, worst_stress
from sim.setup.parts import Parts
from sim.setup.sections import part_metal

SECTION_UNDER_THE_CUT = Rule(
    key="section_under_the_cut",
    name="section under the cut",
    unit="of yield",
    at_least=False,
    basis=(
        "two thirds of the yield strength (assumption, no source); bending, torsion and thrust of each cut on a beam, "
        "equivalent stress (von Mises), of a brittle metal the largest tension"
    ),
    depends=frozenset({"speed", "cut", "geometry"}),
    view="cut",
    asks="does the thinnest section between jaws and cut bear what the cut bends, twists and pushes it with?",
)


def section_under_the_cut_and_limit(stress: Number, strength: float) -> tuple[Number, float]:
    """Return the largest stress of a section (MPa) as a share of the yield strength (MPa), and what it may be."""
    return stress / strength, BEARS


def section_verdict(parts: Parts, figures: OperationFigures, sections: Sequence[ThinSections]) -> Verdict:
    """Return whether each cut finds the part thick enough between the jaws and itself."""
    metal = part_metal(parts.scenario, figures.index)

    def under(forces: CutForces, these: Sections) -> tuple[float, float]:
        stress, height = worst_stress(forces, these, brittle=metal.brittle)
        return float(stress[0]), height

    worst = max(sections, key=lambda one: under(one.demand.forces, one.sections)[0])
    stress, height = under(worst.demand.forces, worst.sections)
    sure = max(
        under(one.demand.forces, one.sections if one.certain is None else one.certain)[0] for one in sections
    )
    share, most = section_under_the_cut_and_limit(stress, metal.yield_strength)
    certain, _ = section_under_the_cut_and_limit(sure, metal.yield_strength)
    bears = most * metal.yield_strength
    message = (
        f"{worst.name} strains the part most at {height:.1f} mm from its back face, with {near(stress, bears, 0)} MPa; "
        f"it yields at {metal.yield_strength:.0f} MPa."
    )
    if np.isinf(stress):
        message = (
            f"{worst.name} cuts what is parted from the jaws at {height:.1f} mm from the part's back face."
        )
    elif stress == 0.0:
        message = "no cut loads a section that stands out of the jaws."
    unsure = not over(certain, most)
    if unsure and over(share, most):
        message += " The groove there stands after this cut: it counts as if it were cut before."
    return SECTION_UNDER_THE_CUT.verdict(
        figures.operation.name,
        share,
        most,
        message=message,
        advice="Cut the neck last, take lighter cuts beyond it, or bear the end by a centre or a steady rest.",
        otherwise="warn" if unsure else "fail",
    )
