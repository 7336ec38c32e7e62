"""Layouts weighed, in the terminal."""

from __future__ import annotations

from rich.console import Console, Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from sim.assessment import CAUTIONS, Verdict
from sim.layouts.comparison import Comparison, Value, VerdictRow
from sim.terminal import MARKS, STYLES, short

WIDE = 150  # characters, where the output is no terminal


def show_comparison(found: Comparison) -> None:
    """Print layouts side by side: what decides, the figures, the verdicts that do not pass alike."""
    _print(comparison_table(found))


def comparison_table(found: Comparison) -> Group:
    """Return layouts side by side; of the verdicts those that some layout does not pass, or that differ."""
    return Group(
        Text("Layouts side by side", style="bold"),
        *(
            Text(f"{number}  {layout.name}: {'; '.join(one.scenario.title for one in layout.sets)}")
            for number, layout in enumerate(found.layouts, start=1)
        ),
        Text(""),
        Text("What decides", style="bold"),
        *(Padding(Text(line), (0, 0, 0, 2)) for line in found.decision.reasons),
        Text(""),
        _figures(found),
        Text(""),
        _verdicts(found),
        *cautions(),
    )


def _figures(found: Comparison) -> Table:
    table = _plain("figure", *(str(k) for k in range(1, len(found.layouts) + 1)))
    group = ""
    for row in found.rows:
        if row.group != group:
            group = row.group
            table.add_row(Text(group, style="bold"))
        unit = f", {row.unit}" if row.unit else ""
        table.add_row(f"  {row.what}{unit}", *(cell(value) for value in row.values))
    return table


def _verdicts(found: Comparison) -> Table:
    table = _plain("verdict, value (margin)", *(str(k) for k in range(1, len(found.layouts) + 1)))
    for row in found.verdicts:
        if _tells(row):
            table.add_row(f"{row.name}, {row.stage}", *(_verdict(v) for v in row.cells))
    return table


def _tells(row: VerdictRow) -> bool:
    there = [v for v in row.cells if v is not None]
    return len(there) < len(row.cells) or any(v.status != "pass" for v in there) or _differs(there)


def _differs(verdicts: list[Verdict]) -> bool:
    values = [v.value for v in verdicts]
    return max(values) - min(values) > 0.02 * max(abs(v) for v in values)


def _verdict(verdict: Verdict | None) -> Text:
    if verdict is None:
        return Text("not asked", style="dim")
    margin = f"{verdict.margin:.2f}" if verdict.margin < 100.0 else "ample"
    return Text(
        f"{MARKS[verdict.status]} {short(verdict.value)} {verdict.unit} ({margin})".replace("  ", " "),
        style=STYLES[verdict.status],
    )


def cell(value: Value) -> str:
    """Return a figure as it is shown; a dash where there is none."""
    if value is None:
        return "-"
    return short(value) if isinstance(value, float) else str(value)


def cautions() -> list[Text | Padding]:
    """Return the cautions that stand under every table."""
    return [
        Text(""),
        Text("Cautions", style="bold"),
        *(Padding(Text(line), (0, 0, 0, 2)) for line in CAUTIONS),
    ]


def _plain(*heads: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    for number, head in enumerate(heads):
        table.add_column(head, justify="left" if number == 0 else "right", overflow="fold")
    return table


def _print(content: Group) -> None:
    console = Console(highlight=False)
    if not console.is_terminal:
        console = Console(highlight=False, width=WIDE)
    console.print(content)
