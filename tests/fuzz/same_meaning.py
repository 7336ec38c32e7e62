"""Write a program in another way that means the same to every control, and compare what was read.

Common practice, no source: spaces and the case of letters do not count, an N word that nothing names is a name only,
the words of a block may stand in any order, a comment says nothing, and a word that holds from block to block may
stand on a line of its own before the block.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from typing import Any

from sim.programs.program import Program

_WORDS = re.compile(r",?[A-Z][ \t]*[+-]?[ \t]*(?:[0-9]+\.?[0-9]*|\.[0-9]+)", re.IGNORECASE)
_NAMES = re.compile(r"GOTO|[PQ] *[#\[0-9]|M *0*9[789](?![0-9.])", re.IGNORECASE)
_LAST = re.compile(r"Q[ \t]*0*([0-9]+)", re.IGNORECASE)
# Words that may stand on a line before their block: they hold until another one comes.
_BEFORE = re.compile(r"(?:G0*(?:18|40|64|97|96)|M0*[89])", re.IGNORECASE)
Rewrite = Callable[[random.Random, str], str]


def _plain(line: str) -> list[str] | None:
    """Return the words of a line that holds nothing else; None of any other line."""
    words = _WORDS.findall(line)
    return words if words and not _WORDS.sub("", line).strip(" \t") else None


def _each(text: str, change: Callable[[list[str], str], str]) -> str:
    """Change every line that holds words only."""
    lines = text.split("\n")
    for at, line in enumerate(lines):
        words = _plain(line)
        if words is not None:
            lines[at] = change(words, line)
    return "\n".join(lines)


def spaced(draw: random.Random, text: str) -> str:
    """Other blanks between words, and between a letter and its number."""

    def change(words: list[str], _line: str) -> str:
        closed = ["".join(word.split()) for word in words]
        apart = [
            f"{word[0]} {word[1:]}" if word[0] != "," and draw.random() < 0.3 else word for word in closed
        ]
        return draw.choice(("", " ", "\t", "  ")).join(apart)

    return _each(text, change)


def other_case(_draw: random.Random, text: str) -> str:
    """Small letters for capitals, and the other way round."""
    return "".join(c.swapcase() if c.isascii() else c for c in text)


def shuffled(draw: random.Random, text: str) -> str:
    """The words of each block in another order, its name first."""

    def change(words: list[str], _line: str) -> str:
        names = [word for word in words if word[0] in "NnOo"]
        rest = [word for word in words if word[0] not in "NnOo"]
        draw.shuffle(rest)
        return " ".join([*names, *rest])

    return _each(text, change)


def commented(draw: random.Random, text: str) -> str:
    """Comments behind words, between them and on lines of their own."""

    def change(words: list[str], line: str) -> str:
        how = draw.random()
        if how < 0.3:
            return f"{line} (G0 X0)"
        if how < 0.5:
            at = draw.randint(0, len(words))
            return " ".join([*words[:at], "(M30 #1)", *words[at:]])
        return line

    return _each(text, change)


def renumbered(draw: random.Random, text: str) -> str:
    """N words on lines that have none, and none where nothing names them."""
    named = _NAMES.search(text) is not None

    def change(words: list[str], line: str) -> str:
        has = any(word[0] in "Nn" for word in words)
        if sum(word[0] in "Nn" for word in words) > 1:  # a mistake, which stays one
            return line
        if has and not named and any(word[0] not in "Nn" for word in words):
            return " ".join(word for word in words if word[0] not in "Nn")
        if not has and draw.random() < 0.5 and words[0][0] not in "Oo":
            return f"N{draw.randint(500_000, 999_999)} {line}"
        return line

    return _each(text, change)


def split(draw: random.Random, text: str) -> str:
    """Words that hold from block to block on a line before their block; the last block of a contour stays one."""
    lasts = {int(number) for number in _LAST.findall(text)}

    def change(words: list[str], line: str) -> str:
        alone = [word for word in words if _BEFORE.fullmatch(word)]
        if len(alone) in (0, len(words)) or draw.random() < 0.3:
            return line
        if any(word[0] in "Gg" and float(word[1:]) in (96.0, 97.0) for word in alone):
            alone += [word for word in words if word[0] in "Ss"]
        names = [word for word in words if word[0] in "Nn"]  # a jump to the block runs all of it
        if any("." not in word and int(word[1:]) in lasts for word in names):
            return line
        rest = [word for word in words if word not in alone and word not in names]
        return " ".join([*names, *alone]) + "\n" + " ".join(rest)

    return _each(text, change)


# Ways of writing that must come to the same, refusals too; those of `CHANGES_LINES` may be refused where the other is
# read: a contour has one block more, or a cycle's next line is another.
WAYS: tuple[Rewrite, ...] = (spaced, other_case, shuffled, commented, renumbered)
MAY_BE_REFUSED: tuple[Rewrite, ...] = (split,)
_PLACES = re.compile(r"lines? [0-9]+(?: to [0-9]+)?")


def meaning(program: Program) -> list[Any]:
    """Return what a program does, without where it stands in the text."""
    moves = [
        (
            move.kind, move.start, move.end, move.centre, move.clockwise, move.speed, move.feed, move.surface_speed,
            move.thread, move.astray, move.on_its_line, _PLACES.sub("", move.stage).upper(),
        )
        for move in program.moves
    ]  # fmt: skip
    machine = [(one.spin, one.open_by is not None) for one in program.machine]
    calls = [(call.station, call.tool, call.at) for call in program.calls]
    ended = None if program.ended is None else program.ended.text.upper()
    return [moves, program.tools, machine, calls, len(program.openings), ended]
