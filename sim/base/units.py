"""Physical quantities as text, read once and strictly.

A quantity is one decimal number and one unit out of a closed list per kind, in the spellings of the trade that can mean
one thing only; inches also as a fraction of halves to 128ths. The factors are pint's, written down in
`sim.base.unit_factors`; pint is never shown the user's text: left to itself it reads '12,7 mm' as 127 mm and '50 Hz'
as 50 rad/s.
Inside the program every quantity is a plain float in the unit of `KINDS`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from sim.base.unit_factors import FACTORS

Sign = Literal["any", "positive", "not negative"]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: the unit used inside and the units that a scenario may use.

    ``units`` maps the text that a user writes to pint's expression of it, for the tests; ``largest`` (in the
    inside unit) is far over anything on a lathe, so that no figure behind it overflows.
    """

    name: str
    inside: str
    inside_expression: str
    units: dict[str, str]
    example: str
    largest: float


@dataclass(frozen=True, slots=True)
class Quantity:
    """Mark on a field's type: the kind of quantity that its text is read as."""

    kind: str
    sign: Sign


SMALLEST = 1e-9  # in the inside unit; what is nearer to zero is a slip of the exponent


def _kind(name: str, inside: str, example: str, largest: float, **other: str) -> Kind:
    units = dict(other)
    return Kind(name, inside, units[inside], units, example, largest)


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        _kind("length", "mm", "118 mm", 10_000.0, **{u: u for u in ("mm", "cm", "m", "um", "in")}),
        _kind(
            "feed", "mm/rev", "0.25 mm/rev", 100.0, **{"mm/rev": "mm", "in/rev": "in", "mm": "mm", "in": "in"}
        ),
        _kind("angle", "rad", "19 deg", 7.0, deg="degree", rad="radian"),
        _kind(
            "pressure",
            "MPa",
            "25 bar",
            1000.0,
            **{"bar": "bar", "MPa": "MPa", "kPa": "kPa", "Pa": "Pa", "N/mm2": "N/mm**2", "psi": "psi"},
        ),
        _kind(
            "stress", "MPa", "210 GPa", 1e7, **{"MPa": "MPa", "GPa": "GPa", "N/mm2": "N/mm**2", "ksi": "kpsi"}
        ),
        _kind("force", "N", "40 kN", 1e8, N="N", kN="kN", lbf="lbf"),
        _kind(
            "torque",
            "N*mm",
            "80 lbf*ft",
            1e11,
            **{
                "N*mm": "N*mm",
                "N*m": "N*m",
                "Nm": "N*m",
                "kN*m": "kN*m",
                "lbf*ft": "lbf*ft",
                "lbf*in": "lbf*in",
            },
        ),
        # No horsepower: it means 735.5 W in one place and 745.7 W in another.
        _kind("power", "W", "15 kW", 1e7, W="W", kW="kW"),
        _kind(
            "speed",
            "rpm",
            "3000 rpm",
            1e5,
            **{"rpm": "rpm", "rev/min": "rpm", "1/min": "rpm", "rad/s": "radian/s"},
        ),
        _kind("cutting speed", "m/min", "180 m/min", 1e5, **{"m/min": "m/min", "ft/min": "ft/min"}),
        _kind("area", "mm2", "125 cm2", 1e7, mm2="mm**2", cm2="cm**2", in2="in**2"),
        _kind("mass", "kg", "2.4 kg", 1e5, kg="kg", g="g", lb="lb"),
        _kind(
            "density",
            "kg/mm3",
            "7850 kg/m3",
            1e-3,
            **{"kg/mm3": "kg/mm**3", "kg/m3": "kg/m**3", "g/cm3": "g/cm**3", "kg/dm3": "kg/dm**3"},
        ),
        _kind(
            "stiffness",
            "N/mm",
            "300 kN/mm",
            1e9,
            **{"N/mm": "N/mm", "kN/mm": "kN/mm", "N/um": "N/um", "lbf/in": "lbf/in"},
        ),
        _kind(
            "tilt stiffness",
            "N*mm/rad",
            "4000 kN*m/rad",
            1e15,
            **{
                "N*mm/rad": "N*mm/radian",
                "N*m/rad": "N*m/radian",
                "kN*m/rad": "kN*m/radian",
            },
        ),
    )
}

# How a unit is also written, each spelling of one unit only; of a kind those count whose unit the kind has.
SPELLINGS = {
    "inch": "in", "inches": "in", '"': "in", "\u2033": "in", "ipr": "in/rev",
    "\u00b5m": "um", "\u03bcm": "um", "\u00b0": "deg", "RPM": "rpm", "r/min": "rpm", "min-1": "rpm", "min^-1": "rpm",
    "PSI": "psi", "N/mm\u00b2": "N/mm2", "mm\u00b2": "mm2", "cm\u00b2": "cm2", "in\u00b2": "in2",
    "kg/m\u00b3": "kg/m3", "g/cm\u00b3": "g/cm3", "kg/dm\u00b3": "kg/dm3",
    "N m": "N*m", "kN m": "kN*m", "N\u00b7m": "N*m", "kNm": "kN*m", "Nmm": "N*mm",
    "ft lb": "lbf*ft", "ft-lb": "lbf*ft", "ft lbf": "lbf*ft", "lbf ft": "lbf*ft", "lb ft": "lbf*ft",
    "in lb": "lbf*in", "in-lb": "lbf*in", "in lbf": "lbf*in", "lbf in": "lbf*in", "lb in": "lbf*in",
}  # fmt: skip
_NUMBER = r"[+-]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d+)?"
_FRACTION = r"[+-]?(?:\d{1,3}[ -])?\d{1,3}/(?:2|4|8|16|32|64|128)"
_FORM = re.compile(
    rf"\s*({_FRACTION}(?=\s*(?:in|\"|\u2033))|{_NUMBER})\s*(\D\S*(?: \S+)?|1/min)\s*", re.ASCII
)
_PARTS = re.compile(r"([+-]?)(?:(\d+)[ -])?(\d+)/(\d+)", re.ASCII)
_COMMA = re.compile(r"\d,\d", re.ASCII)
_ANY_FRACTION = re.compile(r"\d+\s*/\s*\d+", re.ASCII)


def factor(kind: str, unit: str) -> float:
    """Return how many inside units one `unit` is.

    Raises
    ------
    KeyError
        If the kind or the unit is not on the closed list.
    """
    return FACTORS[kind][unit]


def read(text: object, kind: str, sign: Sign = "any") -> float:
    """Read a quantity such as ``"118 mm"`` into the inside unit of its kind.

    A float passes unchanged only if it is already an inside value set by the program (defaults are text).

    Raises
    ------
    ValueError
        One clause that says what was found and what is allowed.
    """
    entry = KINDS[kind]
    allowed = f'one number and one unit of {", ".join(entry.units)} (as in "{entry.example}")'
    if not isinstance(text, str):
        raise ValueError(f"must be a {kind} as text, {allowed}, found {_shown(text)}")
    if _COMMA.search(text):
        raise ValueError(
            f"must be a {kind} with a point before its decimals and nothing between thousands, found '{_shown(text)}'"
        )
    match = _FORM.fullmatch(text)
    unit = "" if match is None else SPELLINGS.get(match[2], match[2])
    if match is None or unit not in entry.units:
        if unit != "1/min" and _ANY_FRACTION.search(text) and "in" in entry.units:
            raise ValueError(
                f"must be a {kind} in decimals, or in inches as a fraction of halves to 128ths (as in '3 5/8 in'), "
                f"found '{_shown(text)}'"
            )
        raise ValueError(f"must be a {kind}, {allowed}, found '{_shown(text)}'")
    value = _number(match[1], kind, text) * factor(kind, unit)
    if not math.isfinite(value):
        raise ValueError(f"must be a finite {kind}, found '{_shown(text)}'")
    if abs(value) > entry.largest:
        raise ValueError(f"must be at most {entry.largest:g} {entry.inside}, found '{_shown(text)}'")
    if 0.0 < abs(value) < SMALLEST:
        raise ValueError(f"must be 0 or at least {SMALLEST:g} {entry.inside}, found '{_shown(text)}'")
    if sign == "positive" and value <= 0.0:
        raise ValueError(f"must be greater than 0 {entry.inside}, found '{_shown(text)}'")
    if sign == "not negative" and value < 0.0:
        raise ValueError(f"must be 0 {entry.inside} or more, found '{_shown(text)}'")
    return value


def _number(written: str, kind: str, text: str) -> float:
    """Return a decimal number, or a mixed fraction such as '3 5/8', whose parts are exact in binary."""
    parts = _PARTS.fullmatch(written)
    if parts is None:
        return float(written)
    top, bottom = int(parts[3]), int(parts[4])
    if top >= bottom:
        raise ValueError(f"must be a {kind} whose fraction is less than one, found '{_shown(text)}'")
    value = int(parts[2] or 0) + top / bottom
    return -value if parts[1] == "-" else value


def _shown(found: object) -> str:
    text = str(found).replace("\n", " ")
    return text if len(text) <= 40 else text[:37] + "..."


def _quantity(kind: str, sign: Sign) -> tuple[BeforeValidator, WithJsonSchema, Quantity]:
    entry = KINDS[kind]
    spelt = [*entry.units, *(spelling for spelling, unit in SPELLINGS.items() if unit in entry.units)]
    units = "|".join(re.escape(u) for u in spelt if u != "1/min")
    units = rf"\s*({units})" if "1/min" not in spelt else rf"(\s*({units})|\s+1/min)"  # 31/min may be either
    number = _NUMBER if sign == "any" else _NUMBER.removeprefix("[+-]?")
    if "in" in entry.units:
        fraction = _FRACTION if sign == "any" else _FRACTION.removeprefix("[+-]?")
        number = rf"(?:{fraction}(?=\s*(?:in|\"|\u2033))|{number})"
    return (
        BeforeValidator(lambda text: read(text, kind, sign)),
        WithJsonSchema(
            {
                "type": "string",
                "pattern": rf"^\s*{number}{units}\s*$",
                "examples": [entry.example],
                "description": f"{kind}, units: {', '.join(entry.units)}",
            }
        ),
        Quantity(kind, sign),
    )


def default(text: str, description: str) -> Any:
    """Return a pydantic field whose default is a quantity's text, so that the JSON schema states it."""
    return Field(default=text, description=description)


AnyLength = Annotated[float, *_quantity("length", "any")]
Length = Annotated[float, *_quantity("length", "positive")]
Depth = Annotated[float, *_quantity("length", "not negative")]
Feed = Annotated[float, *_quantity("feed", "positive")]
Angle = Annotated[float, *_quantity("angle", "any")]
Pressure = Annotated[float, *_quantity("pressure", "positive")]
PressureFromZero = Annotated[float, *_quantity("pressure", "not negative")]
Stress = Annotated[float, *_quantity("stress", "positive")]
StressFromZero = Annotated[float, *_quantity("stress", "not negative")]
Force = Annotated[float, *_quantity("force", "positive")]
AnyForce = Annotated[float, *_quantity("force", "any")]
ForceFromZero = Annotated[float, *_quantity("force", "not negative")]
Torque = Annotated[float, *_quantity("torque", "positive")]
Power = Annotated[float, *_quantity("power", "positive")]
Speed = Annotated[float, *_quantity("speed", "positive")]
CuttingSpeed = Annotated[float, *_quantity("cutting speed", "positive")]
Area = Annotated[float, *_quantity("area", "positive")]
Mass = Annotated[float, *_quantity("mass", "positive")]
AnyMass = Annotated[float, *_quantity("mass", "any")]
Density = Annotated[float, *_quantity("density", "positive")]
Stiffness = Annotated[float, *_quantity("stiffness", "positive")]
TiltStiffness = Annotated[float, *_quantity("tilt stiffness", "positive")]
