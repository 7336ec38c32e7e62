"""What somebody asks of a drawing besides what it shows: paper, units, projection."""

from __future__ import annotations

from dataclasses import dataclass

from sim.drawing.phrases import Language
from sim.drawing.primitives import Projection, Units

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm, upright (ISO 216; 8.5 by 11 in)


@dataclass(frozen=True, slots=True)
class Asked:
    """How a drawing is wanted.

    Attributes
    ----------
    paper : str
        One of `PAPERS`.
    units : {'mm', 'inch'}
    projection : {'first', 'third'}
        On which side of the section the view from the tailstock stands.
    language : {'en', 'de'}
        Of the fixed words of a setup sheet.
    """

    paper: str = "A4"
    units: Units = "mm"
    projection: Projection = "first"
    language: Language = "en"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the paper, mm."""
        return PAPERS[self.paper]
