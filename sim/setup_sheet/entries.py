"""What stands on a setup sheet, before it has a place on the paper."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

SHORT = 4  # words, as of a speed that may not be more


@dataclass(frozen=True, slots=True)
class Scale:
    """What a gauge may read, in its own unit from nought on: stop below the first, go on between the others.

    Attributes
    ----------
    stop, low, high : float
        Of one unit.
    expected : float
        Between the last two.
    words : tuple of str
        Over the part to stop in and over that to go on in; under the ends of the latter, and at what is expected.
    """

    stop: float
    low: float
    high: float
    expected: float
    words: tuple[str, str, str, str, str]


@dataclass(frozen=True, slots=True)
class Entry:
    """One row: what it is about, what to know, what to fill in or to tick.

    Attributes
    ----------
    label : str
    told : tuple of str
        Each begins on a line of its own.
    blank : str
        Unit of what is measured and written down; '' for no blank.
    ticks : tuple of str
        Words behind boxes.
    large : bool
        What is told first is to be read from afar.
    scale : Scale or None
        Drawn under what is told.
    beside : Entry or None
        Another one on the same row, right of it.
    """

    label: str
    told: tuple[str, ...]
    blank: str = ""
    ticks: tuple[str, ...] = ()
    large: bool = False
    scale: Scale | None = None
    beside: Entry | None = None


def side_by_side(entry: Entry, other: Entry) -> tuple[Entry, ...]:
    """Return two short entries on one row; each on its own where one says more than what to set."""
    if any(len(one.told[0].split()) > SHORT for one in (entry, other)):
        return entry, other
    return (replace(entry, beside=other),)


@dataclass(frozen=True, slots=True)
class Section:
    """One step of the work.

    Attributes
    ----------
    title : str
    entries : tuple of Entry
    drawn : {'', 'jaws'}
        What is drawn under it: nothing, or the pocket and the jaw set.
    together : bool
        It is read on one page where it fits on one.
    """

    title: str
    entries: tuple[Entry, ...]
    drawn: Literal["", "jaws"] = ""
    together: bool = False


@dataclass(frozen=True, slots=True)
class Told:
    """Lines that stand before all others: a heading, and how high its letters are.

    Attributes
    ----------
    head : str
    lines : tuple of str
    weight : {'fail', 'warn', 'pass'}
        How large it stands.
    """

    head: str
    lines: tuple[str, ...]
    weight: Literal["fail", "warn", "pass"]
