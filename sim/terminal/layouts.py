"""Layouts weighed, in the terminal."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from sim.assessment.said import unasked
from sim.assessment.verdict import Verdict
from sim.base.counted import ONE, compared
from sim.base.rounding import SAME, at_least_text, at_most_text, margin_text
from sim.base.unit_words import unit_word
from sim.layouts.candidate import margin, nearest_verdict
from sim.layouts.comparison import Comparison, Value, VerdictRow
from sim.layouts.full_check import FullCheck, said
from sim.layouts.grip_height import GripHeight
from sim.layouts.layout import Layout
from sim.layouts.search import Blocking, SearchResult
from sim.layouts.shelf import ShelvedSet, bored_to
from sim.layouts.weighed import weighed
from sim.layouts.window import Side, Window, WindowPoint, border, margin_at
from sim.terminal.assessment import cautions, printed
from sim.terminal.figures import MARKS, STYLES, short


def show_comparison(found: Comparison) -> None:
    """Print layouts side by side: what decides, the figures, the verdicts that do not pass alike."""
    printed(comparison_table(found))


def _named(number: int, layout: Layout) -> Text:
    """Return what a layout is called and what it is, with where its values were taken from."""
    titles = "; ".join(one.scenario.title for one in layout.sets)
    lines = [f"{number}  {layout.name}: {titles}"]
    lines += [f"   {line}" for one in layout.sets for line in one.scenario.origin]
    lines += [f"   {unasked(layout.unasked)}"] if layout.unasked else []
    return Text("\n".join(lines))


def _decided(found: Comparison) -> bool:
    """Tell whether one layout stands first or none can be run: then nothing is to be weighed, the reasons say it."""
    return found.decision.first is not None or all(x.status == "fail" for x in found.layouts)


def comparison_table(found: Comparison) -> Group:
    """Return layouts side by side; of the verdicts those that some layout does not pass, or that differ."""
    return Group(
        Text("Layouts side by side", style="bold"),
        *([] if _decided(found) else [Text(f"{weighed(found)}.", style="bold")]),
        *(_named(number, layout) for number, layout in enumerate(found.layouts, start=1)),
        Text(""),
        Text("What decides", style="bold"),
        *(Padding(Text(line), (0, 0, 0, 2)) for line in found.decision.reasons),
        Text(""),
        _figures(found),
        Text(""),
        _verdicts(found),
        *cautions(),
    )


def show_shelf(fits: tuple[ShelvedSet, ...], title: str) -> None:
    """Print the sets of a shelf for a part, those that fit first, least metal first."""
    printed(shelf_table(fits, title))


def shelf_table(fits: tuple[ShelvedSet, ...], title: str) -> Group:
    """Return the sets of a shelf for a part: where to mount them, what boring takes, what stands against them."""
    table = _plain("set", "verdicts", "serration", "metal per jaw, cm³", "left, mm", "bored to", "against it")
    for number in (1, 5, 6):
        table.columns[number].justify = "left"
    for fit in fits:
        status = "x no place" if fit.assessment is None else MARKS[fit.assessment.status]
        index = "-" if fit.serration_index is None else f"{fit.serration_index:+d}"
        table.add_row(
            fit.jaw_set.name, status, index, cell(_known(fit.metal)), cell(_known(fit.left)),
            bored_to(fit.jaw_set), f"do not take: {fit.reason}" if fit.reason else _warnings(fit),
        )  # fmt: skip
    best = next((fit for fit in fits if fit.fits), None)
    line = (
        "No set on the shelf can be bored again for this part as the scenario has it: take none of them."
        if best is None
        else f"Take '{best.jaw_set.name}' at serration {best.serration_index:+d}: boring it takes {best.metal:.1f} cm³ "
        f"out of each jaw and leaves {best.left:.1f} mm in radius for one more re-bore"
        f"{'' if best.check is None else f'; {said(best.check)}'}."
    )
    return Group(
        Text(f"Jaws on the shelf for: {title}", style="bold"),
        Text(line),
        *_not_asked([] if best is None else [best.check]),
        Text(""),
        table,
        *cautions(),
    )


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _warnings(fit: ShelvedSet) -> str:
    verdicts = () if fit.assessment is None else fit.assessment.verdicts
    return "; ".join(f"{v.name} warns: {v.message.rstrip('.')}" for v in verdicts if v.status == "warn")


def show_windows(
    windows: list[tuple[Window, GripHeight | None]], title: str, origin: tuple[str, ...] = ()
) -> None:
    """Print pressure against speed of every operation and of boring; `origin` says where values came from."""
    parts = [window_table(shown, height) for shown, height in windows]
    head = [Text(f"Pressure and speed for: {title}", style="bold"), *(Text(line) for line in origin)]
    head += _not_asked([shown.stated.check for shown, _ in windows])
    printed(Group(*head, *parts, *cautions()))


def _not_asked(found: Iterable[FullCheck | None]) -> list[Text]:
    """Say how many questions that matter the full checks left open; nothing where there is none."""
    count = max((one.unasked for one in found if one is not None), default=0)
    return [Text(f"{unasked(count)} (chuckscene check says which)")] if count else []


def window_table(shown: Window, height: GripHeight | None) -> Group:
    """Return where the window of one operation is open, what ends it, and the margins of all criteria."""
    table = _plain(
        "criterion", "margin as stated", "margin as recommended", "just met at the stated speed, bar"
    )
    column = int(abs(shown.speeds - shown.stated.speed).argmin())
    best = shown.recommended
    for criterion in sorted(
        shown.criteria, key=lambda c: margin_at(shown, c, shown.stated.pressure, shown.stated.speed)
    ):
        stated = margin_at(shown, criterion, shown.stated.pressure, shown.stated.speed)
        after = None if best is None else margin_at(shown, criterion, best.pressure, best.speed)
        table.add_row(
            criterion.name + (" (warns)" if criterion.soft else ""),
            _margin(stated),
            "-" if after is None else _margin(after),
            cell(_known(10.0 * float(border(shown, criterion.name)[column]))),
        )
    missed = "outside" if shown.warns_only else "fails"
    lines = [Text(""), Text(shown.operation, style="bold"), Text(f"As stated: {_said(shown.stated, missed)}")]
    if best is None:
        lines.append(Text(" ".join(shown.dropped) or "No pressure and speed keep all limits here."))
    else:
        lines.append(Text(f"Recommended: {_said(best, missed)}"))
        lines += [Text(line) for line in shown.dropped]
    if shown.fastest is not None:
        lines.append(
            Text(
                f"Highest speed with any pressure: {at_most_text(shown.fastest.speed, 0)} rev/min at "
                f"{10.0 * shown.fastest.pressure:.1f} bar, margin {margin_text(shown.fastest.margin, missed=False)} "
                f"({shown.fastest.least}){_confirmed(shown.fastest)}."
            )
        )
    if height is not None and math.isfinite(height.highest):
        lines.append(
            Text(
                f"Grip height: up to {at_most_text(height.highest, 0)} mm above the serrated plane, then "
                f"{height.ended_by} ends it (by grip and chuck alone, no full check of such jaws)."
            )
        )
    return Group(*lines, Text(""), table)


def _margin(value: float) -> str:
    return margin_text(value, missed=value < 1.0 - SAME)


def _said(point: WindowPoint, missed: str) -> str:
    """Say a point with what ends the window around it."""
    words = f"{10.0 * point.pressure:.1f} bar, {point.speed:.0f} rev/min, "
    if point.margin < 1.0 - 1e-9:
        return f"{words}{missed}: {point.least}, margin {margin_text(point.margin, missed=True)}{_confirmed(point)}."

    def to(side: Side | None, text: str, at: Callable[[float], str]) -> str:
        return "" if side is None else f"; {text} {at(side.at)} ({side.name})"

    ends = to(point.low, "down to", lambda p: f"{at_least_text(10.0 * p, 1)} bar")
    ends += to(point.high, "up to", lambda p: f"{at_most_text(10.0 * p, 1)} bar")
    ends += to(point.fast, "faster to", lambda n: f"{at_most_text(n, 0)} rev/min")
    warns = f"; warns: {', '.join(point.warns)}" if point.warns else ""
    return f"{words}margin {point.margin:.2f} ({point.least}){ends}{warns}{_confirmed(point)}."


def _confirmed(point: WindowPoint) -> str:
    """Say what the full check says of a point."""
    return "" if point.check is None else f"; {said(point.check)}"


def show_search(found: SearchResult, title: str, operations: tuple[str, ...]) -> None:
    """Print what a search found: the layouts that pass, or what blocks them."""
    printed(search_table(found, title, operations))


def search_table(found: SearchResult, title: str, operations: tuple[str, ...]) -> Group:
    """Return the layouts of the front, best first; where none passes, the nearest one and what blocks it."""
    variables = found.space.variables
    heads = [f"{v.name}, {unit_word(v.unit)}" if v.unit else v.name for v in variables]
    heads += [f"{operations[p.operation]}, bar" for p in found.space.pressures]
    table = _plain(
        *heads, "margin", "set by", "warns", "roundness, µm", "metal, cm³", "set-ups", "full check"
    )
    table.columns[-1].justify = "left"
    for one in found.front or (found.nearest,):
        near = nearest_verdict(one, found.fixed)
        table.add_row(
            *(v.words(value) for v, value in zip(variables, one.point, strict=True)),
            *([f"{10.0 * p:.1f}" for p in one.pressures] or ["-"] * len(found.space.pressures)),
            _margin(margin(one, found.fixed)),
            "-" if near is None else f"{near.name}, {near.stage}",
            str(one.warnings), cell(_known(one.roundness)), cell(_known(one.metal)), str(one.set_ups),
            _confirmed_shortly(one.check),
        )  # fmt: skip
    counted = f"{found.tried} layouts tried, {found.refused} of them cannot be built or bored"
    lines: list[Text | Padding] = []
    if found.front:
        lines.append(
            Text(
                f"{counted}. None of these is better than another in all; fewest warnings first, then most margin."
            )
        )
    else:
        lines.append(Text(f"{counted}. None passes; the nearest:"))
    if found.rejected:
        why = "; ".join(f"{reason} ({count})" for reason, count in found.rejected)
        count = sum(count for _, count in found.rejected)
        lines.append(
            Text(f"{count} that passed while searching are not named, the full check refuses them: {why}.")
        )
    lines += _not_asked(one.check for one in found.front)
    return Group(
        Text(f"Search for: {title}", style="bold"), *lines, Text(""), table, *_blocked(found), *cautions()
    )


def _confirmed_shortly(found: FullCheck | None) -> str:
    """Return status, least margin and verdict of the full check."""
    if found is None or found.worst is None:
        return "-"
    worst = found.worst
    warns = any(v.status == "warn" for v in found.verdicts)
    mark = MARKS["pass" if found.status == "warn" and not warns else found.status]
    asked = " what was asked," if found.unasked else ""
    return f"{mark}{asked} {margin_text(worst.margin, missed=worst.missed)} {worst.name}, {worst.stage}"


def _blocked(found: SearchResult) -> list[Text | Padding]:
    if found.front:
        return []
    lines: list[Text | Padding] = [Text(""), Text("What blocks", style="bold")]
    if found.nearest.refusal:
        lines.append(Padding(Text(found.nearest.refusal), (0, 0, 0, 2)))
    lines += [Padding(Text(_said_blocking(b, found)), (0, 0, 0, 2)) for b in found.blocking]
    lines += [Padding(Text(f"{count} layouts: {reason}"), (0, 0, 0, 2)) for reason, count in found.refusals]
    return lines


def _said_blocking(blocking: Blocking, found: SearchResult) -> str:
    here = (blocking.key, blocking.stage) in {(v.key, v.stage) for v in found.nearest.failing}
    where = "in the nearest one" if here else "in the best of them"
    unit = f" {unit_word(blocking.unit)}" if blocking.unit and blocking.unit not in ONE else ""
    value, limit = compared(blocking.value, blocking.limit, blocking.unit)
    return (
        f"{blocking.name}, {blocking.stage}: fails in {blocking.count} layouts; {where} {value} "
        f"against {limit}{unit}"
    )


def _figures(found: Comparison) -> Table:
    table = _plain("figure", *(str(k) for k in range(1, len(found.layouts) + 1)))
    group = ""
    for row in found.rows:
        if row.group != group:
            group = row.group
            table.add_row(Text(group, style="bold"))
        unit = f", {unit_word(row.unit)}" if row.unit else ""
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
    margin = (
        margin_text(verdict.margin, missed=verdict.missed)
        if verdict.margin < 100.0 or verdict.missed
        else "ample"
    )
    value, _ = compared(verdict.value, verdict.limit, verdict.unit)
    return Text(
        f"{MARKS[verdict.status]} {value} ({margin})",
        style=STYLES[verdict.status],
    )


def cell(value: Value) -> str:
    """Return a figure as it is shown; a dash where there is none."""
    if value is None:
        return "-"
    return short(value) if isinstance(value, float) else str(value)


def _plain(*heads: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    for number, head in enumerate(heads):
        table.add_column(head, justify="left" if number == 0 else "right", overflow="fold")
    return table
