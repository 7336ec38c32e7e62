"""The boring set-up, and what its fixture bears.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapely.geometry.base import BaseGeometry

from sim.assessment.figures.path import PathFigures
from sim.clearance.advice import FixtureAdvice
from sim.mechanics.fixtures import Bearing, Load


@dataclass(frozen=True, slots=True)
class FixtureStrain:
    """What one part of the boring fixture, or of its seat in the jaws, has to bear in its worst state.

    Attributes
    ----------
    what : str
        A clause.
    value, allowed : float
        In `unit`.
    unit : {'MPa', 'N'}
    state : str
        'at rest' or 'at the highest speed'.
    basis, remedy : str
        Formula and limit; what mends it besides less load, as a sentence.
    """

    what: str
    value: float
    allowed: float
    unit: Literal["MPa", "N"]
    state: str
    basis: str
    remedy: str

    @property
    def share(self) -> float:
        """Value over what is allowed."""
        return self.value / self.allowed


@dataclass(frozen=True, slots=True)
class FixtureFigures:
    """How the jaws load the boring fixture, and how it bears that.

    Attributes
    ----------
    material : str
    height : float
        Of the load above the serrated plane, mm.
    bearing : Bearing
        By the fixture's dimensions.
    load : Load
        Total load at the boring pressure.
    at_speed : float
        Total load at the highest boring speed, N; all of the centrifugal force counts.
    guide_moment : float
        Largest load of a jaw times its height above the guideway's middle, N mm.
    strength, seat : tuple of FixtureStrain
        Of the fixture itself; where jaws and fixture press each other.
    give : float
        How far each jaw has moved under the largest load, mm.
    """

    material: str
    height: float
    bearing: Bearing
    load: Load
    at_speed: float
    guide_moment: float
    strength: tuple[FixtureStrain, ...]
    seat: tuple[FixtureStrain, ...]
    give: float

    @property
    def rest(self) -> float:
        """Total load at rest, N."""
        return self.load.rest

    @property
    def largest(self) -> float:
        """Largest total load, N."""
        return max(self.rest, self.at_speed)


@dataclass(frozen=True, slots=True, eq=False)
class BoringFigures(PathFigures):
    """The boring set-up: the jaws are the stock.

    Attributes
    ----------
    fixture : FixtureAdvice or None
        Which ring or plug the path leaves room for; None for gripping inside, and without moves.
    outer_ring_top : float or None
        For gripping inside: highest z (mm) of an outer ring's upper face; None otherwise.
    highest_speed : float
        Of the path, rev/min.
    advice : str
        What to do about the fixture, empty if nothing.
    bearing : FixtureFigures or None
        The fixture under the jaws' load; None without one.
    """

    wanted: BaseGeometry
    fixture: FixtureAdvice | None
    outer_ring_top: float | None
    highest_speed: float
    advice: str
    bearing: FixtureFigures | None
