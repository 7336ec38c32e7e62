"""How sure the verdicts are, in the terminal."""

from __future__ import annotations

import math

from rich.console import Group
from rich.table import Table
from rich.text import Text

from sim.assessment.results import CAUTIONS
from sim.base.rounding import SAME, margin_text, near
from sim.base.unit_words import percent
from sim.terminal.assessment import printed
from sim.terminal.figures import MARKS, short
from sim.uncertainty import Analysis, Estimate, Input
from sim.uncertainty.analysis import CHECKED
from sim.uncertainty.probability import SHARES


def show_uncertainty(found: Analysis) -> None:
    """Print probabilities, what matters most, percentiles and the inputs they rest on."""
    printed(uncertainty_table(found))


def uncertainty_table(found: Analysis) -> Group:
    """Return probabilities, ranking, percentiles and inputs."""
    stated = found.assessment
    return Group(
        Text(stated.scenario.title, style="bold"),
        Text(f"as stated: {MARKS[stated.status]}"),
        Text(
            f"{found.runs} variants judged: 2 x {found.samples} drawn for probabilities and percentiles, "
            f"the others for the ranking; seed {found.seed}"
        ),
        *_refusals(found),
        *_claims(found),
        Text(""),
        _inputs(found),
        Text(""),
        _verdicts(found),
        *_ranking(found),
        Text(""),
        _figures(found),
        Text(
            "Brackets: 95\u00a0%. Probability: Wilson, widened by the emulator's error; percentiles: order statistics; "
            "shares: bootstrap."
        ),
        Text(
            f"The contact of most variants is emulated from solved ones; 'emulator' is the largest error of a margin "
            f"in {CHECKED} others."
        ),
        Text(""),
        Text("Cautions", style="bold"),
        *(Text(f"- {line}") for line in CAUTIONS),
    )


def _refusals(found: Analysis) -> list[Text]:
    if not found.refused:
        return []
    why = "; ".join(found.reasons)
    return [
        Text(
            f"{MARKS['fail']}: {percent(found.refused, 1)} of the variants cannot be built: {why}",
            style="bold",
        )
    ]


def _claims(found: Analysis) -> list[Text]:
    """Say which inputs are drawn beyond what is known of them: the other verdicts count on those draws."""
    return [
        Text(
            f"{MARKS['warn']}: {label(one.of_input)} lies beyond the limit of '{one.name}' in "
            f"{hundredths(1.0 - one.holds.value)}\u00a0% of the draws: what holds in them is claimed, not known",
            style="bold",
        )
        for one in found.claims
        if one.of_input is not None
    ]


def _plain(*heads: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold")
    for number, head in enumerate(heads):
        table.add_column(head, justify="left" if number == 0 else "right", overflow="fold")
    return table


def label(one: Input) -> str:
    """Return an input in words."""
    return f"{one.quantity.words}, {one.stage}" if one.stage else one.quantity.words


def _inputs(found: Analysis) -> Table:
    table = _plain("what may differ", "distribution", "least", "centre", "largest", "unit", "basis")
    table.columns[1].justify = table.columns[5].justify = table.columns[6].justify = "left"
    for one in found.inputs:
        d, factor = one.distribution, one.quantity.factor
        ends = (f"{x * factor:.5g}" for x in (d.low, d.centre, d.high))
        table.add_row(label(one), d.kind, *ends, one.quantity.unit, one.basis)
    return table


def _verdicts(found: Analysis) -> Table:
    heads = [f"{100 * share:g}\u00a0%" for share in SHARES]
    table = _plain("verdict", "of", "holds", "", f"margin {heads[0]}", *heads[1:], "emulator")
    table.columns[1].justify = "left"
    for one in found.verdicts:
        cells = [_margin(e.value) for e in one.margin]
        error = percent(one.emulated_error, 1) if one.emulated_error else "-"
        table.add_row(one.name, one.stage, _share(one.holds.value), _bracket(one.holds), *cells, error)
    table.add_row(f"and {found.unmoved} more that these inputs do not move, as `check` has them")
    for left in found.not_asked:
        table.add_row(f"not asked: {left.name}, {left.stage}: {left.why}")
    return table


def _margin(value: float) -> str:
    if not math.isfinite(value) or value >= 1.0:
        return short(value)
    return margin_text(value, missed=value < 1.0 - SAME)


def hundredths(value: float) -> str:
    """Return a share in hundredths, never rounded to all or to none."""
    return near(100.0 * value, 0.0 if value < 0.5 else 100.0, 1)


def _share(value: float) -> str:
    return f"{hundredths(value)}\u00a0%"


def _bracket(one: Estimate) -> str:
    return f"[{hundredths(one.low)} to {hundredths(one.high)}]"


def _ranking(found: Analysis) -> list[Text | Table]:
    first = found.leading
    if first is None:
        return []
    table = _plain("what matters most", "with all others", "", "alone", "")
    for k in sorted(range(len(found.inputs)), key=lambda k: -first.total[k]):
        table.add_row(
            label(found.inputs[k]),
            f"{first.total[k]:.2f}",
            "[{:.2f} to {:.2f}]".format(*first.total_interval[k]),
            f"{first.first[k]:.2f}",
            "[{:.2f} to {:.2f}]".format(*first.first_interval[k]),
        )
    words = f"Shares of the variance of the margin of '{first.name}' of '{first.stage}' (Sobol indices)"
    return [Text(""), Text(words, style="bold"), table]


def _figures(found: Analysis) -> Table:
    table = _plain("figure", *(f"{100 * share:g}\u00a0%  [interval]" for share in SHARES))
    for name, of in found.figures.items():
        cells = [f"{short(e.value)}  [{short(e.low)} to {short(e.high)}]" for e in of]
        table.add_row(name, *cells)
    return table
