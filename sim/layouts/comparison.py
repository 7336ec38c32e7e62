"""Layouts side by side: figures, verdicts, and what decides between them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.verdict import ORDER, Verdict
from sim.base.rounding import margin_text
from sim.layouts.layout import (
    Layout,
    closest,
    counted,
    jaw_mass,
    least_margin,
    metal_left,
    metal_removed,
    set_ups,
)
from sim.setup.rebore import rebores

Value = float | int | str | None
Better = Literal["more", "less", ""]
CLOSE = 2.0  # margins above this are no reason for or against a layout
ALIKE = 1.05  # margins whose ratio is less do not tell layouts apart
MOST_REASONS = 4


@dataclass(frozen=True, slots=True)
class Row:
    """One figure of every layout; None where a layout has no such thing.

    Attributes
    ----------
    group : str
        'jaws and boring' or the operation.
    what, unit : str
    values : tuple
        In the order of the layouts.
    better : {'more', 'less', ''}
    """

    group: str
    what: str
    unit: str
    values: tuple[Value, ...]
    better: Better = ""


@dataclass(frozen=True, slots=True)
class VerdictRow:
    """One verdict of every layout, None where it is not asked; of several sets the one nearest to its limit."""

    key: str
    name: str
    stage: str
    cells: tuple[Verdict | None, ...]


@dataclass(frozen=True, slots=True)
class Decision:
    """What decides: the layout that stands first by its verdicts (None if nothing tells them apart), and why."""

    first: str | None
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Layouts side by side."""

    layouts: tuple[Layout, ...]
    rows: tuple[Row, ...]
    verdicts: tuple[VerdictRow, ...]
    decision: Decision

    @property
    def any_fit(self) -> bool:
        """Some layout has no failing verdict."""
        return any(layout.status != "fail" for layout in self.layouts)


def compare(layouts: Sequence[Layout]) -> Comparison:
    """Put layouts side by side.

    Raises
    ------
    ValueError
        If there are fewer than two, or two have one name.
    """
    names = [layout.name for layout in layouts]
    if len(layouts) < 2:
        raise ValueError(f"at least two layouts must be compared, found {len(layouts)}")
    if len(set(names)) != len(names):
        raise ValueError(f"layouts must have different names, found {', '.join(names)}")
    verdicts = _verdict_rows(layouts)
    return Comparison(tuple(layouts), _rows(layouts), verdicts, _decision(layouts, verdicts))


def _rows(layouts: Sequence[Layout]) -> tuple[Row, ...]:
    group = "jaws and boring"

    def of_layout(what: str, unit: str, value: Callable[[Layout], Value], better: Better = "") -> Row:
        return Row(group, what, unit, tuple(value(layout) for layout in layouts), better)

    rows = [
        of_layout("sets of jaws to mount", "", lambda x: set_ups(x).jaw_sets, "less"),
        of_layout("boring set-ups", "", lambda x: set_ups(x).boring, "less"),
        of_layout("clampings of the part", "", lambda x: set_ups(x).clampings, "less"),
        of_layout("fixture while boring", "", lambda x: _each(x, lambda s: s.scenario.boring.fixture.kind)),
        of_layout("boring travel", "mm", lambda x: _each(x, lambda s: f"{s.scenario.boring.travel:.2f}")),
        of_layout(
            "boring pressure", "bar", lambda x: _each(x, lambda s: f"{10.0 * s.scenario.boring.pressure:.1f}")
        ),
        of_layout("boring speed", "rpm", lambda x: _each(x, lambda s: f"{s.scenario.boring.speed:.0f}")),
        of_layout(
            "least tool clearance", "mm", lambda x: min(s.boring.clearance.least_clearance for s in x.sets),
            "more",
        ),
        of_layout("jaw material", "", lambda x: _each(x, lambda s: s.scenario.soft_jaw.material)),
        of_layout("jaw height", "mm", lambda x: max(s.scenario.soft_jaw.height for s in x.sets)),
        of_layout("mass of one jaw", "kg", lambda x: max(jaw_mass(s) for s in x.sets), "less"),
        of_layout("metal turned out, per jaw", "cm3", lambda x: sum(metal_removed(s) for s in x.sets), "less"),
        of_layout(
            "metal left for a re-bore, in radius", "mm", lambda x: min(metal_left(s).radial for s in x.sets),
            "more",
        ),
        of_layout("what ends it", "", lambda x: min(map(metal_left, x.sets), key=lambda m: m.radial).radial_end),
        of_layout("re-bores left", "", _rebores, "more"),
    ]  # fmt: skip
    for number in range(max(len(layout.operations) for layout in layouts)):
        rows += _operation_rows(layouts, number)
    return tuple(rows)


def _rebores(layout: Layout) -> int:
    return min(rebores(metal_left(s).radial, s.scenario.limits.rebore) for s in layout.sets)


def _each(layout: Layout, value: Callable[[Assessment], str]) -> str:
    """Return a text of every set, once where all agree."""
    found = [value(one) for one in layout.sets]
    return found[0] if len(set(found)) == 1 else ", ".join(found)


def _operation_rows(layouts: Sequence[Layout], number: int) -> list[Row]:
    group = operation_name(layouts, number)

    def of(what: str, unit: str, value: Callable[[OperationFigures], Value], better: Better = "") -> Row:
        values = [
            value(layout.operations[number][1]) if number < len(layout.operations) else None
            for layout in layouts
        ]
        return Row(group, what, unit, tuple(values), better)

    return [
        of("gripping pressure", "bar", lambda f: 10.0 * f.operation.gripping.pressure),
        of("highest speed", "rpm", lambda f: f.operation.gripping.speed_high),
        of("grip height", "mm", lambda f: f.zone.middle, "less"),
        of("held length", "mm", lambda f: f.zone.length, "more"),
        of("grip travel, first", "mm", lambda f: f.travel.first),
        of("grip travel, last", "mm", lambda f: f.travel.last),
        of("loading clearance", "mm", lambda f: f.travel.loading_clearance, "more"),
        of("grip at rest", "kN", lambda f: f.grip.rest_total / 1000.0, "more"),
        of("grip at the highest speed", "kN", lambda f: f.grip.high_speed_total / 1000.0, "more"),
        of("grip needed by the cuts", "kN", lambda f: f.grip.needed_total / 1000.0, "less"),
        of("permissible speed", "rpm", lambda f: _whole_turns(f.grip.permissible.least), "more"),
        of("least grip of a jaw over one turn", "kN", _least_of_a_jaw, "more"),
        of("arc held by a jaw", "deg", lambda f: 2.0 * math.degrees(_half_arc(f)), "more"),
        of("grip of a jaw on 1 mm of its arc", "N", _grip_on_the_arc, "less"),
        of("largest band-mean pressure", "MPa", lambda f: f.clamping.band_peak, "less"),
        of("roundness after release", "um", lambda f: f.roundness, "less"),
        of("run-out, all errors added", "um", lambda f: f.running.run_out, "less"),
        of("run-out, root of squares", "um", lambda f: f.running.run_out_root, "less"),
        of("out of square, all errors added", "um", lambda f: f.running.out_of_square, "less"),
        of("opening of the jaws over the height", "um", lambda f: f.clamping.opening.over_height_um, "less"),
        of("taper to bore", "um", lambda f: f.clamping.taper.diameter_um),
    ]


def _whole_turns(speed: float) -> float:
    """Return a speed in whole rev/min that is not above it, as every other place names what is permitted."""
    return float(math.floor(speed)) if math.isfinite(speed) else speed


def _half_arc(figures: OperationFigures) -> float:
    return float(figures.contact.grid.angle_edges_rad[-1])


def _grip_on_the_arc(figures: OperationFigures) -> float:
    return figures.grip.rest_total / 3.0 / (2.0 * _half_arc(figures) * figures.contact.grid.radius_mm)


def _least_of_a_jaw(figures: OperationFigures) -> float:
    turn = figures.clamping.revolution
    return 0.0 if turn is None else turn.least_n / 1000.0


def operation_name(layouts: Sequence[Layout], number: int) -> str:
    """Return what the layouts call their operation of this number; both names where they differ."""
    names = [x.operations[number][1].operation.name for x in layouts if number < len(x.operations)]
    return " / ".join(dict.fromkeys(names))


def _verdict_rows(layouts: Sequence[Layout]) -> tuple[VerdictRow, ...]:
    found: dict[tuple[str, int], list[list[Verdict]]] = {}
    for place, layout in enumerate(layouts):
        for number, verdict in _numbered(layout):
            found.setdefault((verdict.key, number), [[] for _ in layouts])[place].append(verdict)
    rows = []
    for (key, number), cells in found.items():
        stage = operation_name(layouts, number) if number >= 0 else _stage(cells)
        worst = tuple(min(c, key=lambda v: v.rank) if c else None for c in cells)
        rows.append(VerdictRow(key, next(v.name for c in cells for v in c), stage, worst))
    return tuple(sorted(rows, key=_urgency))


def _numbered(layout: Layout) -> Iterable[tuple[int, Verdict]]:
    """Yield every verdict with the number of its operation in the layout, -1 for boring and jaws."""
    first = 0
    for one in layout.sets:
        number = {f.operation.name: first + k for k, f in enumerate(one.operations)}
        first += len(one.operations)
        for verdict in one.verdicts:
            yield number.get(verdict.stage, -1), verdict


def _stage(cells: list[list[Verdict]]) -> str:
    return next(v.stage for cell in cells for v in cell)


def _urgency(row: VerdictRow) -> tuple[int, float]:
    there = [cell for cell in row.cells if cell is not None]
    return min(ORDER.index(c.status) for c in there), min(c.margin for c in there)


def _decision(layouts: Sequence[Layout], rows: Sequence[VerdictRow]) -> Decision:
    ranked = sorted(layouts, key=_rank)
    reasons = [_failing(layout) for layout in layouts if layout.status == "fail"]
    told_apart = _rank(ranked[0])[:2] != _rank(ranked[1])[:2] or (
        least_margin(ranked[0].verdicts) > ALIKE * least_margin(ranked[1].verdicts)
    )
    if told_apart:
        reasons.append(_standing(ranked[0]))
    else:
        reasons.append("No verdict tells the first ones apart: what follows must be weighed.")
    reasons += _most_apart(layouts, rows)
    reasons += _beside_the_verdicts(layouts)
    good = told_apart and ranked[0].status != "fail"  # the least bad of those that fail is none to be taken
    return Decision(ranked[0].name if good else None, tuple(reasons))


def _rank(layout: Layout) -> tuple[int, int, float]:
    counts = [sum(v.status == status for v in layout.verdicts) for status in ("fail", "warn")]
    return counts[0], counts[1], -least_margin(layout.verdicts)


def _failing(layout: Layout) -> str:
    failed = [v for v in layout.verdicts if v.status == "fail"]
    names = "; ".join(f"{v.name} ({v.stage}): {v.message.rstrip('.')}" for v in failed[:2])
    more = f"; and {len(failed) - 2} more" if len(failed) > 2 else ""
    return f"'{layout.name}' cannot be run as it is: {names}{more}."


def _standing(layout: Layout) -> str:
    fails, warns, _ = _rank(layout)
    near = closest(layout.verdicts)
    return (
        f"'{layout.name}' stands first by its verdicts: {fails} fail, {warns} warn, nearest to its limit "
        f"{near.name} ({near.stage}), margin {margin_text(near.margin, missed=near.missed)}."
    )


def _most_apart(layouts: Sequence[Layout], rows: Sequence[VerdictRow]) -> list[str]:
    """Return the verdicts that differ between the layouts and come near to their limit in one, nearest first."""
    apart = []
    for row in rows:
        there = [(x.name, v) for x, v in zip(layouts, row.cells, strict=True) if v is not None]
        margins = [v.margin for _, v in there if counted((v,))]
        if len(margins) < len(layouts) or any(v.status == "fail" for _, v in there):
            continue  # what fails has been said
        if min(margins) < CLOSE and max(margins) > ALIKE * min(margins):
            words = ", ".join(f"{margin_text(v.margin, missed=v.missed)} in '{name}'" for name, v in there)
            apart.append((min(margins), f"{row.name}, {row.stage}: margin {words}."))
    return [words for _, words in sorted(apart)[:MOST_REASONS]]


def _beside_the_verdicts(layouts: Sequence[Layout]) -> list[str]:
    found = []
    counts = [set_ups(layout) for layout in layouts]
    if len({c.total for c in counts}) > 1:
        words = ", ".join(
            f"{c.total} in '{x.name}' ({c.jaw_sets} mounted, {c.boring} bored, {c.clampings} clamped)"
            for x, c in zip(layouts, counts, strict=True)
        )
        found.append(f"Set-ups: {words}.")
    left = [min(metal_left(one).radial for one in layout.sets) for layout in layouts]
    if max(left) - min(left) > 0.05:
        words = ", ".join(f"{mm:.1f} mm in '{x.name}'" for x, mm in zip(layouts, left, strict=True))
        found.append(f"Metal left for a re-bore, in radius: {words}.")
    return found
