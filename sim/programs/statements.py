"""What stands on a line of a program: a block of words, words with computed numbers, or a statement on variables.

Statements are those of the usual macro language (``#1=#2+1``, ``IF [...] GOTO 10``, ``IF [...] THEN #1=2``,
``GOTO 10``, ``WHILE [...] DO1`` to ``END1``), and ``R1=5`` with words as ``X=R1`` of another style, which has no other
statement here (common practice, no source). A statement stands on a line of its own, behind its N word and a slash.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from sim.programs.expressions import Node, Source, blank, bracketed, expression, short, variable
from sim.programs.plain_lines import PlainLine, plain_line
from sim.programs.words import Block, Code, ProgramError, Word, block_of, code_lines, plain_block

MOST_LOOPS = 3  # DO1 to DO3
_NAMED = re.compile(r"[A-Z]{2,}[ \t]*=")  # an address of several letters: a word, if it is one at all
_MACRO = re.compile(
    r"(?:/[1-9]?)?[ \t]*(?:N[ \t]*[0-9]+)?[ \t]*(?:GOTO|DO[ \t]*[0-9]|END[ \t]*[0-9]|IF|WHILE)"
)
_HEAD = re.compile(r"(/[1-9]?)?[ \t]*(N[ \t]*[0-9]+)?[ \t]*")
_PLAIN = re.compile(r",?[A-Z][ \t]*[+-]?[ \t]*(?:[0-9]+\.?[0-9]*|\.[0-9]+)[ \t]*(?![0-9.=])")
# A word of a second spindle, axis or channel by its number, as S2=500.
_NUMBERED = re.compile(r"[A-Z][0-9]+[ \t]*=[ \t]*[^ \t]*")
# A slash right behind the N word skips all that is behind it, as one before the N word does (common practice).
_SLASH_BEHIND = re.compile(r"^(N[ \t]*[0-9]+)[ \t]*(/[1-9]?)(?=[ \t]*(?:[A-Z#]|$))")
_COMPUTED = re.compile(r"(,?[A-Z])[ \t]*(=|([+-]?)[ \t]*(?=[#\[]))")
_PARAMETER = re.compile(r"R[ \t]*[0-9]+[ \t]*=")
_ONE_WORD = re.compile(
    r"[ \t]*(?:IC|AC)(?![A-Z])"
)  # X=IC(5), as near to the standard (common practice, no source)
_WITH_EQUALS = "XZUWIKFS"
# Round brackets are comments here, and brackets of an expression in the style of R1=5.
_OPERAND = re.compile(r"[=+\-*/\[,][ \t]*\(")


class Computed(NamedTuple):
    """A word whose number is computed: its letter, its sign, the number, and the word as written."""

    letter: str
    sign: float
    node: Node
    text: str


class Words(NamedTuple):
    """A block some words of which are computed."""

    words: tuple[Word | Computed, ...]


class Assignment(NamedTuple):
    """A variable, what it is given, and the assignment as written."""

    variable: Node
    node: Node
    text: str


class Assignments(NamedTuple):
    """Variables are given values, one after the other."""

    each: tuple[Assignment, ...]


class Jump(NamedTuple):
    """GOTO a block by its N word: always, or under a condition."""

    condition: Node | None
    target: Node
    text: str


class Then(NamedTuple):
    """An assignment under a condition."""

    condition: Node
    assignment: Assignment


class Loop(NamedTuple):
    """WHILE and DO: the lines up to END are run as long as the condition holds; without one, for ever."""

    condition: Node | None
    number: int
    text: str


class End(NamedTuple):
    """The END of the loop of a number."""

    number: int
    text: str


class Statement(NamedTuple):
    """What stands on a line.

    Attributes
    ----------
    line : int
        From 1.
    action : Block, Words, Assignments, Jump, Then, Loop or End
    switch : str
        The slash before it, as in `Block.switch`.
    number : int, optional
        Of its N word.
    name : int, optional
        Of its O word: a program begins here.
    weight : int
        How many blocks it counts for against the bound on how many are run: long lines take longer.
    """

    line: int
    action: Block | Words | Assignments | Jump | Then | Loop | End
    switch: str
    number: int | None
    name: int | None
    weight: int


def statements(text: str, *, pointed: bool = False) -> tuple[list[Statement | PlainLine], list[str]]:
    """Return what stands on the lines of a program, and notes on what was taken as a comment; see `code_lines`.

    Raises
    ------
    ProgramError
        Names the first word that cannot be followed.
    """
    codes, notes = code_lines(text, pointed=pointed)
    found: list[Statement | PlainLine] = []
    for code in codes:
        one = code if isinstance(code, PlainLine) else statement(code, pointed=pointed)
        if one is not None:
            found.append(one)
    return found, notes


def statement(code: Code, *, pointed: bool = False) -> Statement | PlainLine | None:
    """Return what stands on a line; None if that is nothing but a slash.

    Raises
    ------
    ProgramError
        Names the first word that cannot be followed.
    """
    line = plain_line(code.line, code.text, 0, pointed=pointed)
    if line is not None:
        return line
    weight = weight_of(code.text)
    plain = plain_block(code.line, code.text)
    if plain is not None:
        return Statement(code.line, plain, "", _of(plain, "N"), _of(plain, "O"), weight)
    code = code._replace(text=_SLASH_BEHIND.sub(r"\2\1", code.text, count=1)) if "/" in code.text else code
    if _is_plain(code.text):
        block = block_of(code.line, code.text)
        if not block.words:
            return None
        return Statement(code.line, block, block.switch, _of(block, "N"), _of(block, "O"), weight)
    bracket = _OPERAND.search(code.source)
    if bracket is not None:
        raise ProgramError(
            code.line, "(",
            "stands where a number is expected: round brackets hold a comment on some controls and a part of the "
            "expression on others",
        )  # fmt: skip
    source = Source(code.line, code.text)
    head = _HEAD.match(code.text)
    assert head is not None  # noqa: S101 - all of it is optional
    number = None if head.group(2) is None else block_of(code.line, head.group(2)).words[0]
    action = _action(source, head.end(), () if number is None else (number,))
    found = None if number is None else int(number.value)
    return Statement(code.line, action, head.group(1) or "", found, None, weight)


def weight_of(text: str) -> int:
    """Return for how many blocks the code of a line counts, see `Statement.weight`."""
    return 1 + len(text) // 16


def _is_plain(text: str) -> bool:
    """Tell whether a line holds words with written numbers only."""
    if "#" in text or "[" in text or ("=" in text and "=" in _NAMED.sub("", text)):
        return False
    return _MACRO.match(text) is None


def _of(block: Block, letter: str) -> int | None:
    """Return the whole number of the first word of a letter."""
    for word in block.words:
        if word.letter == letter:
            return int(word.value) if word.value == int(word.value) else None
    return None


def _action(
    source: Source, at: int, before: tuple[Word, ...]
) -> Words | Assignments | Jump | Then | Loop | End:
    """Return what a line does, from behind its N word on."""
    text = source.text
    if text.startswith("IF", at):
        return _if(source, at)
    if text.startswith("GOTO", at):
        return _jump(source, at, None)
    if text.startswith(("WHILE", "DO"), at):
        return _loop(source, at)
    if text.startswith("END", at):
        return End(_loop_number(source, at, at + 3), short(text[at:]))
    if text[at : at + 1] == "#" or _PARAMETER.match(text, at) is not None:
        return _assignments(source, at)
    return _words(source, at, before)


def _if(source: Source, at: int) -> Jump | Then:
    condition, end = _condition(source, at, at + 2)
    end = blank(source.text, end)
    if source.text.startswith("GOTO", end):
        return _jump(source, end, condition)
    if source.text.startswith("THEN", end):
        assignment, last = _assignment(source, blank(source.text, end + 4))
        _nothing_behind(source, last)
        return Then(condition, assignment)
    raise source.error(
        at, "must go on with GOTO and a block, or with THEN and an assignment, on the same line"
    )


def _condition(source: Source, at: int, end: int) -> tuple[Node, int]:
    node, last = bracketed(source, end)
    if node.kind != "truth":
        raise source.error(at, "must be followed by a comparison in square brackets, as in [#1 LT 10]")
    return node, last


def _jump(source: Source, at: int, condition: Node | None) -> Jump:
    target, end = expression(source, at + 4)
    if target.kind != "number":
        raise source.error(at, "must name a block by its number")
    _nothing_behind(source, end)
    return Jump(condition, target, short(source.text[at:]))


def _loop(source: Source, at: int) -> Loop:
    condition, end = None, at
    if source.text.startswith("WHILE", at):
        condition, end = _condition(source, at, at + 5)
        end = blank(source.text, end)
        if not source.text.startswith("DO", end):
            raise source.error(at, "must go on with DO1, DO2 or DO3 on the same line")
    return Loop(condition, _loop_number(source, at, end + 2), short(source.text[at:]))


def _loop_number(source: Source, at: int, end: int) -> int:
    digits = source.text[end:].strip(" \t")
    if digits not in ("1", "2", "3"):
        raise source.error(at, f"must end with a loop's number, 1 to {MOST_LOOPS}")
    return int(digits)


def _assignments(source: Source, at: int) -> Assignments:
    """Return one assignment to a # variable, or one or more to R parameters."""
    several = source.text[at] == "R"
    found = []
    while True:
        one, at = _assignment(source, at)
        found.append(one)
        at = blank(source.text, at)
        if not several or _PARAMETER.match(source.text, at) is None:
            _nothing_behind(source, at)
            return Assignments(tuple(found))


def _assignment(source: Source, at: int) -> tuple[Assignment, int]:
    target, end = variable(source, at)
    if target.name is None:
        raise source.error(at, "cannot be given a value")
    end = blank(source.text, end)
    if source.text[end : end + 1] != "=":
        raise source.error(at, "must be given a value by =")
    node, last = expression(source, end + 1)
    if node.kind == "truth":
        raise source.error(at, "must be given a number, found a comparison")
    return Assignment(target, node, short(source.text[at:])), last


def _nothing_behind(source: Source, at: int) -> None:
    at = blank(source.text, at)
    if at < len(source.text):
        raise source.error(at, "stands behind a statement that must stand on a line of its own")


def _words(source: Source, at: int, before: tuple[Word, ...]) -> Words:
    words: list[Word | Computed] = list(before)
    equals = False
    while at < len(source.text):
        plain = _PLAIN.match(source.text, at)
        if plain is not None:
            words += block_of(source.line, plain.group()).words
            at = plain.end()
            continue
        word, at = _computed(source, at)
        equals = equals or "=" in word.text
        words.append(word)
    name = next((word for word in words if word.letter == "O"), None)
    if name is not None:
        raise ProgramError(
            source.line, name.text, "begins a program and must stand on a line without computed numbers"
        )
    parameter = next((word for word in words if word.letter == "R"), None)
    if equals and parameter is not None:
        raise ProgramError(source.line, parameter.text, "can be a parameter beside words with =, or a radius")
    return Words(tuple(words))


def _require_followed(source: Source, at: int, letter: str, behind: int) -> None:
    """Refuse a word with = whose letter or value is not followed."""
    if letter not in _WITH_EQUALS:
        raise source.error(at, f"is not followed; words with = are {', '.join(_WITH_EQUALS)}")
    if _ONE_WORD.match(source.text, behind) is not None:
        raise source.error(
            at, "says of one word alone that it counts as an increment or as a coordinate, which is not followed: "
            "write the block under G91 or G90",
        )  # fmt: skip


def _computed(source: Source, at: int) -> tuple[Computed, int]:
    """Return a word as X#1, X-#1, X[#1 + 2] or X=R1 + 2."""
    found = _COMPUTED.match(source.text, at)
    numbered = _NUMBERED.match(source.text, at)
    if numbered is not None:
        raise ProgramError(
            source.line,
            short(numbered.group()),
            "is a word of a second spindle, axis or channel by its number, which is not followed: write a program of "
            "the main spindle alone",
        )
    if found is None:
        raise source.error(at, "is no word or statement that is followed")
    letter, how, sign = found.groups()
    if letter in "NO":
        raise source.error(at, "must have a written number")
    if how == "=":
        _require_followed(source, at, letter, found.end())
        node, end = expression(source, found.end())
    elif source.text[found.end()] == "[":
        node, end = bracketed(source, found.end())
    else:
        node, end = variable(source, found.end())
    end = blank(source.text, end)
    if end < len(source.text) and not re.match(r"[A-Z,]", source.text[end:]):
        raise source.error(at, "must have its expression in square brackets, as in X[#1 + 2]")
    if "ROUND" in source.text[at:end] or "RND" in source.text[at:end]:
        raise source.error(
            at, "rounds to the least increment in a word on some controls and to a whole number on others: give the "
            "number to a variable on a line before",
        )  # fmt: skip
    if node.kind != "number":
        raise source.error(at, "must have a number")
    return Computed(letter, -1.0 if sign == "-" else 1.0, node, short(source.text[at:end])), end
