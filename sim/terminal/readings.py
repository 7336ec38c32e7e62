"""Readings of a gauge or a dial fitted, in the terminal."""

from __future__ import annotations

import math

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from sim.base.unit_words import percent
from sim.readings import CONFIDENCE, BadRow, DialFit, Estimate, Finding, Fitted
from sim.readings.dial_findings import WORDS
from sim.terminal.assessment import cautions, printed


def show_fit(found: Fitted, what: tuple[Finding, ...], chuck_stiffness: Estimate | None, title: str) -> None:
    """Print what was found, what contradicts, and the cautions."""
    printed(fit_table(found, what, chuck_stiffness, title))


def fit_table(
    found: Fitted, what: tuple[Finding, ...], chuck_stiffness: Estimate | None, title: str
) -> Group:
    """Return estimates with their bounds, findings, bad rows and cautions."""
    setup, readings = found.gauged, found.gauged.readings
    rows = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    for name in ("found", "value", f"{percent(CONFIDENCE)} bounds", "scenario"):
        rows.add_column(name, justify="left" if name == "found" else "right")
    rows.add_row(setup.scaled, *_cells(found.scale), f"{setup.stated_scale:g}")
    rows.add_row("friction of wedge and guideway", *_cells(found.friction), f"{setup.stated_friction:g}")
    word = "lost" if setup.centrifugal.sum() <= 0.0 else "gained"
    rows.add_row(f"share of the centrifugal force {word}", *_cells(found.loss), f"{setup.stated_loss:g}")
    rows.add_row(
        "stiffness of one jaw's drive, kN/mm",
        *(("", "not determined") if chuck_stiffness is None else _cells(chuck_stiffness.times(1e-3))),
        f"{setup.stated_stiffness / 1000.0:g}",
    )
    return Group(
        Text(title, style="bold"),
        Text(f"{readings.count} readings; scatter about the fit {found.scatter / 1000.0:.2f} kN per jaw."),
        Text(""),
        rows,
        *_below(readings.bad, what),
    )


def show_dial(found: DialFit, what: tuple[Finding, ...], title: str) -> None:
    """Print what readings of a dial tell, what contradicts, and the cautions."""
    printed(dial_table(found, what, title))


def dial_table(found: DialFit, what: tuple[Finding, ...], title: str) -> Group:
    """Return the fields with their bounds, what was seen, findings, bad rows and cautions."""
    setup = found.dialled
    rows = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    for name in ("found", "value", f"{percent(CONFIDENCE)} bounds", "scenario"):
        rows.add_column(name, justify="left" if name == "found" else "right")
    for name, estimate in found.fields.items():
        scale, unit = (1000.0, ", µm") if name.startswith("rebolted") else (1.0, "")
        stated = f"{scale * float(getattr(setup.running, name)):g}"
        rows.add_row(f"{WORDS[name]}{unit}", *_cells(estimate.times(scale)), stated)
    for name, seen, limit in (
        ("movement of the dial at its largest, µm", found.run_out, setup.runout_limit),
        (
            f"lean over {setup.face:.0f} mm at its largest, µm",
            None if found.lean is None else found.lean.times(setup.face),
            setup.squareness_limit,
        ),
    ):
        cells = ("", "not determined") if seen is None else _cells(seen.times(1000.0))
        rows.add_row(name, *cells, f"at most {1000.0 * limit:g}")
    return Group(
        Text(title, style="bold"),
        Text(
            f"{setup.readings.count} readings; {found.clampings} clampings and {found.mountings} mountings compared; "
            f"rho {setup.rho:.2f} by the contact model."
        ),
        Text(""),
        rows,
        *_below(setup.readings.bad, what),
    )


def _below(bad: tuple[BadRow, ...], what: tuple[Finding, ...]) -> list[Text | Padding]:
    left_out: list[Text | Padding] = [Padding(Text(str(row)), (0, 0, 0, 2)) for row in bad]
    if left_out:
        left_out = [Text(""), Text("Bad rows, not used", style="bold"), *left_out]
    return [
        *left_out,
        *([Text(""), Text("What the readings say", style="bold")] if what else []),
        *(Padding(Text(_sentence(f)), (0, 0, 0, 2)) for f in what),
        *cautions(),
    ]


def _sentence(finding: Finding) -> str:
    return f"{'x' if finding.serious else '!'} {finding.kind}: {finding.text} [{finding.basis}]"


def _cells(estimate: Estimate) -> tuple[str, str]:
    if estimate.held:
        return f"{estimate.value:.3g}", "not determined"
    return f"{estimate.value:.3f}", f"{_shown(estimate.low)} to {_shown(estimate.high)}"


def _shown(value: float) -> str:
    return f"{value:.3f}" if math.isfinite(value) else "no end"
