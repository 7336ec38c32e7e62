"""The assessment in the terminal: a table that a setter reads in ten seconds, worst first."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterator, Sequence
from itertools import groupby

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.segment import Segments
from rich.table import Table
from rich.text import Text

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.operation import OperationFigures
from sim.assessment.figures.path import PathFigures
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.said import said
from sim.assessment.verdict import NotJudged, Verdict
from sim.base.printable import printable
from sim.report.moves import MoveRow, move_rows
from sim.report.running import running_rows
from sim.terminal.cuts import held_cuts
from sim.terminal.figures import MARKS, STYLES, figures
from sim.terminal.summary import WIDTH, summary

WIDE = 150  # characters, where the output is no terminal
ROOM = 110  # characters that a table of moves needs in one line
_TRAILING = re.compile(r" +$", re.MULTILINE)


def table(assessment: Assessment, *, basis: bool = False) -> Group:
    """Return every verdict, then what to change, how true the part runs, the cautions; with each source if asked."""
    return Group(
        Text(assessment.scenario.named, style="bold"),
        Text(headline(assessment)),
        *(Text(line) for line in assessment.scenario.origin),
        *not_asked(assessment.not_judged),
        Text(""),
        *(_with_basis(assessment) if basis else [_rows(assessment.verdicts)]),
        *_advice(assessment),
        *_cuts(assessment),
        *(line for figures in assessment.operations for line in running_lines(figures)),
        *cautions(),
    )


def _rows(verdicts: Sequence[Verdict]) -> Table:
    several = len({v.stage for v in verdicts}) > 1
    rows = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    rows.add_column("verdict", no_wrap=True)
    if several:
        rows.add_column("stage", overflow="fold")
    rows.add_column("what", no_wrap=True)
    rows.add_column("value", justify="right", no_wrap=True)
    rows.add_column("limit", justify="right", no_wrap=True)
    for verdict in verdicts:
        cells = [MARKS[verdict.status], verdict.stage, verdict.name, *figures(verdict)]
        if not several:
            del cells[1]
        rows.add_row(*cells, style=STYLES[verdict.status])
    return rows


def _with_basis(assessment: Assessment) -> Iterator[RenderableType]:
    """Yield each verdict on a line of its own, below it where its limit comes from, in full."""
    for verdict in assessment.verdicts:
        value, limit = figures(verdict)
        head = f"{MARKS[verdict.status]}  {verdict.name}, {verdict.stage}: {value} {limit}"
        yield Text(head, style="bold" if verdict.status == "fail" else "")
        yield Padding(Text(verdict.basis, style="dim"), (0, 0, 0, 8))


def _cuts(assessment: Assessment) -> list[RenderableType]:
    """Return how many times each cut is held; nothing where nothing is cut."""
    rows = held_cuts(assessment)
    return [Text(""), rows] if rows.row_count else []


def running_lines(figures: OperationFigures) -> list[RenderableType]:
    """Return what keeps the part of an operation from running true, as an indicator shows it."""
    rows = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    rows.add_column("share", no_wrap=True)
    rows.add_column("worst µm", justify="right", no_wrap=True)
    rows.add_column("root µm", justify="right", no_wrap=True)
    rows.add_column("basis", overflow="fold")
    for row in running_rows(figures.running):
        cells = row.what, f"{row.worst:.1f}", f"{row.root:.1f}", row.basis
        rows.add_row(*cells, style="bold" if row.total else "")
    heading = Text(f"How true the part runs, {figures.operation.name} (on the indicator)", style="bold")
    return [Text(""), heading, Padding(rows, (0, 0, 0, 2))]


def cautions() -> list[Text | Padding]:
    """Return the cautions that stand under every table."""
    return [
        Text(""),
        Text("Cautions", style="bold"),
        *(Padding(Text(line), (0, 0, 0, 2)) for line in CAUTIONS),
    ]


def printed(*content: RenderableType, width: int = WIDE) -> None:
    """Print to the terminal; piped it is wide enough for one line a verdict."""
    console = Console(highlight=False, markup=False, emoji=False, width=_width(width))
    for part in content:
        with console.capture() as held:
            # what is written out in full may be longer than the line
            console.print(_shown(console, part), crop=False)
        text = held.get()
        # Columns are filled up with blanks, which a file or a mail would keep.
        console.file.write(text if console.is_terminal else _TRAILING.sub("", text))


def _width(piped: int) -> int:
    """Return how wide the reader is: the terminal, or COLUMNS where it is set, else `piped`."""
    console = Console()
    return console.width if console.is_terminal or "COLUMNS" in os.environ else piped


def _shown(console: Console, part: RenderableType) -> RenderableType:
    """Return what is to be printed with nothing of a file's text in it that the terminal would obey."""
    if isinstance(part, str):
        return printable(part)
    return Segments(
        [s if s.control else s._replace(text=printable(s.text, "\n")) for s in console.render(part)]
    )


def headline(assessment: Assessment) -> str:
    """Return the worst status with the counts, and how many questions that matter were not asked."""
    count = {s: sum(v.status == s for v in assessment.verdicts) for s in ("fail", "warn", "pass")}
    counted = f"{said(assessment)}: {count['fail']} fail, {count['warn']} warn, {count['pass']} pass"
    left = len(assessment.unasked)
    return f"{counted}, {left} not asked." if left else f"{counted}."


def not_asked(found: tuple[NotJudged, ...]) -> list[Text | Padding]:
    """Return what was not asked: each question that matters with its reason, the others in one paragraph."""
    lines: list[Text | Padding] = []
    matter = [one for one in found if one.matters]
    if matter:
        lines += [Text(""), Text("Not asked, and it matters", style="bold")]
        lines += [
            Padding(Text(f"! {one.stage}: {one.question} {_reason(one)}"), (0, 0, 0, 2)) for one in matter
        ]
    rest = [f"{one.stage}: {one.question}" for one in found if not one.matters]
    if rest:
        lines += [
            Text(""),
            Text(f"Lesser questions not asked (reasons in --json): {' '.join(rest)}", style="dim"),
        ]
    return lines


def _reason(one: NotJudged) -> str:
    return f"{one.why[:1].upper()}{one.why[1:]}. Needs {one.needs}."


def _advice(assessment: Assessment) -> list[Text | Padding]:
    lines: list[Text | Padding] = []
    for verdict in assessment.verdicts:
        if verdict.status == "pass":
            continue
        if not lines:
            lines += [Text(""), Text("What to change", style="bold")]
        text = Text(f"{verdict.name} ({verdict.stage}): ", style="bold")
        text.append(f"{verdict.message[0].upper()}{verdict.message[1:]} ", style="not bold")
        text.append(verdict.advice, style="not bold")
        lines.append(Padding(text, (0, 0, 0, 2)))
    return lines


def move_table(path: PathFigures, width: int = WIDE) -> Group:
    """Return every move of a path with its clearance, and its grip where a part is machined.

    Where a line has no room for it, what is nearest stands below the figures, for all moves that are alike in it.
    """
    narrow = width < ROOM
    rows = Table(box=None, pad_edge=False, padding=(0, 1 if narrow else 2, 0, 0), header_style="underline")
    several, program = len(path.runs) > 1, bool(path.file)
    machines = isinstance(path, MachiningFigures)
    for name in ["move", "block", "line"] if program else ["move"]:
        rows.add_column(name, justify="right", no_wrap=True)
    rows.add_column("kind", overflow="fold", no_wrap=not narrow)
    table = move_rows(path)
    staged = any(row.stage for row in table) and not narrow
    if staged:
        rows.add_column("stage", overflow="fold")
    gap = "gap" if narrow else "clearance"
    for name in ("to X dia.", "Z", gap, "depth", "rev/min", *(["holds"] if machines else [])):
        rows.add_column(name, justify="right", no_wrap=True)
    if not narrow:
        rows.add_column("nearest, and what touches", overflow="fold")
    for row in table:
        cells = [str(row.number)]
        if program:
            cells += ["" if row.block is None else f"N{row.block}", "" if row.line is None else str(row.line)]
        cells += [
            row.kind,
            *([row.stage] if staged else []),
            f"{row.x:.3f}",
            f"{row.z:.3f}",
            _gap(row.clearance),
        ]
        cells += [
            f"{row.depth:.2f}" if row.depth > 0.0 else "",
            "" if row.speed is None else f"{row.speed:.0f}",
        ]
        if machines:
            cells.append(f"{row.factor:.2f}" if row.factor is not None and math.isfinite(row.factor) else "")
        rows.add_row(*cells, *([] if narrow else [_nearest(row, tool=several)]))
    return Group(rows, *(_alike(table, tool=several) if narrow else []))


def _nearest(row: MoveRow, *, tool: bool) -> str:
    words = [
        row.between + (", off the line" if row.off_the_line else ""),
        *([f"TOUCH: {row.touches}"] if row.touches else []),
        *([row.tool] if tool else []),
    ]
    return "; ".join(word for word in words if word)


def _alike(table: Sequence[MoveRow], *, tool: bool) -> Iterator[RenderableType]:
    """Yield what is nearest, touches and cuts, once for moves that follow each other and are alike in it."""
    yield Text("nearest, and what touches", style="underline")
    told = [(row.number, "; ".join(w for w in (row.stage, _nearest(row, tool=tool)) if w)) for row in table]
    for words, alike in groupby(told, key=lambda one: one[1]):
        numbers = [number for number, _ in alike]
        which = f"{numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else f"{numbers[0]}"
        yield Padding(Text(f"{which}: {words or 'nothing near'}"), (0, 0, 0, 2))


def _gap(clearance: float) -> str:
    return f"{clearance:.2f}" if math.isfinite(clearance) else "far"


def _moves(assessment: Assessment, width: int) -> Iterator[RenderableType]:
    """Yield each path's heading, what was assumed in reading it, and its moves."""
    for stage, path in assessment.paths:
        yield Text("")
        source = f"program {path.file}" if path.file else "path made from the pockets"
        yield Text(f"Moves, {stage}: {source}", style="bold")
        advice = [assessment.boring.advice] if path is assessment.boring and assessment.boring.advice else []
        for note in (*advice, *path.notes):
            yield Padding(Text(note), (0, 0, 0, 2))
        yield move_table(path, width)


def show(assessment: Assessment, *, every: bool = False, basis: bool = False, moves: bool = False) -> None:
    """Print one screen, or every verdict (with where each limit comes from), and every move, if asked."""
    first = [table(assessment, basis=basis)] if every or basis else summary(assessment, headline(assessment))
    printed(*first, width=WIDTH)
    if moves:
        printed(*_moves(assessment, _width(WIDE)))
