"""Tables of materials, friction pairings, Kienzle's values and screws, each row with its source.

The TOML files lie in `sim/data`; their keys carry the unit, the rows here do not. A row is a frozen
dataclass; a name that is not in a table raises an error that lists the names that are.
"""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import dataclass, fields, replace
from functools import cache
from importlib import resources
from typing import Any, TypeVar

from sim.base.errors import ScenarioError
from sim.base.floats import Number, choose, power

Row = TypeVar("Row")

_UNIT = re.compile(r"(.*?)(_MPa|_mm|_kg_m3)?$")
_FACTORS = {"_kg_m3": 1e-9}  # to kg/mm3


class UnknownNameError(ScenarioError):
    """A name is not in its table; the message lists the names that are."""


STEEL_DENSITY = 7.85e-6  # kg/mm3, of chuck body, master jaws, T-nuts and screws (handbook value of steel)


@dataclass(frozen=True, slots=True)
class OwnCutting:
    """kc1.1 (MPa) and mc (no unit) of one metal, and the rake (rad) at which they were found; None: that of the cut."""

    kc11: float
    mc: float
    rake: float | None = None


@dataclass(frozen=True, slots=True)
class Friction:
    """Coefficient of friction (no unit) of a part in a jaw; `low` is for holding."""

    name: str
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True)
class Material:
    """Isotropic elastic material.

    Attributes
    ----------
    modulus, poisson : float
        Young's modulus (MPa) and Poisson's ratio.
    density : float
        kg/mm3.
    yield_strength : float
        Yield or 0.2 % proof strength, MPa; 0.1 % proof strength for grey iron. Of a row of the table the least, that
        beyond the thickest section listed: thinner ones are asked for by `of_section`.
    surface_pressure : float
        Limiting pressure under a screw head (VDI 2230, p_G), MPa.
    kienzle : str
        VDI 3323 group in the table of Kienzle's values.
    brittle : bool
        Whether it breaks before it yields, so that tension decides.
    cast : bool
        Whether the wall of a casting is its section; else it is the diameter or thickness of a bar.
    yields : tuple of (float, float)
        Section up to which a yield strength holds, mm, and that strength, MPa, the thicker the less; may be empty.
    family : str
        What pairings call it, where its name does not tell.
    pairings : tuple of Friction
        Stated for it beside those of the table.
    cutting : OwnCutting or None
        Values for its cutting forces that take the place of its group's.
    """

    name: str
    modulus: float
    poisson: float
    density: float
    yield_strength: float
    surface_pressure: float
    kienzle: str
    source: str
    brittle: bool = False
    cast: bool = False
    yields: tuple[tuple[float, float], ...] = ()
    family: str = ""
    pairings: tuple[Friction, ...] = ()
    cutting: OwnCutting | None = None

    @property
    def thin_yield_strength(self) -> float:
        """Yield strength of the thinnest section listed, MPa."""
        return self.yields[0][1] if self.yields else self.yield_strength

    def of_section(self, section: float) -> Material:
        """Return it with the yield strength of a section (mm); beyond the thickest listed with the least."""
        found = next((strength for most, strength in self.yields if section <= most), self.yield_strength)
        return replace(self, yield_strength=found, yields=())


@dataclass(frozen=True, slots=True)
class Kienzle:
    """Kienzle's values of a material group, from two printings; kc1.1 in MPa."""

    group: str
    name: str
    kc11_low: float
    mc_low: float
    kc11_high: float
    mc_high: float
    source: str

    def unfavourable(self, chip_thickness: Number) -> tuple[Number, Number]:
        """Return kc1.1 (MPa) and mc of the printing with the larger force at a chip thickness (mm)."""
        first, second = self._specific(chip_thickness)
        low = first >= second
        return choose(low, self.kc11_low, self.kc11_high), choose(low, self.mc_low, self.mc_high)

    def favourable(self, chip_thickness: Number) -> tuple[Number, Number]:
        """Return kc1.1 (MPa) and mc of the printing with the smaller force at a chip thickness (mm)."""
        first, second = self._specific(chip_thickness)
        low = first <= second
        return choose(low, self.kc11_low, self.kc11_high), choose(low, self.mc_low, self.mc_high)

    def _specific(self, h: Number) -> tuple[Number, Number]:
        return self.kc11_low * power(h, -self.mc_low), self.kc11_high * power(h, -self.mc_high)


@dataclass(frozen=True, slots=True)
class Thread:
    """Metric thread with the head and hole of its socket head cap screw, mm.

    Thread diameters follow ISO 724 (basic profile ISO 68-1), the stress area ISO 898-1, 9.1.6.1.
    """

    name: str
    diameter: float
    pitch: float
    head_diameter: float
    bearing_diameter: float
    head_height: float
    socket_width: float
    hole_fine: float
    hole_medium: float
    hole_coarse: float
    counterbore: float
    washer_diameter: float
    washer_thickness: float
    source: str

    @property
    def pitch_diameter(self) -> float:
        """d2 = d - 3/4 H with H = sqrt(3)/2 P, mm."""
        return self.diameter - 0.375 * math.sqrt(3.0) * self.pitch

    @property
    def root_diameter(self) -> float:
        """d3 = d - 17/12 H, mm."""
        return self.diameter - 17.0 / 24.0 * math.sqrt(3.0) * self.pitch

    @property
    def stress_area(self) -> float:
        """A_s = pi/4 ((d2 + d3)/2)^2, mm2."""
        return 0.25 * math.pi * (0.5 * (self.pitch_diameter + self.root_diameter)) ** 2


@dataclass(frozen=True, slots=True)
class PropertyClass:
    """Strength of a screw by ISO 898-1, MPa, for thread diameters up to `largest_diameter`."""

    name: str
    largest_diameter: float
    yield_strength: float
    tensile: float
    proof: float
    source: str


@dataclass(frozen=True, slots=True)
class Tightening:
    """Tightening factor alpha_A of VDI 2230: largest preload over least preload."""

    name: str
    factor_low: float
    factor_high: float
    note: str
    source: str


def materials() -> tuple[Material, ...]:
    """Return all materials, in the file's order."""
    return _rows("materials.toml", "material", Material)


def material(name: str, own: tuple[Material, ...] = ()) -> Material:
    """Return the material of that name, of the table or of one's own; UnknownNameError otherwise."""
    return _named((*own, *materials()), name, "material")


def frictions() -> tuple[Friction, ...]:
    """Return all friction pairings, in the file's order."""
    return _rows("friction.toml", "friction", Friction)


def friction(name: str, own: tuple[Friction, ...] = ()) -> Friction:
    """Return the friction pairing of that name, of the table or of one's own; UnknownNameError otherwise."""
    return _named((*own, *frictions()), name, "friction pairing")


def kienzle_groups() -> tuple[Kienzle, ...]:
    """Return Kienzle's values of all groups, in the file's order."""
    return _rows("kienzle.toml", "kienzle", Kienzle)


def kienzle(group: str) -> Kienzle:
    """Return Kienzle's values of a VDI 3323 group; UnknownNameError otherwise."""
    return _named(kienzle_groups(), group, "material group", key="group")


def threads() -> tuple[Thread, ...]:
    """Return all threads, smallest first."""
    return _rows("screws.toml", "thread", Thread)


def thread(name: str) -> Thread:
    """Return the thread of that name, as "M12"; UnknownNameError otherwise."""
    return _named(threads(), name, "thread")


def property_class(name: str, diameter: float) -> PropertyClass:
    """Return the strengths of a property class, as "10.9", for a thread diameter in mm.

    Raises
    ------
    UnknownNameError
        If the class is not in the table.
    ValueError
        If the diameter is larger than the class is listed for.
    """
    rows: tuple[PropertyClass, ...] = _rows("screws.toml", "property_class", PropertyClass)
    _named(rows, name, "property class")
    for row in rows:
        if row.name == name and diameter <= row.largest_diameter:
            return row
    raise ValueError(f"property class {name} is listed up to M39, found {diameter:g} mm")


def tightening(name: str) -> Tightening:
    """Return the tightening method of that name; UnknownNameError otherwise."""
    rows: tuple[Tightening, ...] = _rows("screws.toml", "tightening", Tightening)
    return _named(rows, name, "way of tightening")


@cache
def _file(name: str) -> dict[str, Any]:
    return tomllib.loads(resources.files("sim").joinpath("data", name).read_text(encoding="utf-8"))


@cache
def _rows(file: str, table: str, kind: type[Row]) -> tuple[Row, ...]:
    content = _file(file)
    shared = content.get("source", {}).get(table)
    texts = {field.name for field in fields(kind) if field.type == "str"}  # type: ignore[arg-type]
    found = []
    for raw in content[table]:
        row: dict[str, Any] = {}
        for key, value in raw.items():
            stem, unit = _UNIT.match(key).groups()  # type: ignore[union-attr]  # matches any key
            if isinstance(value, list):
                row[stem] = tuple(tuple(float(one) for one in pair) for pair in value)
            elif isinstance(value, bool) or stem in texts:
                row[stem] = value
            else:
                row[stem] = float(value) * _FACTORS.get(unit, 1.0)
        if shared is not None:
            row["source"] = shared
        found.append(kind(**row))
    return tuple(found)


def _named(rows: tuple[Row, ...], name: str, what: str, key: str = "name") -> Row:
    for row in rows:
        if getattr(row, key) == name:
            return row
    known = ", ".join(dict.fromkeys(f"'{getattr(row, key)}'" for row in rows))
    shown = name if len(name) <= 80 else f"{name[:77]}..."
    raise UnknownNameError(f"unknown {what} '{shown}', known are: {known}")
