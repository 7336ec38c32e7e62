"""Programs that stand one behind the other in a text: their blocks by N word, and which lines a loop holds."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass

from sim.programs.plain_lines import PlainLine
from sim.programs.statements import End, Loop, Statement
from sim.programs.words import ProgramError


@dataclass(frozen=True, slots=True)
class Section:
    """A program, from its O word up to the next one.

    Attributes
    ----------
    name : int or None
        Of its O word.
    statements : tuple of Statement or PlainLine
    labels : mapping of int to tuple of int
        Places of the statements of an N word.
    loops : tuple of tuple of int
        For each statement the places of the loops that hold it, from without to within.
    ends : mapping of int to int
        Place of the END of a loop by the place where it begins.
    begins : mapping of int to int
        The other way round.
    """

    name: int | None
    statements: tuple[Statement | PlainLine, ...]
    labels: Mapping[int, tuple[int, ...]]
    loops: tuple[tuple[int, ...], ...]
    ends: Mapping[int, int]
    begins: Mapping[int, int]


def sections(found: list[Statement | PlainLine]) -> list[Section]:
    """Return the programs of a text; the first begins with its first block, the others with an O word each.

    Raises
    ------
    ProgramError
        If a loop does not end, or crosses another.
    """
    cuts = [place for place, one in enumerate(found) if place == 0 or one.name is not None]
    return [_section(found[a:b], found[a].name) for a, b in itertools.pairwise([*cuts, len(found)])]


def _section(statements: list[Statement | PlainLine], name: int | None) -> Section:
    labels: dict[int, list[int]] = {}
    loops: list[tuple[int, ...]] = []
    ends: dict[int, int] = {}
    open_loops: list[tuple[int, int]] = []  # place and number
    within: tuple[int, ...] = ()
    for place, one in enumerate(statements):
        if one.number is not None:
            labels.setdefault(one.number, []).append(place)
        loops.append(within)
        if isinstance(one, PlainLine):
            continue
        if isinstance(one.action, Loop):
            if any(number == one.action.number for _, number in open_loops):
                raise ProgramError(one.line, one.action.text, "stands in a loop of the same number")
            open_loops.append((place, one.action.number))
            within = (*within, place)
        elif isinstance(one.action, End):
            if not open_loops or open_loops[-1][1] != one.action.number:
                raise ProgramError(
                    one.line,
                    one.action.text,
                    "must end the loop of its number that began last, on a line before",
                )
            begin, _ = open_loops.pop()
            within = within[:-1]
            ends[begin] = place
    if open_loops:
        begun = statements[open_loops[-1][0]]
        raise ProgramError(begun.line, "", f"begins a loop without END{open_loops[-1][1]} in its program")
    begins = {end: begin for begin, end in ends.items()}
    places = {label: tuple(found) for label, found in labels.items()}
    return Section(name, tuple(statements), places, tuple(loops), ends, begins)
