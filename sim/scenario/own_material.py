"""Materials of one's own, each with its source: what the table has not, or not as the shop has it."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from sim.base import tables
from sim.base.pairings import FAMILIES, pairing_name
from sim.base.units import Angle, Density, Length, Stress
from sim.scenario.cut_limits import ChipExponent, require_own_values
from sim.scenario.table import Name, Table

MOST_STRAIN = 0.1  # yield strength over modulus; plastics reach 0.04, so that more is a slip of the unit
Source = Annotated[str, Field(min_length=8, max_length=400, description="where its values come from")]
Poisson = Annotated[float, Field(ge=0.0, lt=0.5, allow_inf_nan=False, strict=True)]
OwnFriction = Annotated[float, Field(gt=0.0, le=1.0, allow_inf_nan=False, strict=True)]


class OwnPairing(Table):
    """Friction of a part of this material in smooth jaws."""

    jaw: Name = Field(
        description=f"what the jaws are of: {', '.join(FAMILIES)}, or the name of another material of one's own"
    )
    surface: Literal["turned", "ground", "raw"] = Field(description="of the part, where it is gripped")
    low: OwnFriction = Field(description="least friction to be counted on, as wet as it will be, no unit")
    high: OwnFriction = Field(description="most friction, no unit")
    source: Source = Field(description="who has measured it, and how")

    @model_validator(mode="after")
    def _order(self) -> Self:
        if self.low > self.high:
            raise ValueError(f"low must be at most high, {self.high:g}, found {self.low:g}")
        return self


class OwnMaterial(Table):
    """A material of part, jaws or boring fixture that a scenario brings along."""

    name: Name = Field(description="by which part, jaws or fixture name it; none of the table's")
    modulus: Stress = Field(description="Young's modulus, as in '114 GPa'")
    poisson: Poisson = Field(description="Poisson's ratio, no unit")
    density: Density = Field(description="density")
    yield_strength: Stress = Field(
        description="least yield or 0.2 % proof strength (of what breaks first its 0.1 % proof or tensile strength), "
        "whatever the section"
    )
    yields: tuple[tuple[Length, Stress], ...] = Field(
        (),
        max_length=20,
        description="sections up to which a higher one holds, and that one, the thicker the less",
    )
    surface_pressure: Stress | None = Field(
        None,
        description="limiting pressure under a screw head (VDI 2230); left out: its least yield strength stands for it",
    )
    group: str = Field(
        max_length=4,
        description="group of VDI 3323 as the table of Kienzle's values has them: '1' to '11' steels, '14' stainless, "
        "'15' to '20' cast irons, '21' to '25' aluminium, '26' to '28' copper alloys, '29' plastics, '31' to '37' "
        "alloys that resist heat and titanium, '38' and '39' hardened steel",
    )
    specific_force: Stress | None = Field(
        None,
        description="kc1.1 of this metal, 50 to 10000 MPa, with chip_exponent; left out: that of its group",
    )
    chip_exponent: ChipExponent | None = Field(
        None, description="mc of it, 0 to 0.6, no unit; with specific_force"
    )
    reference_rake: Angle | None = Field(
        None, description="rake angle at which specific_force was found; left out: at that of each cut"
    )
    brittle: bool = Field(default=False, strict=True, description="whether it breaks before it yields")
    cast: bool = Field(default=False, strict=True, description="whether its section is the wall of a casting")
    friction_as: Literal["cast iron", "aluminium", "brass", "steel", "plastic"] | None = Field(
        None, description="the family whose friction pairings hold for it; left out: only its own pairings do"
    )
    pairings: tuple[OwnPairing, ...] = Field((), max_length=12, description="friction of its own")
    source: Source

    @model_validator(mode="after")
    def _known(self) -> Self:
        if self.name in {row.name for row in tables.materials()}:
            raise ValueError(f"name must be one that the table of materials has not, found '{self.name}'")
        groups = [row.group for row in tables.kienzle_groups()]
        if self.group not in groups:
            raise ValueError(f"group must be one of {', '.join(groups)}, found '{self.group}'")
        require_own_values(self.specific_force, self.chip_exponent, self.reference_rake, measured=False)
        return self

    @model_validator(mode="after")
    def _strengths(self) -> Self:
        sections = [section for section, _ in self.yields]
        strengths = [strength for _, strength in self.yields]
        if any(later <= one for one, later in pairwise(sections)):
            raise ValueError(f"yields must rise in section, found {', '.join(f'{s:g} mm' for s in sections)}")
        if any(one < later for one, later in pairwise([*strengths, self.yield_strength])):
            raise ValueError(
                f"yields must fall as the section rises, down to yield_strength {self.yield_strength:g} MPa, found "
                + ", ".join(f"{s:g} MPa" for s in strengths)
            )
        highest = max([*strengths, self.yield_strength])
        if highest > MOST_STRAIN * self.modulus:
            raise ValueError(
                f"modulus must be at least {highest / MOST_STRAIN:g} MPa, ten times the highest yield strength, found "
                f"{self.modulus:g} MPa"
            )
        if not 5e-7 <= self.density <= 2.5e-5:
            raise ValueError(
                f"density must lie between 500 and 25000 kg/m3, found {self.density * 1e9:g} kg/m3"
            )
        return self

    @model_validator(mode="after")
    def _pairs(self) -> Self:
        named = [(pair.jaw, pair.surface) for pair in self.pairings]
        for number, pair in enumerate(named):
            if pair in named[:number]:
                raise ValueError(f"pairings[{number}] must be of another jaw or surface than those before it")
        if self.pairings and self.friction_as is not None:
            raise ValueError(
                f"friction_as must be left out beside pairings of its own, found '{self.friction_as}'"
            )
        return self

    @property
    def row(self) -> tables.Material:
        """As a row of the table of materials."""
        own = (
            None
            if self.specific_force is None or self.chip_exponent is None
            else tables.OwnCutting(self.specific_force, self.chip_exponent, self.reference_rake)
        )
        return tables.Material(
            name=self.name,
            modulus=self.modulus,
            poisson=self.poisson,
            density=self.density,
            yield_strength=self.yield_strength,
            surface_pressure=self.yield_strength if self.surface_pressure is None else self.surface_pressure,
            kienzle=self.group,
            source=self.source,
            brittle=self.brittle,
            cast=self.cast,
            yields=self.yields,
            family=self.friction_as or self.name,
            pairings=tuple(
                tables.Friction(
                    pairing_name(self.name, pair.jaw, pair.surface), pair.low, pair.high, pair.source
                )
                for pair in self.pairings
            ),
            cutting=own,
        )
