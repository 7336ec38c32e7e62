"""What `new` asks a setter for: by an option where it is given, else in the terminal, else what is usual."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from typing import Any

import typer

from sim.base import tables, units
from sim.base.printable import printable
from sim.commands.streams import say
from sim.first_setup.classes import class_tables, stated_tables
from sim.first_setup.known import CLASSES, HeaviestCut, Known, Part, Plate
from sim.first_setup.proposal import coverable

UNHELD = 4.0  # mm of what the jaws cover that does not hold: groove and chamfer
SURFACES = ("turned", "raw")
KINDS = ("turning", "facing", "boring", "drilling")
_Reader = Callable[[str], Any]


class _Asking:
    """Takes what an option gives, or asks for it where somebody sits at the terminal."""

    def __init__(self, given: Mapping[str, str | None]) -> None:
        self.given = given
        self.asks = sys.stdin.isatty()

    def __call__(self, option: str, words: str, read: _Reader, usual: str | None = None) -> Any:
        """Return the answer as it is read.

        Raises
        ------
        typer.BadParameter
            If an option's value is wrong, or nobody sits there and nothing is usual.
        """
        given = self.given[option]
        if given is not None:
            try:
                return read(given)
            except ValueError as error:
                raise typer.BadParameter(f"{option} {error}") from None
        if not self.asks:
            if usual is None:
                raise typer.BadParameter(f"{option} is missing: {words.partition(chr(10))[0]}")
            return read(usual)
        while True:
            answer = typer.prompt(printable(words, "\n"), default=usual, err=True)
            try:
                return read(answer.strip())
            except ValueError as error:
                say(f"  {error}")


def _class(text: str) -> int:
    if text.removesuffix("mm").strip() not in {str(c) for c in CLASSES}:
        raise ValueError(
            f"must be one of {', '.join(map(str, CLASSES))}, the nearest to your chuck's diameter, found '{text}'"
        )
    return int(text.removesuffix("mm"))


def _read(kind: str) -> _Reader:
    return lambda text: units.read(text, kind, "positive")


_length = _read("length")


def _bore(text: str) -> float:
    return units.read(text, "length", "not negative")


def _one_of(*words: str) -> _Reader:
    def read(text: str) -> str:
        if text not in words:
            raise ValueError(f"must be one of {', '.join(words)}, found '{text}'")
        return text

    return read


def _materials() -> str:
    names = "\n".join(f"  {number:2d} {row.name}" for number, row in enumerate(tables.materials(), start=1))
    return f"material of the part, by number or name\n{names}\nmaterial"


def _material(text: str) -> str:
    rows = tables.materials()
    if text.isdecimal() and 1 <= int(text) <= len(rows):
        return rows[int(text) - 1].name
    if text not in {row.name for row in rows}:
        raise ValueError(f"must be a name of chuckscene materials, found '{text}'")
    return text


def _plate(ask: _Asking, typical: Mapping[str, str]) -> Plate:
    """Return what the plate says; a value that is left at the class's own counts as not read off it."""
    asked = (
        ("--plate-pull", "largest drawbar pull on the chuck's plate", "force", "largest_pull"),
        ("--plate-grip", "largest grip of the three jaws on its plate", "force", "largest_grip"),
        ("--plate-stroke", "travel of a jaw on its plate", "length", "stroke"),
        ("--plate-speed", "highest speed on its plate", "speed", "marked_speed"),
        ("--plate-pressure", "highest pressure on its plate", "pressure", "pressure_limit"),
    )
    values: list[float | None] = []
    for option, words, kind, key in asked:
        value = ask(option, f"{words} (Enter: not known, typical)", _read(kind), typical[key])
        unread = ask.given[option] is None and value == units.read(typical[key], kind)
        values.append(None if unread else value)
    return Plate(*values)


def _part(ask: _Asking, stated: dict[str, Any]) -> Part:
    low = ask("--smallest", "smallest gripped diameter within its tolerance, as '89.9 mm'", _length)
    high = ask("--largest", "largest gripped diameter within its tolerance, as '90 mm'", _length)
    long = ask("--length", "length of the part, as '40 mm'", _length)
    usual = coverable(high, float(round(min(long / 3.0 + UNHELD, 0.8 * long))), stated)
    return Part(
        low=low,
        high=high,
        length=long,
        gripped=ask("--gripped", "how much of its length the jaws may cover", _length, f"{usual:g} mm"),
        beyond=ask("--beyond", "diameter of what stands out of the jaws", _length, f"{low:g} mm"),
        bore=ask("--bore", "bore through the part", _bore, "0 mm"),
        material=ask("--material", _materials(), _material),
        surface=ask("--surface", "what the jaws grip: turned or raw", _one_of(*SURFACES)),
    )


def _cut(ask: _Asking, part: Part) -> HeaviestCut:
    kind = ask("--cut", "heaviest cut: turning, facing, boring or drilling", _one_of(*KINDS))
    outer = f"{part.beyond:g} mm" if kind in {"turning", "facing"} else None
    diameter = ask("--cut-diameter", "diameter at which it cuts (of a drill its own)", _length, outer)
    half = f"{0.5 * diameter:g} mm" if kind == "drilling" else None
    return HeaviestCut(
        kind=kind,
        diameter=diameter,
        depth=ask("--depth-of-cut", "depth of that cut, as '2 mm'", _length, half),
        feed=ask("--feed", "feed of that cut, as '0.25 mm/rev'", _read("feed")),
        cutting_speed=ask(
            "--cutting-speed", "cutting speed of that cut, as '160 m/min'", _read("cutting speed")
        ),
    )


def asked(given: Mapping[str, str | None]) -> Known:
    """Return what a setter knows, from options by their names (None: not given) and from what is asked for.

    Raises
    ------
    typer.BadParameter
        One sentence on the option that is wrong or missing.
    ScenarioError
        If the part is impossible.
    """
    ask = _Asking(given)
    size_class = ask("--chuck", "size class of the chuck in mm (165, 210, 254, 315)", _class)
    typical = class_tables(size_class)
    plate = _plate(ask, typical["chuck"])
    part = _part(ask, stated_tables(size_class, plate))
    return Known(size_class, plate, part, _cut(ask, part))
