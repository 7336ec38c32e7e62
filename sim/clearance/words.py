"""Blocks and words of a numerical-control program in the format of ISO 6983-1, as shops write it.

A block is a line of words, a word an address letter and a number: ``N10 G1 X50. Z-3``. Spaces do not count,
letters may be small. Comments stand in round brackets, or after a semicolon up to the end of the line. A
line of ``%`` begins or ends the program, ``O`` or ``:`` with a number names it, ``/`` before a block lets an
operator have the block skipped.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from sim.errors import ChuckSceneError

LONGEST_LINE = 1000
LARGEST_NUMBER = 1e9
# Preparatory functions that are followed, by what they set; two of a group exclude each other in a block.
_GROUPS: dict[float, str] = {
    0.0: "motion", 1.0: "motion", 2.0: "motion", 3.0: "motion", 4.0: "dwell", 18.0: "plane", 20.0: "unit",
    21.0: "unit", 28.0: "home", 40.0: "compensation", 41.0: "compensation", 42.0: "compensation", 50.0: "limit",
    90.0: "distance", 91.0: "distance", 92.0: "limit", 94.0: "feed", 95.0: "feed", 96.0: "speed",
    97.0: "speed", 98.0: "feed", 99.0: "feed",
} | {float(code): "datum" for code in range(54, 60)}  # fmt: skip
_KNOWN = set("NGXZUWIKRFSTMPO")
_WORD = re.compile(r"([A-Z])[ \t]*([+-]?[ \t]*(?:\d+\.?\d*|\.\d+))[ \t]*")


class ProgramError(ChuckSceneError):
    """A program cannot be followed; the message names the line, the word, and what is allowed.

    Attributes
    ----------
    line : int
        Source line, from 1.
    word : str
        The word that cannot be followed, empty if it is the line as a whole.
    """

    def __init__(self, line: int, word: str, message: str) -> None:
        super().__init__(f"program line {line}: {f'word {word} ' if word else ''}{message}")
        self.line = line
        self.word = word


class Word(NamedTuple):
    """An address and its number.

    Attributes
    ----------
    letter : str
        Upper case.
    value : float
    decimal : bool
        Whether the number was written with a decimal point.
    text : str
        As written, without spaces.
    """

    letter: str
    value: float
    decimal: bool
    text: str


class Block(NamedTuple):
    """The words of a line.

    Attributes
    ----------
    line : int
        Source line, from 1.
    words : tuple of Word
    optional : bool
        Written after a slash: an operator may have it skipped.
    """

    line: int
    words: tuple[Word, ...]
    optional: bool


def blocks(text: str) -> list[Block]:
    """Return the blocks of a program that hold words, in order.

    Raises
    ------
    ProgramError
        At the first line that is not made of words and comments.
    """
    found = []
    for number, line in enumerate(re.split(r"\r\n|\n|\r", text), start=1):
        block = _block(number, line)
        if block is not None and block.words:
            found.append(block)
    return found


def by_address(block: Block) -> tuple[dict[str, Word], dict[str, Word]]:
    """Return the G words of a block by group and its other words by letter.

    Raises
    ------
    ProgramError
        If an address or a preparatory function is not followed, or comes twice.
    """
    codes: dict[str, Word] = {}
    words: dict[str, Word] = {}
    for word in block.words:
        if word.letter not in _KNOWN:
            raise ProgramError(
                block.line, word.text, "is an address that is not followed (axes are X, Z, U, W)"
            )
        if word.letter == "M":
            continue
        if word.letter == "G":
            group = _GROUPS.get(word.value)
            if group is None:
                raise ProgramError(
                    block.line, word.text, "is not followed; write its moves out by G0, G1, G2, G3"
                )
            if group in codes:
                raise ProgramError(
                    block.line, word.text, f"and {codes[group].text} exclude each other in a block"
                )
            codes[group] = word
        elif word.letter in words:
            raise ProgramError(block.line, word.text, f"gives {word.letter} a second time in the block")
        else:
            words[word.letter] = word
    if "P" in words and "dwell" not in codes:
        raise ProgramError(block.line, words["P"].text, "is followed with G4 only")
    return codes, words


def require_only(block: Block, words: dict[str, Word], allowed: str, context: str) -> None:
    """Refuse words whose letters have no meaning in a block of this kind.

    Raises
    ------
    ProgramError
        Names the first such word.
    """
    for letter, word in words.items():
        if letter not in allowed:
            raise ProgramError(block.line, word.text, f"has no meaning here ({context})")


def _block(number: int, line: str) -> Block | None:
    if len(line) > LONGEST_LINE:
        raise ProgramError(number, "", f"must be at most {LONGEST_LINE} characters long, found {len(line)}")
    code = _without_comments(number, line).upper().strip(" \t\x00\ufeff\x1a")
    if not code or code.startswith("%"):
        return None
    optional = code.startswith("/")
    if optional:
        code = re.sub(r"^/[1-9]?[ \t]*(?=[A-Z]|$)", "", code, count=1)
    if code.startswith(":"):
        code = "O" + code[1:].lstrip(" \t")
    words = []
    position = 0
    while position < len(code):
        match = _WORD.match(code, position)
        if match is None:
            raise ProgramError(number, *_not_a_word(code[position:]))
        letter, digits = match.groups()
        digits = digits.replace(" ", "").replace("\t", "")
        value = float(digits)
        if not -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
            raise ProgramError(number, _short(letter + digits), f"must be at most {LARGEST_NUMBER:g}")
        words.append(Word(letter, value, "." in digits, letter + digits))
        position = match.end()
    return Block(number, tuple(words), optional)


def _without_comments(number: int, line: str) -> str:
    """Drop comments; brackets do not nest (ISO 6983-1: from '(' to the next ')')."""
    if "(" not in line and ";" not in line:
        return line
    kept = []
    rest = line
    while True:
        semicolon, bracket = rest.find(";"), rest.find("(")
        if bracket < 0 or 0 <= semicolon < bracket:
            kept.append(rest if semicolon < 0 else rest[:semicolon])
            break
        end = rest.find(")", bracket)
        if end < 0:
            raise ProgramError(number, "(", "opens a comment that must end with ) on the same line")
        kept.append(rest[:bracket])
        rest = rest[end + 1 :]
    return " ".join(kept)


def _not_a_word(rest: str) -> tuple[str, str]:
    """Say what it is that is not a word, and why it cannot be followed."""
    if rest[0] == "#" or re.match(r"[A-Z][ \t]*[+-]?[#\[]|\[|=", rest):
        return _short(rest), "uses variables or expressions, which are not followed (expand the macro first)"
    if re.match(r"IF|WHILE|GOTO|DO|END|THEN", rest):
        return _short(rest), "is a macro statement, which is not followed (expand the macro first)"
    if rest[0] == ",":
        return (
            _short(rest),
            "is neither a word nor a decimal point: numbers take a point, and chamfers or radii "
            "after a comma are not followed",
        )
    if rest[0] == "/":
        return _short(rest), "may stand at the start of a block only"
    if rest[0].isascii() and rest[0].isalpha():
        return _short(rest), "must be an address letter with a number, such as X12.5"
    return _short(rest), "is no word of a program: an address letter with a number is expected, such as X12.5"


def _short(text: str) -> str:
    word = re.split(r"[ \t]", text, maxsplit=1)[0] or text
    shown = word if len(word) <= 16 else word[:13] + "..."
    return shown.encode("ascii", "backslashreplace").decode("ascii")
