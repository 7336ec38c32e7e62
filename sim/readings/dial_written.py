"""What a dial's readings tell as a table that a scenario includes."""

from __future__ import annotations

import math

from sim.assessment.results import CAUTIONS
from sim.base.unit_words import percent
from sim.readings.dial_findings import share, um, usable_fields
from sim.readings.dial_fit import DialFit
from sim.readings.findings import Finding
from sim.readings.fit import CONFIDENCE
from sim.readings.written import one_line, readings_judged

SHARES = ("repeat_scatter", "stiffness_scatter")


def dial_written(found: DialFit, what: tuple[Finding, ...], source: str) -> str:
    """Return the text of a TOML file: of each field that was found its upper bound, never less.

    Parameters
    ----------
    found : DialFit
    what : tuple of Finding
        Stand in a table of their own.
    source : str
        Where the readings came from.
    """
    setup = found.dialled
    bad = len(setup.readings.bad)
    left_out = f", {bad} bad {'row' if bad == 1 else 'rows'} not used" if bad else ""
    lines = [
        *(f"# {line}" for line in CAUTIONS),
        f"# {one_line(source)}: {setup.readings.count} readings{left_out}; bounds of {percent(CONFIDENCE)}; the dial "
        f"shows {1000.0 * setup.step:.3g} µm.",
        '# A scenario takes it in by include = ["this file"] above its first table; the values here take the place',
        "# of its own. They are the upper bounds; behind each what was found, and its bounds.",
        f"# They hold for parts gripped near {setup.springs.lever:.0f} mm above the guideway's middle, as these were.",
        "# What stands under rebolted_ counts where running.rebolted is true.",
        "",
        *readings_judged(setup.readings.count, what, source),
        "",
        "[running]",
    ]
    for name, estimate in usable_fields(found).items():
        if name in SHARES:
            lines.append(f"{name} = {_up(estimate.high):.3g}  # {share(estimate)}")
        else:
            lines.append(f'{name} = "{_up(1000.0 * estimate.high):.3g} um"  # {um(estimate)}')
    return "\n".join(lines) + "\n"


def _up(value: float) -> float:
    """Return a value rounded up to three figures."""
    if value <= 0.0:
        return 0.0
    scale = 10.0 ** (2 - math.floor(math.log10(value)))
    return math.ceil(value * scale * (1.0 - 1e-12)) / scale
