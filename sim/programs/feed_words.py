"""The feed that an F word gives, where it can mean one feed only."""

from __future__ import annotations

from sim.programs.code_systems import Doubts
from sim.programs.plain_lines import PlainLine
from sim.programs.words import Block, ProgramError, Word

INCH = 25.4  # mm, exact (ISO 31-1)
# mm/rev of turning tools lie far within (common practice, no source): F20 for F.20, or F.2 where minutes count.
LARGEST_FEED, LEAST_FEED = 5.0, 1e-3


def feed_of(
    block: Block, word: Word, doubts: Doubts, *, inch: bool, per_minute: bool, increments: bool
) -> float:
    """Return the feed of an F word, mm/rev or mm/min.

    Parameters
    ----------
    block, word
    doubts : Doubts
        What the codes in force can also mean.
    inch, per_minute : bool
        What holds in the block.
    increments : bool
        A number without a decimal point counts increments, or it is not stated what it counts.

    Raises
    ------
    ProgramError
        If it is no feed of a turning tool, or could be another one.
    """
    feed = word.value * (INCH if inch else 1.0)
    if feed <= 0.0:
        raise ProgramError(block.line, word.text, "must be greater than 0")
    if increments and not word.decimal and (inch or not per_minute):
        raise ProgramError(
            block.line, word.text,
            "has no decimal point: which increments of feed it counts differs from control to control; write the point",
        )  # fmt: skip
    if not per_minute and feed > LARGEST_FEED:
        raise ProgramError(
            block.line, word.text,
            f"would be {feed:g} mm a revolution; at most {LARGEST_FEED:g} mm are followed (a missing decimal point, or "
            "a feed per minute without its code?)",
        )  # fmt: skip
    place = doubts.per_minute
    if per_minute and place is not None and feed <= LARGEST_FEED:
        raise ProgramError(
            block.line, word.text,
            f"can be {feed:g} mm a minute, or a revolution where {place.text} of line {place.line} says how far a "
            "cycle returns; code_system must state which code system is meant",
        )  # fmt: skip
    return feed


def require_feed(block: Block | PlainLine, feed: float | None) -> None:
    """Refuse a feed (mm/rev) that no tool cuts with.

    Raises
    ------
    ProgramError
        If it is under `LEAST_FEED`.
    """
    if feed is not None and feed < LEAST_FEED:
        raise ProgramError(
            block.line, "",
            f"feeds {feed:.2g} mm a revolution only (a feed per revolution where minutes count?); at least "
            f"{LEAST_FEED:g} mm are followed",
        )  # fmt: skip
