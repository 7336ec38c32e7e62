"""Which drawings there are."""

from __future__ import annotations

from typing import Literal

from sim.assessment.results import Assessment
from sim.drawing.asked import Asked
from sim.drawing.assembly_drawing import assembly_sheet
from sim.drawing.jaw_set_drawing import jaw_set_sheet
from sim.drawing.pocket_drawing import pocket_sheet
from sim.drawing.primitives import Sheet

Subject = Literal["pocket", "jaws", "assembly"]


def drawing(assessment: Assessment, subject: Subject, asked: Asked, stage: str | None = None) -> Sheet:
    """Return a drawing of a judged setup.

    Parameters
    ----------
    assessment : Assessment
    subject : {'pocket', 'jaws', 'assembly'}
        The pockets in a jaw; the jaw set from the tailstock; the assembly in section.
    asked : Asked
    stage : str, optional
        Of the assembly: 'boring', or an operation's name; default: the first operation.

    Raises
    ------
    ScenarioError
        If there is no such stage, or the drawing does not fit on the paper.
    """
    if subject == "pocket":
        return pocket_sheet(assessment, asked)
    if subject == "jaws":
        return jaw_set_sheet(assessment, asked)
    return assembly_sheet(assessment, asked, stage)
