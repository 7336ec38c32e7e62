"""In which line of a TOML file a key stands, for messages; a reader of its own, since tomllib tells none."""

from __future__ import annotations

import re
from collections.abc import Mapping

Place = tuple[int | str, ...]

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]#]+?)\s*\]\]?\s*(?:#.*)?")
_KEY = re.compile(r"""\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=(.*)""")
_PART = re.compile(r"""[\w-]+|"[^"]*"|'[^']*'""")
_LONG = re.compile(r'"""|\'\'\'')


def _parts(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip("\"'") for part in _PART.findall(dotted))


def lines_of(text: str) -> dict[Place, int]:
    """Return the line of each table and key that begins a line, counted from 1; what is inside of a value has none.

    Parameters
    ----------
    text : str
        A file that tomllib has read.
    """
    found: dict[Place, int] = {}
    counts: dict[Place, int] = {}
    table: Place = ()
    until = ""  # the end of a long text that is open
    for number, line in enumerate(text.splitlines(), start=1):
        if until:
            until = "" if until in line else until
            continue
        header = _HEADER.fullmatch(line)
        if header is not None:
            table = _table(_parts(header[2]), counts, listed=header[1] == "[[")
            found.setdefault(table, number)
            continue
        key = _KEY.match(line)
        if key is not None:
            found.setdefault((*table, *_parts(key[1])), number)
            marks = _LONG.findall(key[2])
            until = marks[0] if len(marks) == 1 else ""
    return found


def _table(parts: tuple[str, ...], counts: dict[Place, int], *, listed: bool) -> Place:
    """Return the place of a table by its header, in lists of tables the one that was begun last."""
    place: Place = ()
    for part in parts[:-1]:
        place = (*place, part)
        if place in counts:
            place = (*place, counts[place] - 1)
    place = (*place, parts[-1])
    if listed:
        counts[place] = counts.get(place, 0) + 1
    return (*place, counts[place] - 1) if place in counts else place


def line_of(place: Place, lines: Mapping[Place, int]) -> int | None:
    """Return the line of a place, of what it is written in, or of its first item; None for nothing of the file."""
    for k in range(len(place), 0, -1):
        if place[:k] in lines:
            return lines[place[:k]]
    return next((line for inner, line in lines.items() if place and inner[: len(place)] == place), None)
