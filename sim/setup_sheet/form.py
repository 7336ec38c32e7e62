"""How a sheet writes: units of lengths, and language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sim.drawing.asked import Asked
from sim.drawing.phrases import Language, number, said
from sim.drawing.primitives import Units


@dataclass(frozen=True, slots=True)
class Form:
    """Units and language of a sheet's rows.

    Attributes
    ----------
    units : {'mm', 'inch'}
    language : {'en', 'de'}
    """

    units: Units = "mm"
    language: Language = "en"

    @property
    def unit(self) -> str:
        """Short name of its unit of length."""
        return "mm" if self.units == "mm" else "in"

    @property
    def dial(self) -> str:
        """Short name of the unit that its dials show."""
        return "in" if self.units == "inch" else "µm"

    def say(self, english: str, **values: Any) -> str:
        """Return a phrase of the table in its language, with figures and names put in."""
        return said(self.language, english, **values)

    def number(self, text: str) -> str:
        """Return a figure, given with a decimal point, as its language writes it."""
        return number(self.language, text)


def form_of(asked: Asked) -> Form:
    """Return how the rows of a sheet are written."""
    return Form(asked.units, asked.language)
