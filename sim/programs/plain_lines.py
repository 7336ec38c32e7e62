"""Lines that say no more than where a move ends: N, G0 to G3, X or U, Z or W, R, I, K and F, once, in this order.

Most lines of a long program are such lines. They are read at one look, without words; who needs their words makes a
block of their text.
"""

from __future__ import annotations

import re
from typing import NamedTuple

_NUMBER = r"([+-]?(?:[0-9]{1,6}(?:\.[0-9]{0,7})?|\.[0-9]{1,7}))"
_POINTED = r"([+-]?(?:[0-9]{1,6}\.[0-9]{0,7}|\.[0-9]{1,7}))"
_FEED = r"((?:[0-9]{1,6}(?:\.[0-9]{0,7})?|\.[0-9]{1,7}))"


def _line(number: str) -> re.Pattern[str]:
    """Return the pattern of such a line whose lengths are written so."""
    blank = r"[ \t]*"
    arc = f"(?:R{number}{blank}|(?:I{number}{blank})?(?:K{number}{blank})?)"
    return re.compile(
        rf"(?:N([0-9]{{1,8}}){blank})?(?:G0?([0-3]){blank})?"
        rf"(?:X{number}{blank}|U{number}{blank})?(?:Z{number}{blank}|W{number}{blank})?{arc}(?:F{_FEED})?"
    )


_LINE, _POINTED_LINE = _line(_NUMBER), _line(_POINTED)


class PlainLine(NamedTuple):
    """Such a line.

    Attributes
    ----------
    line : int
        From 1.
    text : str
        Its code, as of `sim.programs.words.Code`.
    ordinal : int
        As of `sim.programs.words.Block`.
    number : int, optional
        Of its N word.
    motion : int, optional
        Of its G word, 0 to 3.
    x, u, z, w : float, optional
        As written, no unit; never both X and U, or Z and W.
    arc : bool
        Whether it has R, I or K.
    feed : str
        The number of its F word as written; empty without one.
    """

    line: int
    text: str
    ordinal: int
    number: int | None
    motion: int | None
    x: float | None
    u: float | None
    z: float | None
    w: float | None
    arc: bool
    feed: str

    @property
    def name(self) -> None:
        """No O word stands in it."""
        return

    @property
    def switch(self) -> str:
        """No slash stands before it."""
        return ""


def plain_line(line: int, text: str, ordinal: int, *, pointed: bool) -> PlainLine | None:
    """Return a line's code in upper case as such a line, if it surely is one; else None.

    Parameters
    ----------
    line, text, ordinal
        As of `PlainLine`.
    pointed : bool
        Every length of it must have a decimal point: without one it counts something else, or it is open what.
    """
    found = (_POINTED_LINE if pointed else _LINE).fullmatch(text)
    if found is None:
        return None
    number, motion, x, u, z, w, radius, across, along, feed = found.groups()
    if x is None and u is None and z is None and w is None:
        return None
    return tuple.__new__(
        PlainLine,
        (
            line, text, ordinal,
            None if number is None else int(number),
            None if motion is None else int(motion),
            None if x is None else float(x),
            None if u is None else float(u),
            None if z is None else float(z),
            None if w is None else float(w),
            radius is not None or across is not None or along is not None,
            feed or "",
        ),
    )  # fmt: skip
