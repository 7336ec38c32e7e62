"""Expressions in which a program computes its own numbers: variables, arithmetic, comparisons.

A variable is ``#`` with a number, or with an expression in square brackets that gives it, or ``R`` with a number where
a word is written with ``=`` (``R1=5``, ``X=R1``). ``*``, ``/``, MOD and AND bind before ``+``, ``-``, OR and XOR,
comparisons (EQ, NE, GT, GE, LT, LE) last; angles are degrees. FIX drops a fraction, FUP makes of any fraction the next
whole number away from 0. (Common practice, no source.)

Controls compute with 8 to 16 digits. What hangs on the last of them is refused: a comparison of two numbers that are
the same but for rounding, a fraction dropped from such a number. So is what differs from control to control (MOD, ROUND
of a half and the quadrant of ATAN of what is negative), a variable without a value in this program, since a control
may have kept one, and every variable that the control itself sets.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Literal, NamedTuple

from sim.programs.arithmetic import ARITHMETIC, COMPARED, FUNCTIONS, LARGEST, SAME, bounded
from sim.programs.words import ProgramError

Variables = Mapping[str, float | None]  # by name, as in '#1' or 'R1'; None where it is known to have no value
Value = Callable[[Variables], float]
Kind = Literal["number", "truth", "no value"]
DEEPEST = 12  # brackets in brackets
# Local variables of a macro, and common ones; what lies above is the control's, or the machine maker's.
_OWN = (*range(1, 34), *range(100, 200), *range(500, 1000))
_MOST_R = 999
_NUMBER = re.compile(r"[0-9]+\.?[0-9]*|\.[0-9]+")
_DIGITS = re.compile(r"[0-9]+")
_FUNCTION = re.compile(r"SIN|COS|TAN|ATAN|ASIN|ACOS|SQRT|SQR|ABS|ROUND|RND|FIX|FUP")
_ADDED, _MULTIPLIED = re.compile(r"[+-]|OR|XOR"), re.compile(r"[*/]|MOD|AND")
_COMPARISON = re.compile(r"EQ|NE|GT|GE|LT|LE")


class Node(NamedTuple):
    """A part of an expression.

    Attributes
    ----------
    value : callable
        From variables to its value; 1.0 and 0.0 for true and false.
    kind : {'number', 'truth', 'no value'}
    name : callable, optional
        From variables to the name of the variable that it is, if it is one.
    """

    value: Value
    kind: Kind = "number"
    name: Callable[[Variables], str] | None = None


class Source(NamedTuple):
    """A line, from 1, and its text in upper case, without comments."""

    line: int
    text: str

    def error(self, at: int, message: str) -> ProgramError:
        """Return the error at a place of the text."""
        return ProgramError(self.line, short(self.text[at:]), message)


def expression(source: Source, at: int) -> tuple[Node, int]:
    """Return the sum that stands at a place of a line, and the place behind it.

    Raises
    ------
    ProgramError
        If there is none, or it cannot mean one thing only.
    """
    return _sum(source, at, 0)


def bracketed(source: Source, at: int) -> tuple[Node, int]:
    """Return what stands in square brackets at a place of a line (a number, or a comparison), and the place behind it.

    Raises
    ------
    ProgramError
        If no bracket opens there or it does not close.
    """
    at = blank(source.text, at)
    if source.text[at : at + 1] != "[":
        raise source.error(at, "must be an expression in square brackets, as in [#1 + 2]")
    return _bracket(source, at, 0)


def variable(source: Source, at: int) -> tuple[Node, int]:
    """Return the variable that stands at a place of a line, ``#1``, ``#[...]`` or ``R1``, and the place behind it."""
    return _variable(source, at, 0)


def blank(text: str, at: int) -> int:
    """Return the next place of a text that is not blank."""
    while text[at : at + 1] in (" ", "\t") and at < len(text):
        at += 1
    return at


def number(line: int, node: Node, word: str, variables: Variables) -> float:
    """Return the value of a number.

    Raises
    ------
    ProgramError
        If it is no number, has no value or is out of bounds.
    """
    if node.kind == "truth":
        raise ProgramError(line, word, "compares, and must be a number")
    if node.kind == "no value":
        raise ProgramError(line, word, "has no value: what a control makes of it differs")
    value = node.value(variables)
    if not abs(value) <= LARGEST:
        raise ProgramError(line, word, f"must be at most {LARGEST:g}, found {value:g}")
    return value


def whole(line: int, value: float, word: str) -> int:
    """Return a value that must be a whole number of 0 or more."""
    if value < 0.0 or abs(value - round(value)) > SAME:
        raise ProgramError(line, word, f"must be a whole number of 0 or more, found {value:g}")
    return round(value)


def short(text: str) -> str:
    """Return the beginning of a text for a message."""
    word = re.split(r"[ \t]", text, maxsplit=1)[0] or text
    shown = word if len(word) <= 16 else word[:13] + "..."
    return shown.encode("ascii", "backslashreplace").decode("ascii")


def _comparison(source: Source, at: int, depth: int) -> tuple[Node, int]:
    left, at = _sum(source, at, depth)
    place = blank(source.text, at)
    found = _COMPARISON.match(source.text, place)
    if found is None:
        return left, at
    right, at = _sum(source, found.end(), depth)
    sign, word = found.group(), short(source.text[place:])
    if "no value" in (left.kind, right.kind):
        return Node(_has_no_value(source.line, word, sign, left, right), "truth"), at
    _numbers(source, place, left, right)

    def value(variables: Variables) -> float:
        a, b = left.value(variables), right.value(variables)
        if a != b and abs(a - b) <= SAME * max(1.0, abs(a), abs(b)):
            raise ProgramError(
                source.line, word,
                f"compares {a:g} with a number that is the same but for rounding, which differs from control to "
                "control; compare with a margin, as in GT 0.001",
            )  # fmt: skip
        return float(COMPARED[sign](a, b))

    return Node(value, "truth"), at


def _has_no_value(line: int, word: str, sign: str, left: Node, right: Node) -> Callable[[Variables], float]:
    """Compare a variable with #0, which asks whether it has a value."""
    asked = left if right.kind == "no value" else right
    name = asked.name
    if sign not in ("EQ", "NE") or name is None or asked.kind != "number":
        raise ProgramError(
            line, word, "compares with #0, which has no value: only a variable by EQ or NE can be"
        )

    def value(variables: Variables) -> float:
        known = name(variables)
        if known not in variables:
            raise ProgramError(
                line, word, f"asks for a value of {known}, which a control may have kept from before"
            )
        return float((variables[known] is None) == (sign == "EQ"))

    return value


def _numbers(source: Source, at: int, *nodes: Node) -> None:
    """Refuse parts that are no numbers."""
    if any(node.kind != "number" for node in nodes):
        raise source.error(
            at, "joins what is no number; AND and OR join comparisons, each in square brackets"
        )


def _sum(source: Source, at: int, depth: int) -> tuple[Node, int]:
    at = blank(source.text, at)
    sign = source.text[at : at + 1]
    signed = sign in ("+", "-")
    node, end = _product(source, at + 1 if signed else at, depth, sign if signed else "")
    while True:
        at = blank(source.text, end)
        found = _ADDED.match(source.text, at)
        if found is None:
            return node, end
        right, end = _product(source, found.end(), depth)
        node = _joined(source, at, found.group(), node, right)


def _product(source: Source, at: int, depth: int, sign: str = "") -> tuple[Node, int]:
    """Return a product; the sign before a sum is that of its first number."""
    node, end = _factor(source, at, depth)
    if sign:
        _numbers(source, at, node)
        node = Node(_negative(node.value)) if sign == "-" else Node(node.value)
    while True:
        at = blank(source.text, end)
        found = _MULTIPLIED.match(source.text, at)
        if found is None:
            return node, end
        right, end = _factor(source, found.end(), depth)
        node = _joined(source, at, found.group(), node, right)


def _joined(source: Source, at: int, sign: str, left: Node, right: Node) -> Node:
    """Return two parts joined by a sign or by AND, OR, XOR."""
    if sign in ("AND", "OR", "XOR"):
        if (left.kind, right.kind) != ("truth", "truth"):
            raise source.error(at, "must join two comparisons, each in square brackets")
        return Node(_LOGIC[sign](left.value, right.value), "truth")
    _numbers(source, at, left, right)
    line, word, a, b = source.line, short(source.text[at:]), left.value, right.value
    of = ARITHMETIC[sign]
    return Node(lambda v: bounded(line, word, of(line, word, a(v), b(v))))


# Both sides are worked out, so that neither hides what is refused.
_LOGIC: dict[str, Callable[[Value, Value], Value]] = {
    "AND": lambda a, b: lambda v: a(v) * b(v),
    "OR": lambda a, b: lambda v: max(a(v), b(v)),
    "XOR": lambda a, b: lambda v: abs(a(v) - b(v)),
}


def _negative(value: Value) -> Value:
    return lambda v: -value(v)


def _factor(source: Source, at: int, depth: int) -> tuple[Node, int]:
    text, at = source.text, blank(source.text, at)
    if text[at : at + 1] == "[":
        return _bracket(source, at, depth)
    if text[at : at + 1] in ("#", "R") and not text.startswith(("ROUND", "RND"), at):
        return _variable(source, at, depth)
    digits = _NUMBER.match(text, at)
    if digits is not None:
        constant = float(digits.group())
        if constant > LARGEST:
            raise source.error(at, f"must be at most {LARGEST:g}")
        return Node(lambda _: constant), digits.end()
    function = _FUNCTION.match(text, at)
    if function is not None:
        return _function(source, at, function.end(), depth)
    if not text[at:]:
        raise source.error(0, "ends where a number or a variable must follow")
    raise source.error(at, "is no number, variable, function or expression that is followed")


def _bracket(source: Source, at: int, depth: int) -> tuple[Node, int]:
    if depth >= DEEPEST:
        raise source.error(at, f"nests square brackets more than {DEEPEST} deep")
    node, end = _comparison(source, at + 1, depth + 1)
    end = blank(source.text, end)
    if source.text[end : end + 1] != "]":
        raise source.error(at, "opens a square bracket that must close behind one expression")
    return Node(node.value, node.kind), end + 1


def _variable(source: Source, at: int, depth: int) -> tuple[Node, int]:
    text, at = source.text, blank(source.text, at)
    mark, place = text[at : at + 1], blank(text, at + 1)
    digits = _DIGITS.match(text, place)
    if mark not in ("#", "R"):
        raise source.error(at, "must be a variable, as in #1")
    if digits is not None:
        if mark == "#" and int(digits.group()) == 0:
            return Node(lambda _: 0.0, "no value"), digits.end()
        fixed = _name(source.line, mark, float(digits.group()), mark + digits.group())
        return Node(_read(source.line, lambda _: fixed), "number", lambda _: fixed), digits.end()
    if mark == "#" and text[place : place + 1] == "[":
        inner, end = _bracket(source, place, depth)
        _numbers(source, at, inner)
        word = short(text[at:])

        def name(variables: Variables) -> str:
            return _name(source.line, mark, inner.value(variables), word)

        return Node(_read(source.line, name), "number", name), end
    raise source.error(at, "must be a variable by its number, or by an expression in square brackets")


def _name(line: int, mark: str, value: float, word: str) -> str:
    """Return the name of a variable of the program's own; those of the control are refused."""
    found = whole(line, value, word)
    if found not in _OWN if mark == "#" else found > _MOST_R:
        raise ProgramError(
            line, word,
            f"is not followed as variable {mark}{found}: what it holds is the control's or the machine maker's; "
            "#1 to #33, #100 to #199 and #500 to #999 are followed",
        )  # fmt: skip
    return f"{mark}{found}"


def _read(line: int, name: Callable[[Variables], str]) -> Value:
    def value(variables: Variables) -> float:
        known = name(variables)
        found = variables.get(known)
        if found is None:
            raise ProgramError(
                line, known,
                "has no value" if known in variables else
                "has no value in this program: a control takes what it has kept, which is not known",
            )  # fmt: skip
        return found

    return value


def _function(source: Source, at: int, end: int, depth: int) -> tuple[Node, int]:
    name, word = source.text[at:end], short(source.text[at:])
    end = blank(source.text, end)
    if source.text[end : end + 1] != "[":
        raise source.error(at, "must be followed by an expression in square brackets")
    argument, end = _bracket(source, end, depth)
    _numbers(source, at, argument)
    if name == "ATAN":
        place = blank(source.text, end)
        after = blank(source.text, place + 1)
        if source.text[place : place + 1] == "/" and source.text[after : after + 1] == "[":
            other, end = _bracket(source, after, depth)
            _numbers(source, at, other)
            return Node(_quadrant(source.line, word, argument.value, other.value)), end
    of, value = FUNCTIONS[name], argument.value
    return Node(lambda v: of(source.line, word, value(v))), end


def _quadrant(line: int, word: str, over: Value, under: Value) -> Value:
    """Return ATAN[a]/[b], the angle of a point (b, a)."""

    def value(variables: Variables) -> float:
        a, b = over(variables), under(variables)
        if a < 0.0 or (a == 0.0 and b <= 0.0):
            raise ProgramError(
                line, word,
                f"of {a:g} over {b:g} is an angle up to 360 deg on some controls and a negative one on others",
            )  # fmt: skip
        return math.degrees(math.atan2(a, b))

    return value
