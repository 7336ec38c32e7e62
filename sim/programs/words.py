"""Blocks and words of a numerical-control program in the format of ISO 6983-1, as shops write it.

A block is a line of words, a word an address letter and a number: ``N10 G1 X50. Z-3``. Spaces do not count,
letters may be small. Comments stand in round brackets. A line of ``%`` begins or ends the program, ``O`` or
``:`` with a number names it, ``/`` before a block lets an operator have the block skipped.

A semicolon begins a comment on some controls and ends the block on others, so nothing that could be a word
may follow it on its line; what is plain text there is taken as a comment, with a note.
"""

from __future__ import annotations

import re
import string
from functools import lru_cache
from typing import NamedTuple

from sim.base.errors import ChuckSceneError
from sim.base.limits import LINE
from sim.programs.code_groups import SYSTEMS, CodeSystem, group_among
from sim.programs.plain_lines import PlainLine, plain_line

LONGEST_LINE = LINE.most
LARGEST_NUMBER = 1e9
_BLANK = " \t\x00\ufeff\x1a"
# A control knows no other letters and digits than these: those of another script that look alike are no words.
_UPPER = str.maketrans(string.ascii_lowercase, string.ascii_uppercase)
_KNOWN = frozenset({*"NGXZUWIKRFSTMPO", "LIMS", "CR"})
_NAME = re.compile(r"<[A-Z0-9._+-]{1,32}>")  # of a program, at its head (common practice, no source)
_ISO: frozenset[CodeSystem] = frozenset({"ISO"})
_KNOWN_ISO = _KNOWN | {"D"}  # D calls an offset near to the standard (common practice, no source)
# Each of them makes the block its own: beside another, or beside the words that only one takes, one would be lost.
_ALONE = ("dwell", "home", "limit", "machine", "shift")
_WRITE_OUT = "is not followed; write its moves out by G0, G1, G2, G3"
_INSTEAD = {
    34.0: "cuts a thread whose lead changes along it, which is not followed: cut one lead by G32 or G33",
    68.0: "mirrors what follows for a second turret on some controls and turns it on others, which is not followed: "
    "take G68 and G69 out, and write the moves as the tool runs them",
}
_CORNER = (
    "; if C and A on a straight block are a chamfer towards the next one and an angle, corner_words must state "
    "'without comma'"
)
# What an address may mean that is not followed, and what to write (common practice, no source).
_MEANT = {
    "C": _CORNER,
    "A": _CORNER,
    "D": "; if it calls the tool's offset, code_system must state 'ISO'",
    "L": "; if it calls a subprogram, write M98 P with its number",
    "H": "; if it counts increments of a spindle that is turned to an angle, take them out and check the turning alone",
    "E": "; if it is the lead of a thread, write it as F",
}
_SECOND_HOME = 30.0
_WORD = re.compile(r"(,?[A-Z])[ \t]*([+-]?[ \t]*(?:[0-9]+\.?[0-9]*|\.[0-9]+))[ \t]*")
# A limit of the spindle's speed and the radius of an arc by words of several letters, as some controls have them.
_NAMED = re.compile(r"(LIMS|CR)[ \t]*=[ \t]*([+-]?[0-9]+\.?[0-9]*|[+-]?\.[0-9]+)[ \t]*")
# Words of one letter alone, with no blank within a number: nothing that a macro or an address of several letters is.
_PLAIN = re.compile(r"(?:[A-Z][ \t]*[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)[ \t]*)+")
_PLAIN_WORDS = re.compile(r"([A-Z])[ \t]*([+-]?[0-9.]+)")
_COLON = re.compile(r":[ \t]*[0-9]")
_SLASH = re.compile(r"/[1-9]?[ \t]*(?=[A-Z]|$)")
# What a control could run if the semicolon before it ends a block: a letter by itself with a number, or a macro.
_COULD_RUN = re.compile(r"(?<![^\W\d_])[A-Za-z][ \t]*[+-]?[ \t]*\.?\d|[#\[=]|GOTO[ \t]*\d", re.IGNORECASE)


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
    switch : str
        The slash before it, as in '/' or '/2': an operator may have the block skipped by the switch of that number.
        Empty without one.
    ordinal : int
        Number of the block among those that the control runs, from 1, no unit; 0 before that is known.
    """

    line: int
    words: tuple[Word, ...]
    switch: str
    ordinal: int = 0

    @property
    def optional(self) -> bool:
        """Whether an operator may have it skipped."""
        return bool(self.switch)


class Code(NamedTuple):
    """What is code on a line.

    Attributes
    ----------
    line : int
        From 1.
    text : str
        In upper case, without comments; not empty.
    source : str
        The line as written.
    """

    line: int
    text: str
    source: str


def code_lines(text: str, *, pointed: bool = False) -> tuple[list[Code | PlainLine], list[str]]:
    """Return the lines of a program that hold code, in order, and notes on what was taken as a comment.

    Parameters
    ----------
    text : str
    pointed : bool
        As of `plain_line`, which takes what it can.

    Raises
    ------
    ProgramError
        At the first line with a comment that does not end on it, or that stands after the closing %.
    """
    found: list[Code | PlainLine] = []
    notes: list[str] = []
    marks = 0
    closed: int | None = None
    for number, line in enumerate(re.split(r"\r\n|\n|\r", text), start=1):
        if closed is None and len(line) <= LONGEST_LINE:
            plain = plain_line(number, line.strip(_BLANK), len(found) + 1, pointed=pointed)
            if plain is not None:
                found.append(plain)
                continue
        if len(line) > LONGEST_LINE:
            raise ProgramError(
                number, "", f"must be at most {LONGEST_LINE} characters long, found {len(line)}"
            )
        code = _without_comments(number, line, notes).translate(_UPPER).strip(_BLANK)
        if code.startswith("%"):
            _name_only(number, code[1:])
            if closed is None and (found or marks):
                closed = number
            marks += 1
        elif not found and _NAME.fullmatch(code):
            notes.append(f"line {number}: {code} is taken as the program's name")
        elif code and closed is not None:
            raise ProgramError(
                number, _short(code), f"stands after the % of line {closed}, which ends the program"
            )
        elif code:
            found.append(Code(number, code, line))
    return found, notes


def _name_only(number: int, rest: str) -> None:
    """Refuse words of a block behind a %; a name or number of the program may stand there."""
    word = re.search(r"(?<![^\W\d_])[A-NP-Z][ \t]*[+-]?[ \t]*\.?[0-9][0-9.]*(?:=[^ \t]*)?", rest)
    if word is not None:
        raise ProgramError(
            number, _short(word.group()), "stands behind the % on its line, which no control follows"
        )


def by_address(
    block: Block, systems: frozenset[CodeSystem] = SYSTEMS
) -> tuple[dict[str, Word], dict[str, Word]]:
    """Return the G words of a block by group (`sim.programs.code_groups`) and its other words by letter.

    Raises
    ------
    ProgramError
        If an address or a preparatory function is not followed, or comes twice.
    """
    codes: dict[str, Word] = {}
    words: dict[str, Word] = {}
    for word in block.words:
        if word.letter not in (_KNOWN if systems != _ISO else _KNOWN_ISO):
            raise ProgramError(
                block.line,
                word.text,
                f"is an address that is not followed{_MEANT.get(word.letter, ' (axes are X, Z, U, W)')}",
            )
        if word.letter == "M":
            require_whole(block, word)
            continue
        if word.letter == "G":
            sets = group_among(word.value, systems)
            if sets is None:
                raise ProgramError(block.line, word.text, _INSTEAD.get(word.value, _WRITE_OUT))
            if sets in codes:
                raise ProgramError(
                    block.line, word.text, f"and {codes[sets].text} exclude each other in a block"
                )
            codes[sets] = word
            continue
        letter = "R" if word.letter == "CR" else word.letter
        if letter in words:
            raise ProgramError(block.line, word.text, f"gives {letter} a second time in the block")
        words[letter] = word
    if "P" in words and "dwell" not in codes and ("home" not in codes or codes["home"].value != _SECOND_HOME):
        raise ProgramError(block.line, words["P"].text, "is followed with G4 only, and P2 with G30")
    _one_alone(block, codes)
    return codes, words


def require_whole(block: Block, word: Word) -> None:
    """Refuse a number that is none of 0, 1, 2 and so on.

    Raises
    ------
    ProgramError
        Names the word.
    """
    if word.value < 0.0 or word.value != int(word.value):
        raise ProgramError(block.line, word.text, "must be a whole number of 0 or more")


def _one_alone(block: Block, codes: dict[str, Word]) -> None:
    """Refuse two functions in a block one of which would be lost."""
    alone = [
        codes[group] for group in (*_ALONE, *(("motion",) if "dwell" in codes else ())) if group in codes
    ]
    if len(alone) > 1:
        raise ProgramError(block.line, alone[1].text, f"and {alone[0].text} exclude each other in a block")


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


@lru_cache(4096)  # most words of a program come again and again
def _word(letter: str, digits: str) -> Word:
    """Return the word of a letter and its number as written, without blanks."""
    return Word(letter, float(digits), "." in digits, letter + digits)


def plain_block(number: int, code: str) -> Block | None:
    """Return the block of a line that is surely words of one letter and a written number alone; else None."""
    if _PLAIN.fullmatch(code) is None:
        return None
    words = tuple([_word(*one) for one in _PLAIN_WORDS.findall(code)])
    for word in words:
        _require_bounded(number, word)
    return Block(number, words, "")


def block_of(number: int, code: str) -> Block:
    """Return the block that the code of a line is.

    Raises
    ------
    ProgramError
        If it is not made of words.
    """
    plain = plain_block(number, code)
    if plain is not None:
        return plain
    slash = _SLASH.match(code)
    switch = "" if slash is None else slash.group().strip(_BLANK)
    if slash is not None:
        code = code[slash.end() :]
    if _COLON.match(code) is not None:
        code = "O" + code[1:].lstrip(" \t")
    words = []
    position = 0
    while position < len(code):
        match = _WORD.match(code, position) or _NAMED.match(code, position)
        if match is None:
            raise ProgramError(number, *_not_a_word(code[position:]))
        letter, digits = match.groups()
        if " " in digits or "\t" in digits:
            digits = digits.replace(" ", "").replace("\t", "")
        word = _word(letter, digits)
        _require_bounded(number, word)
        words.append(word._replace(text=f"{letter}={digits}") if letter in ("LIMS", "CR") else word)
        position = match.end()
    return Block(number, tuple(words), switch)


def _require_bounded(number: int, word: Word) -> None:
    if not -LARGEST_NUMBER <= word.value <= LARGEST_NUMBER:
        raise ProgramError(number, _short(word.text), f"must be at most {LARGEST_NUMBER:g}")


def _without_comments(number: int, line: str, notes: list[str]) -> str:
    """Drop comments; brackets do not nest (ISO 6983-1: from '(' to the next ')')."""
    if "(" not in line and ";" not in line:
        return line
    kept = []
    rest = line
    while True:
        semicolon, bracket = rest.find(";"), rest.find("(")
        if semicolon >= 0 and (bracket < 0 or semicolon < bracket):
            kept.append(rest[:semicolon])
            _plain_text(number, rest[semicolon + 1 :], notes)
            break
        if bracket < 0:
            kept.append(rest)
            break
        end = rest.find(")", bracket)
        if end < 0:
            raise ProgramError(number, "(", "opens a comment that must end with ) on the same line")
        if "(" in rest[bracket + 1 : end]:
            raise ProgramError(
                number, "(", "stands in a comment: where it ends differs from control to control"
            )
        kept.append(rest[:bracket])
        rest = rest[end + 1 :]
    return " ".join(kept)


def _plain_text(number: int, tail: str, notes: list[str]) -> None:
    """Refuse what a control could run behind a semicolon, else note it as a comment."""
    said = _without_comments(number, tail, notes).strip(_BLANK)
    runs = _COULD_RUN.search(said)
    if runs is not None:
        raise ProgramError(
            number,
            _short(said[runs.start() :]),
            "stands behind ';', which ends the block on some controls and begins a comment on others: write it on "
            "a line of its own, or the comment in round brackets",
        )
    if said:
        notes.append(f"line {number}: text behind ';', taken as a comment")


def _not_a_word(rest: str) -> tuple[str, str]:
    """Say what it is that is not a word, and why it cannot be followed."""
    if rest[0] == ",":
        return (
            _short(rest),
            "is neither a word nor a decimal point: numbers take a point, and behind a comma C, R and A are followed",
        )
    if rest[0] == "<":
        return (
            _short(rest),
            "is no word of a program; a name in < > may stand alone on its first line: number programs by O",
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
