"""Two revisions of a setup in the terminal: what was changed, which verdicts moved; in 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import shorten, wrap

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.verdict import NotJudged, Verdict
from sim.base.counted import NONE, ONE, compared, counted
from sim.base.printable import printable
from sim.base.rounding import margin_text
from sim.base.unit_words import unit_word
from sim.revisions.fields import FieldChange, Side
from sim.revisions.verdicts import Moves, VerdictMove
from sim.terminal.assessment import headline
from sim.terminal.figures import MARKS

WIDE = 80  # characters
_LONGEST = 160  # characters of a value that are shown
_MOST_DECIMALS = 7
_WORDS = {"worse": "WORSE", "better": "better", "moved": "moved", "new": "NEW", "gone": "GONE"}


def lines(
    names: tuple[str, str],
    judged: tuple[Assessment, Assessment],
    changes: Sequence[FieldChange],
    moved: Moves,
) -> Iterator[str]:
    """Yield the lines of two revisions, each at most 80 characters wide."""
    for word, name, one in zip(("old", "new"), names, judged, strict=True):
        revision = f", revision {one.scenario.revision}" if one.scenario.revision else ""
        yield from _block(f"{word}  {name}{revision}", "     ")
        yield from _block(f"     {headline(one)}", "     ")
    yield ""
    yield _counted(len(changes), "value differs", "values differ", "no value differs")
    for change in changes:
        yield from _change(change)
    yield ""
    yield _counted(
        len(moved.verdicts),
        "verdict moved",
        "verdicts moved, worst first",
        "no verdict moved",
    )
    for move in moved.verdicts:
        yield from _move(move)
    yield from _questions("Not asked any more in the new one", moved.opened)
    yield from _questions("Asked now", moved.closed)
    yield ""
    yield "Cautions"
    for caution in CAUTIONS:
        yield from _block(f"  {caution}", "  ")


def _counted(count: int, one: str, many: str, none: str) -> str:
    return f"{count} {one if count == 1 else many}:" if count else f"{none[:1].upper()}{none[1:]}."


def _change(change: FieldChange) -> Iterator[str]:
    old, new = (_side(side, change) for side in (change.old, change.new))
    whole = f"  {change.key}: {old} -> {new}"
    if len(whole) <= WIDE:
        yield printable(whole)
        return
    yield from _block(f"  {change.key}:", "    ")
    yield from _block(f"    old  {old}", "         ")
    yield from _block(f"    new  {new}", "         ")


def _side(side: Side, change: FieldChange) -> str:
    told = shorten(side.told, _LONGEST, placeholder=" ...")  # of several lines one
    notes = []
    if change.unit and isinstance(side.value, float | int) and _stated_units_differ(change):
        notes.append(f"{side.value:.10g} {unit_word(change.unit)}")
    if side.default:
        notes.append("default")
    if side.origin:
        notes.append(f"from {side.origin}")
    return f"{told} ({', '.join(notes)})" if notes else told


def _stated_units_differ(change: FieldChange) -> bool:
    """Tell whether two quantities can not be compared as they are written."""
    units = {
        side.told.lstrip("+-0123456789./eE ") for side in (change.old, change.new) if side.value is not None
    }
    return len(units) > 1


def _move(move: VerdictMove) -> Iterator[str]:
    now = move.now
    status = f"was {MARKS[now.status]}" if move.new is None else MARKS[now.status]
    was = f", was {MARKS[move.old.status]}" if move.old and move.new and move.old.status != now.status else ""
    yield from _block(f"  {status}{was}: {now.name}, {now.stage}", "         ")
    if move.old is None or move.new is None:
        told = "it was not judged before" if move.old is None else "it is NOT JUDGED any more"
        yield from _block(f"         {_WORDS[move.way]}: {_figures(now)}; {told}", "         ")
        return
    before, after = _margin(move.old), _margin(move.new)
    margins = f"margin {before} -> {after}" if before != after else f"margin still {before}"
    old, new = _both(move.old, move.new)
    yield from _block(f"         {_WORDS[move.way]}: {old} -> {new}; {margins}", "         ")
    if now.status != "pass":
        yield from _block(f"         {now.message} {now.advice}".rstrip(), "         ")


def _both(old: Verdict, new: Verdict) -> tuple[str, str]:
    """Return the figures of both, with more decimals where a value that moved would else be printed as it was."""
    decimals = None
    while True:
        texts = _figures(old, decimals), _figures(new, decimals)
        if texts[0] != texts[1] or decimals == _MOST_DECIMALS:
            return texts
        decimals = 3 if decimals is None else decimals + 1


def _figures(verdict: Verdict, decimals: int | None = None) -> str:
    if verdict.unit in ONE:
        limit = NONE if verdict.limit == 0.0 else f"at most {verdict.limit:.0f}"
        return f"{counted(verdict.value, verdict.unit)} ({limit})"
    places = None if decimals is None else (decimals, decimals)
    value, limit = compared(verdict.value, verdict.limit, verdict.unit, places)
    return f"{value} (at {'least' if verdict.at_least else 'most'} {limit})"


def _margin(verdict: Verdict) -> str:
    return margin_text(verdict.margin, missed=verdict.missed, most=1000.0)


def _questions(heading: str, found: Sequence[NotJudged]) -> Iterator[str]:
    if not found:
        return
    yield ""
    yield heading
    for one in found:
        mark = "! " if one.matters else ""
        yield from _block(f"  {mark}{one.stage}: {one.question}", "    ")


def _block(text: str, after: str) -> Iterator[str]:
    """Yield a text in lines, those after the first indented so."""
    begin = text[: len(text) - len(text.lstrip())]
    yield from wrap(printable(text.strip()), WIDE, initial_indent=begin, subsequent_indent=after)
