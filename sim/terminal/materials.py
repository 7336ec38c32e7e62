"""Materials and friction pairings in the terminal, each with where its values come from, within 80 columns."""

from __future__ import annotations

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from sim.base import tables
from sim.terminal.assessment import printed
from sim.terminal.summary import WIDTH

_NAME = 46  # letters; a longer name keeps a line of its own


def show_materials() -> None:
    """Print every material and every pairing that a scenario may name."""
    lines: list[RenderableType] = [_line("material", "E GPa", "yield MPa", "head MPa", style="bold")]
    for m in tables.materials():
        strength = f"{m.yield_strength:.0f}" + (f" to {m.thin_yield_strength:.0f}" if m.yields else "")
        lines += [
            _line(m.name, f"{m.modulus / 1000:.0f}", strength, f"{m.surface_pressure:.0f}"),
            _source(m.source),
        ]
    lines += [Text(""), _line("friction pairing", "", "low", "high", style="bold")]
    for f in tables.frictions():
        lines += [_line(f.name, "", f"{f.low:.2f}", f"{f.high:.2f}"), _source(f.source)]
    printed(*lines, width=WIDTH)


def _line(name: str, first: str, second: str, third: str, style: str = "") -> Text:
    figures = f"{first:>6} {second:>12} {third:>9}"
    if len(name) > _NAME:
        return Text(f"{name}\n{'':{_NAME}}{figures}", style=style)
    return Text(f"{name:{_NAME}}{figures}", style=style)


def _source(source: str) -> Padding:
    return Padding(Text(source, style="dim"), (0, 0, 0, 4))
