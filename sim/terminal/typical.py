"""What a setup rests on that nobody has read off, as a table: what matters most first."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text

from sim.assessment.verdict import Verdict
from sim.terminal.assessment import printed
from sim.terminal.figures import MARKS
from sim.uncertainty.typical import End, Rests


def show_typical(worst: Verdict | None, found: tuple[Rests, ...]) -> None:
    """Print each value that was not read off, the worse end of its range, and what the worst verdict is there."""
    if not found:
        printed(Text(""), Text("Every value that has a usual range is stated and none is called typical."))
        return
    rows = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    for name in (
        "not read off",
        "taken",
        "because",
        "at worst",
        "what loses most there",
        "worst verdict there",
    ):
        rows.add_column(name, overflow="fold")
    for one in found:
        rows.add_row(
            one.field, one.value, one.basis, one.worse.value, fallen_text(one.worse), end_text(one.worse)
        )
    printed(
        Text(""),
        Text("What was not read off, each moved alone to the worse end of its usual range", style="bold"),
        Text(f"As it stands: {verdict_text(worst)}. Margin 1 is at the limit; contact by elastic columns."),
        rows,
    )


def end_text(end: End) -> str:
    """Return what a check says of an end of a range."""
    return f"refused: {end.refused}" if end.worst is None and end.refused else verdict_text(end.worst)


def fallen_text(end: End) -> str:
    """Return which verdict loses most of its margin at an end of a range, and from what to what."""
    lost = end.fallen
    return "-" if lost is None else f"{lost.verdict.name}: {lost.before:.3g} to {lost.verdict.margin:.3g}"


def verdict_text(verdict: Verdict | None) -> str:
    """Return a verdict with its status and its margin, 1 at the limit."""
    if verdict is None:
        return "no verdict has a margin"
    return f"{MARKS[verdict.status]}  {verdict.name} ({verdict.stage}), margin {verdict.margin:.2f}"
