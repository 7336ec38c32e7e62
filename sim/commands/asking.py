"""What `new` asks a setter for: by an option where it is given, else in the terminal, else what is usual."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import typer
from pydantic import ValidationError

from sim.base import tables, units
from sim.base.errors import ScenarioError
from sim.base.printable import printable
from sim.commands.streams import say
from sim.first_setup.classes import class_tables, stated_tables
from sim.first_setup.drawn import Drawn, drawn
from sim.first_setup.known import CLASSES, HeaviestCut, Known, Part, Plate
from sim.first_setup.proposal import coverable
from sim.scenario.mistakes import sentence
from sim.scenario.part_model import SELF_SAYING, PartModel

UNHELD = 4.0  # mm of what the jaws cover that does not hold: groove and chamfer
SURFACES = ("turned", "raw")
KINDS = ("turning", "facing", "boring", "drilling")
OF_A_FILE = ("--from", "--unit", "--axis", "--axis-at", "--chuck-end", "--layer", "--tolerance")
# What mends a file that leaves something open, by a word of the sentence that refuses it, the first that is in it.
_MENDED_BY = (
    ("state layer", "--layer"),
    ("layer '", "--layer"),
    ("found a branch", "--layer"),
    ("an outline must be drawn with", "--layer"),
    ("on one side of its axis", "--axis-at or --axis"),
    ("layer and axis_at", "--layer and --axis-at left out"),
    ("state axis", "--axis"),
    ("unit must be", "--unit"),
    ("is the unit right", "--unit"),
    ("drawn in", "--unit"),
)
_Reader = Callable[[str], Any]


class _Asking:
    """Takes what an option gives, or asks for it where somebody sits at the terminal."""

    def __init__(self, given: Mapping[str, str | None], *, asks: bool) -> None:
        self.given = given
        self.asks = asks

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


def _place(text: str) -> float:
    return units.read(text, "length")


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
    names = [row.name for row in rows]
    if text not in names:
        raise ValueError(f"must be a name of chuckscene materials, found '{text}'{_near(text, names)}")
    return text


def _near(text: str, names: Sequence[str]) -> str:
    """Ask which of some names is meant, the nearest ones; it is not guessed."""
    known = {name.casefold(): name for name in names}
    typed = text.casefold()
    near = [name for low, name in known.items() if len(typed) > 2 and typed in low]
    near = near or [known[low] for low in get_close_matches(typed, list(known), n=2)]
    return ": did you mean " + " or ".join(f"'{name}'" for name in near[:3]) + "?" if near else ""


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


def _drawn(ask: _Asking, out: Path) -> Drawn | None:
    """Return the part in the file that `--from` names; asks for what that file leaves open."""
    given = ask.given["--from"]
    of_none = ("--length", "--beyond", "--bore")
    wrong = [o for o in (OF_A_FILE[1:] if given is None else of_none) if ask.given[o] is not None]
    if wrong:
        raise typer.BadParameter(
            f"{wrong[0]} must be left out "
            + ("without --from" if given is None else "with --from: the file has it")
        )
    if given is None:
        return None
    try:
        return drawn(PartModel.model_validate(_as_stated(ask, Path(given), out)), out.parent)
    except ValidationError as error:
        raise typer.BadParameter(f"--from {given}: {_mended(sentence(error))}") from None
    except ScenarioError as error:
        raise typer.BadParameter(f"--from {given}: {_mended(str(error))}") from None


def _mended(words: str) -> str:
    """Return a sentence on a file with the option that mends it."""
    return next((f"{words}; by {option}" for word, option in _MENDED_BY if word in words), words)


def _as_stated(ask: _Asking, file: Path, out: Path) -> dict[str, Any]:
    """Return the table that names a part's file, what it leaves open asked for."""
    kind = file.suffix.lower()
    stated: dict[str, Any] = {"file": _named(file, out.parent)}
    if kind not in SELF_SAYING or ask.given["--unit"] is not None:
        words = "unit of the file's coordinates: mm, cm, m or in"
        stated["unit"] = ask("--unit", words, _one_of("mm", "cm", "m", "in"))
    if kind == ".dxf" or ask.given["--axis"] is not None:
        words = "direction of the file along which the spindle lies: x, y or z"
        stated["axis"] = ask("--axis", words, _one_of("x", "y", "z"))
    words = "which end faces the chuck: the one with the low or the high coordinate along the axis"
    stated["chuck_end"] = ask("--chuck-end", words, _one_of("low", "high"))
    if ask.given["--layer"] is not None:
        stated["layer"] = ask.given["--layer"]
    if ask.given["--axis-at"] is not None:
        stated["axis_at"] = f"{ask('--axis-at', 'where the spindle axis stands', _place)!r} mm"
    if ask.given["--tolerance"] is not None:
        stated["tolerance"] = f"{ask('--tolerance', 'off a body of revolution', _length)!r} mm"
    return stated


def _named(file: Path, folder: Path) -> str:
    """Return how a scenario in a folder names a file: from there, where there is a way."""
    try:
        return Path(os.path.relpath(file, folder)).as_posix()
    except ValueError:  # on another drive
        return str(file.resolve())


def _part_of_file(ask: _Asking, stated: dict[str, Any], found: Drawn) -> Part:
    say(found.words)
    low = ask("--smallest", "smallest gripped diameter within its tolerance, as '89.9 mm'", _length)
    high = ask("--largest", "largest gripped diameter within its tolerance, as '90 mm'", _length)
    try:
        found.require_gripped(low, high)
    except ScenarioError as error:
        raise typer.BadParameter(f"--smallest and --largest: {error}") from None
    tall = max(top for d, _, top in found.cylinders if abs(d - 0.5 * (low + high)) <= 1.0)
    wanted = min(tall, float(round(min(found.length / 3.0 + UNHELD, 0.8 * found.length))))
    usual = coverable(high, wanted, stated)
    return Part(
        low=low,
        high=high,
        length=found.length,
        gripped=ask("--gripped", "how much of its length the jaws may cover", _length, f"{usual:g} mm"),
        beyond=found.far_end,
        bore=found.bore,
        material=ask("--material", _materials(), _material),
        surface=ask("--surface", "what the jaws grip: turned or raw", _one_of(*SURFACES)),
        drawn=found,
    )


def _part(ask: _Asking, stated: dict[str, Any], found: Drawn | None) -> Part:
    if found is not None:
        return _part_of_file(ask, stated, found)
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


# How the answer to each question is read.
READERS: Mapping[str, _Reader] = {
    "--chuck": _class,
    "--plate-pull": _read("force"),
    "--plate-grip": _read("force"),
    "--plate-stroke": _length,
    "--plate-speed": _read("speed"),
    "--plate-pressure": _read("pressure"),
    "--smallest": _length,
    "--largest": _length,
    "--length": _length,
    "--gripped": _length,
    "--beyond": _length,
    "--bore": _bore,
    "--material": _material,
    "--surface": _one_of(*SURFACES),
    "--cut": _one_of(*KINDS),
    "--cut-diameter": _length,
    "--depth-of-cut": _length,
    "--feed": _read("feed"),
    "--cutting-speed": _read("cutting speed"),
}


def asked(given: Mapping[str, str | None], *, out: Path | None = None, asks: bool | None = None) -> Known:
    """Return what a setter knows, from options by their names (None: not given) and from what is asked for.

    Parameters
    ----------
    given : mapping
    out : Path, optional
        The file that will be written, from whose folder it names that of the part; needed with `--from`.
    asks : bool, optional
        Whether somebody is asked for what is not given; default: where there is a terminal.

    Raises
    ------
    typer.BadParameter
        One sentence on the option that is wrong or missing.
    ScenarioError
        If the part is impossible.
    """
    ask = _Asking(dict.fromkeys(OF_A_FILE) | dict(given), asks=sys.stdin.isatty() if asks is None else asks)
    found = _drawn(ask, Path() if out is None else out)
    size_class = ask("--chuck", "size class of the chuck in mm (165, 210, 254, 315)", _class)
    typical = class_tables(size_class)
    plate = _plate(ask, typical["chuck"])
    part = _part(ask, stated_tables(size_class, plate), found)
    return Known(size_class, plate, part, _cut(ask, part))
