"""How wide words are as they are printed, so that they can be set without being looked at.

One font, DejaVu Sans and its bold, which matplotlib brings along. A letter's height is that of its capitals, as
ISO 3098 counts it.
"""

from __future__ import annotations

import importlib.util
from functools import lru_cache
from pathlib import Path

from fontTools.ttLib import TTFont

from sim.base.errors import NotAvailableError
from sim.base.printable import printable

FAMILY = "DejaVu Sans"
CAPITALS = 1493.0 / 2048.0  # height of its capitals over its size, no unit
BELOW = 0.33  # how far letters reach below the line they stand on, over the height of capitals (g, comma, brackets)
LEADING = 1.75  # distance of lines over the height of capitals


def font_file(*, bold: bool = False) -> Path:
    """Return the font's file, or that of its bold.

    Raises
    ------
    NotAvailableError
        If matplotlib has been installed without its fonts.
    """
    found = importlib.util.find_spec("matplotlib")
    for folder in () if found is None else found.submodule_search_locations or ():
        file = (
            Path(folder)
            / "mpl-data"
            / "fonts"
            / "ttf"
            / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")
        )
        if file.is_file():
            return file
    raise NotAvailableError(
        "no drawing is made: the font DejaVu Sans is missing, which comes with matplotlib"
    )


@lru_cache(2)
def _widths(*, bold: bool) -> tuple[dict[int, float], float]:
    """Return each character's width over the font's size, and that of the box for what it has not."""
    with TTFont(font_file(bold=bold), lazy=True) as font:
        size = float(font["head"].unitsPerEm)
        widths = font["hmtx"].metrics
        known = {code: widths[name][0] / size for code, name in font.getBestCmap().items()}
        return known, widths[".notdef"][0] / size


def words_width(words: str, height: float, *, bold: bool = False) -> float:
    """Return the width (mm) of words whose capitals are `height` mm high."""
    return _share(words, bold=bold) * height / CAPITALS


@lru_cache(4096)
def _share(words: str, *, bold: bool) -> float:
    """Return the width of words over the font's size: a note that looks for room asks for its words many times."""
    known, other = _widths(bold=bold)
    return sum(known.get(ord(letter), other) for letter in words)


def shown(words: str) -> str:
    """Return words of a file as they may be drawn: nothing in them that turns letters round or breaks lines."""
    return printable(words)


def wrapped(words: str, height: float, width: float) -> tuple[str, ...]:
    """Return words in lines no wider than `width` mm; a word that is wider alone is broken.

    Parameters
    ----------
    words : str
    height, width : float
        Of capitals, and of the lines, mm.
    """
    lines: list[str] = []
    for word in words.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and words_width(joined, height) <= width:
            lines[-1] = joined
            continue
        lines.append("")
        for letter in word:
            if lines[-1] and words_width(lines[-1] + letter, height) > width:
                lines.append("")
            lines[-1] += letter
    return tuple(lines)
