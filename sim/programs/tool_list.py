"""The tools that a program calls, with the comments that stand beside their calls: for a table to be filled in."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from sim.programs.machine_words import station_of
from sim.programs.tool_digits import ToolWord, digits

LONGEST_NAME = 60
_WORD = re.compile(r"[^\W_]{2,}")
_COMMENT = re.compile(r"\(([^()]*)\)?|;(.*)")
_TELLS = re.compile(r"[Tt(;]")  # what a line has that calls a tool or names one; most lines have none
_COMPUTED = re.compile(r"(?<![A-Z])T[ \t]*=?[ \t]*[#\[R]", re.IGNORECASE)
_CALL = re.compile(r"(?<![A-Z])T[ \t]*([0-9]{1,8})(?![0-9.])", re.IGNORECASE)
# A comment of a list of tools, as at the head of a program: (T9 DRILL), (T0909 - DRILL).
_LISTED = re.compile(r"T[ \t]*([0-9]{1,8})(?:[ \t:=-]+(.*))?", re.IGNORECASE)


class CalledTool(NamedTuple):
    """A tool that a program calls.

    Attributes
    ----------
    station : int
        Of the turret.
    word : str
        First T word that calls it.
    line : int
        Of that word, from 1.
    name : str
        Comment in its line, else one anywhere that begins with its T word, else the one that stands alone in the lines
        above it; empty without any.
    """

    station: int
    word: str
    line: int
    name: str


def called_tools(text: str, rule: ToolWord | None = None) -> tuple[CalledTool, ...]:
    """Return the tools that a program calls, in the order of their first calls; by a rule for its T words, if stated.

    The text need not be readable otherwise. Station 0, which takes an offset off, calls none.
    """
    found: dict[int, CalledTool] = {}
    over: dict[int, str] = {}
    listed: dict[int, str] = {}
    above = ""
    for number, line in enumerate(re.split(r"\r\n|\n|\r", text), start=1):
        if _TELLS.search(line) is None:
            continue
        comments = [_plain(bracket or tail) for bracket, tail in _COMMENT.findall(line)]
        entries = {comment: _LISTED.fullmatch(comment) for comment in comments}
        for entry in filter(None, entries.values()):
            listed.setdefault(_station(entry.group(1), rule), entry.group(2) or "")
        own = next((comment for comment in comments if comment and entries[comment] is None), "")
        code = _COMMENT.sub(" ", line).strip()
        call = _CALL.search(code)
        if call is not None:
            station = _station(call.group(1), rule)
            if station and (station not in found or not found[station].name):
                first = found.get(station)
                word, at = ("T" + call.group(1), number) if first is None else (first.word, first.line)
                found[station] = CalledTool(station, word, at, own)
            if station and not over.get(station):
                over[station] = above
            above = ""
        elif own and not code:
            above = own
    return tuple(
        tool._replace(name=tool.name or listed.get(tool.station) or over.get(tool.station, ""))
        for tool in found.values()
    )


def _station(number: str, rule: ToolWord | None) -> int:
    """Return the station that the digits of a T word name."""
    return station_of(int(number)) if rule is None else digits(int(number), rule).station


def called_numbers(text: str, rule: ToolWord | None = None) -> frozenset[int] | None:
    """Return every number by which the tools of a program's T words may be stated; None where it computes one.

    That is the station that a word calls, and the number of the whole word.
    """
    found: set[int] = set()
    for line in re.split(r"\r\n|\n|\r", text):
        if _TELLS.search(line) is None:
            continue
        code = _COMMENT.sub(" ", line)
        if _COMPUTED.search(code):
            return None
        for digits_of_word in _CALL.findall(code):
            number = int(digits_of_word)
            found |= {number, _station(digits_of_word, rule)}
    return frozenset(found)


def _plain(text: str) -> str:
    """Return a comment that can stand in a file's text: printable, without quotes, no longer than a name may be."""
    plain = "".join(c for c in text if c.isprintable() and c not in "\"'\\")
    return " ".join(plain.split())[:LONGEST_NAME].strip()


def lacking(tools: Iterable[CalledTool], stated: Collection[int]) -> tuple[CalledTool, ...]:
    """Return the tools that are stated neither by their station nor by their whole T word."""
    return tuple(tool for tool in tools if not {tool.station, int(tool.word[1:])} & set(stated))


def called_otherwise(tools: Iterable[CalledTool], names: Mapping[int, str]) -> tuple[str, ...]:
    """Return a note for each tool whose comment in the program shares no word with the name that the table gives it.

    A table that many programs share may be that of another turret: nothing else tells.
    """
    notes = []
    for tool in tools:
        number = int(tool.word[1:])
        number = number if number in names else tool.station
        comment, name = (set(_WORD.findall(text.casefold())) for text in (tool.name, names.get(number, "")))
        if comment and name and not comment & name:
            notes.append(
                f"line {tool.line}: {tool.word} stands beside '{tool.name}', and the table calls tool {number} "
                f"'{names[number]}': see that the turret holds the tool that is stated"
            )
    return tuple(notes)


def table_to_fill_in(tools: tuple[CalledTool, ...], table: str, where: str = "") -> str:
    """Return the tools as tables of a scenario; what only the shop knows is left as a question mark, which is refused.

    Parameters
    ----------
    tools : tuple of CalledTool
    table : str
        Name of the table, as in 'operations.program.tools'.
    where : str
        Where they are to be put, for a first line.
    """
    return (f"# {where}\n" if where else "") + "\n".join(
        f"[[{table}]]  # {tool.word} of line {tool.line}\n"
        f"number = {tool.station}\n"
        f'name = "{tool.name}"\n'
        'insert = "?"  # by ISO 1832, as in "CNMG 120408"; instead of it for a blade or drill: cutter\n'
        'holder = { height = "? mm", width = "? mm", length = "? mm", functional_offset = "? mm", '
        'head_length = "? mm" }\n'
        '# a boring bar instead: bar = { diameter = "? mm", reach = "? mm", functional_offset = "? mm" }\n'
        '# the true outline instead: plate = { outline = [["? mm", "? mm"], ["? mm", "? mm"], ["? mm", "? mm"]], '
        'thickness = "? mm" }\n'
        for tool in tools
    )
