"""Numbers that a program computes.

Order of operations, functions and the range of variables are common practice, no source; what they give is arithmetic.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable
from functools import reduce

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sim.programs.expressions import Source, bracketed, expression, number
from sim.programs.words import ProgramError

KNOWN: dict[str, float | None] = {"#1": 2.0, "#2": -3.5, "#3": None, "#33": 7.0, "#102": 40.0, "R2": 9.0}


def value(text: str) -> float:
    node, end = expression(Source(1, text), 0)
    assert end == len(text)
    return number(1, node, text, KNOWN)


def holds(text: str) -> bool:
    node, end = bracketed(Source(1, text), 0)
    assert node.kind == "truth"
    assert end == len(text)
    return bool(node.value(KNOWN))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5", 5.0), ("-.5", -0.5), ("2.", 2.0), ("#1", 2.0), ("-#2", 3.5), ("+#1", 2.0), ("R2", 9.0), ("# 1", 2.0),
        # * / MOD before + -, from left to right; brackets first.
        ("2+3*4", 14.0), ("2*3+4", 10.0), ("[2+3]*4", 20.0), ("10-4-3", 3.0), ("24/4/2", 3.0), ("24/[4/2]", 12.0),
        ("2-3*4+1", -9.0), ("7 MOD 4", 3.0), ("1+7MOD4*2", 7.0), ("-2*3", -6.0), ("-2+5", 3.0), ("-[2+5]", -7.0),
        ("#[#1+31]", 7.0), ("#[100+#1]", 40.0), ("#1*#1-#2", 7.5),
        # Degrees.
        ("SIN[30]", 0.5), ("COS[60]", 0.5), ("TAN[45]", 1.0), ("ATAN[1]", 45.0), ("ATAN[1]/[-1]", 135.0),
        ("ATAN[0]/[1]", 0.0), ("ATAN[2]/[0]", 90.0), ("ASIN[.5]", 30.0), ("ACOS[-.5]", 120.0), ("ATAN[-1]", -45.0),
        ("SQRT[16]", 4.0), ("ABS[-3]", 3.0), ("ABS[3]", 3.0),
        # FIX towards 0, FUP away from it.
        ("FIX[2.7]", 2.0), ("FIX[-2.7]", -2.0), ("FUP[2.1]", 3.0), ("FUP[-2.1]", -3.0), ("FIX[3]", 3.0),
        ("FUP[3]", 3.0), ("ROUND[2.5]", 3.0), ("ROUND[2.4]", 2.0), ("ROUND[-2.4]", -2.0), ("ROUND[-2.6]", -3.0),
        ("40*TAN[ATAN[3]/[4]]", 30.0),
    ],
)  # fmt: skip
def test_numbers(text: str, expected: float) -> None:
    assert value(text) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[#1 EQ 2]", True), ("[#1NE2]", False), ("[#2 LT -3]", True), ("[#2 GT -3]", False), ("[2 GE 2]", True),
        ("[2 LE 1]", False), ("[1+1 EQ 4/2]", True), ("[[#1 EQ 2] AND [#2 GT 0]]", False),
        ("[[#1 EQ 2] OR [#2 GT 0]]", True), ("[[#1 EQ 2] XOR [#2 LT 0]]", False), ("[[[1 LT 2]]]", True),
        # AND before OR.
        ("[[1 EQ 1] OR [1 EQ 1] AND [1 EQ 2]]", True), ("[#3 EQ #0]", True), ("[#0 NE #1]", True),
    ],
)  # fmt: skip
def test_comparisons(text: str, expected: bool) -> None:
    assert holds(text) is expected


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("5/0", "divides by 0"), ("5/[#1-2]", "divides by 0"), ("5 MOD 0", "second over 0"),
        ("-5 MOD 3", "differs from control to control"), ("SQRT[-4]", "root of a negative"),
        ("TAN[90]", "which has none"), ("TAN[-270]", "which has none"), ("ASIN[-.5]", "from 0 to 1"),
        ("ACOS[1.1]", "from -1 to 1"), ("ATAN[-1]/[1]", "negative one on others"),
        ("ROUND[-2.5]", "half-way"), ("FIX[0.3/0.1]", "but for rounding"), ("0.3 MOD 0.1", "but for rounding"),
        ("#4", "in this program"), ("#3", "word #3 has no value"), ("#3+1", "has no value"),
        ("#0", "has no value"), ("#0+1", "no number"), ("R3", "in this program"),
        ("#1000", "is not followed as variable #1000"), ("#5021", "the control's"), ("#34", "#34"), ("#200", "#200"),
        ("#[#2]", "whole number"), ("#[#1+.5]", "whole number"), ("##1", "by its number"), ("#", "by its number"),
        ("1000000000*1000000000*10", "over 1e+18"), ("1000000000*2", "at most 1e+09"), ("9999999999", "at most"),
        ("", "must follow"), ("2+", "must follow"), ("2*-3", "is no number"), ("[2", "must close"),
        ("LN[2]", "is no number"), ("SIN30", "square brackets"), ("[1 EQ 1]+1", "no number"),
        ("1 AND 2", "two comparisons"), ("[1 EQ 1] AND 2", "two comparisons"), ("[" * 13 + "1" + "]" * 13, "nests"),
        ("[1 EQ 1]", "compares, and must be a number"), ("SIN[1 EQ 1]", "no number"), ("[1 LT 2 LT 3]", "must close"),
    ],
)  # fmt: skip
def test_what_has_no_value_or_two_is_refused(text: str, what: str) -> None:
    with pytest.raises(ProgramError, match=r"^program line 1: ") as error:
        value(text)
    assert what in str(error.value)
    assert "\n" not in str(error.value)


def test_a_comparison_stands_in_brackets_only() -> None:
    assert expression(Source(1, "1 EQ 1"), 0)[1] == 1


def test_what_only_rounding_decides_is_refused() -> None:
    """0.1 ten times is 1 - 1.1e-16 in binary arithmetic and 1 in decimal: whether a loop runs again is open."""
    almost: dict[str, float | None] = {
        "#1": reduce(operator.add, [0.1] * 10)
    }  # `sum` is exact from Python 3.12 on
    for sign in ("EQ", "NE", "GT", "GE", "LT", "LE"):
        node, _ = bracketed(Source(4, f"[#1 {sign} 1]"), 0)
        with pytest.raises(ProgramError, match=r"line 4: .* the same but for rounding"):
            node.value(almost)
    node, _ = bracketed(Source(4, "[#1 LT 1.001]"), 0)
    assert node.value(almost)
    with pytest.raises(ProgramError, match="asks for a value of #4"):
        bracketed(Source(1, "[#4 EQ #0]"), 0)[0].value(almost)
    for text in ("[#1 GT #0]", "[[#1+1] EQ #0]"):
        with pytest.raises(ProgramError, match="only a variable by EQ or NE"):
            bracketed(Source(1, text), 0)


# A tree: a leaf, or a sign with two trees. Its text takes brackets round every part, or only where signs need them.
Tree = float | tuple[str, "Tree", "Tree"]
SIGNS: dict[str, Callable[[float, float], float]] = {
    "+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv,
}  # fmt: skip
leaves = st.integers(0, 400).map(lambda n: n / 8)
trees: st.SearchStrategy[Tree] = st.recursive(
    leaves, lambda part: st.tuples(st.sampled_from("+-*/"), part, part), max_leaves=12
)


def text_of(tree: Tree, *, bare: bool) -> str:
    if isinstance(tree, float):
        return f"{tree:.4f}".rstrip("0")
    sign, left, right = tree
    a, b = text_of(left, bare=bare), text_of(right, bare=bare)
    weak = "+-"
    if not (bare and (isinstance(left, float) or sign in weak or left[0] not in weak)):
        a = f"[{a}]"
    if not (bare and (isinstance(right, float) or (sign in weak and right[0] not in weak))):
        b = f"[{b}]"
    return f"{a} {sign} {b}"


def of(tree: Tree) -> float:
    if isinstance(tree, float):
        return tree
    sign, left, right = tree
    return SIGNS[sign](of(left), of(right))


@given(trees, st.booleans())
def test_any_sum_gives_what_arithmetic_gives(tree: Tree, bare: bool) -> None:
    text = text_of(tree, bare=bare)
    assume(text.count("[") <= 12)
    try:
        expected = of(tree)
    except ZeroDivisionError:
        with pytest.raises(ProgramError, match="divides by 0"):
            value(text)
        return
    assume(abs(expected) <= 1e9 and math.isfinite(expected))
    assert value(text) == pytest.approx(expected, rel=1e-12, abs=1e-12)
