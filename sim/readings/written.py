"""The result of a fit as tables that a scenario includes."""

from __future__ import annotations

import json
import math

from sim.assessment.results import CAUTIONS
from sim.base.unit_words import percent
from sim.readings.findings import Finding, bounds
from sim.readings.fit import CONFIDENCE, Estimate, Fitted, usable
from sim.scenario import Chuck
from sim.scenario.included import ACCEPTED, JUDGED, REJECTED, WITH_FINDINGS


def written(
    found: Fitted,
    chuck: Chuck,
    what: tuple[Finding, ...],
    chuck_stiffness: Estimate | None,
    source: str,
    *,
    with_loss: bool = False,
) -> str:
    """Return the text of a TOML file.

    Friction and what it was found with stand together, held or not; loss and stiffness only where they are found.

    The share of the centrifugal force that was lost belongs to the gauge: a stiffer part loses more. So it stands there
    as a comment unless it is asked for, and with its upper bound.

    Parameters
    ----------
    found : Fitted
    chuck : Chuck
        Of the scenario.
    what : tuple of Finding
        Stand in a table of their own.
    chuck_stiffness : Estimate or None
        N/mm.
    source : str
        Where the readings came from.
    with_loss : bool
        Write the loss share for use in every operation.
    """
    readings, used = found.gauged.readings, usable(found)
    lines = [
        *(f"# {line}" for line in CAUTIONS),
        f"# {one_line(source)}: {readings.count} readings{_left_out(found)}; bounds of {percent(CONFIDENCE)}; scatter "
        f"of a reading {found.scatter / 1000.0:.2f} kN per jaw.",
        '# A scenario takes it in by include = ["this file"] above its first table; the values here take the place',
        "# of its own.",
        "",
        *readings_judged(readings.count, what, source),
        "",
        "[chuck]",
    ]
    lines.append(f"guideway_friction = {used.friction.value:.4f}  # {_between(used.friction, '{:.3f}')}")
    lines += _scaled(used, chuck)
    if chuck_stiffness is not None:
        text = f'radial_stiffness = "{chuck_stiffness.value / 1000.0:.4g} kN/mm"'
        lines.append(f"{text}  # {_between(chuck_stiffness.times(1e-3), '{:.0f}')} kN/mm")
    if not found.loss.held:
        lines += _loss(found.loss, with_loss=with_loss)
    return "\n".join(lines) + "\n"


def readings_judged(count: int, what: tuple[Finding, ...], source: str) -> list[str]:
    """Return the table that says how readings were judged; `check` repeats it beside the values."""
    if any(finding.rejects for finding in what):
        word = REJECTED
    else:
        word = WITH_FINDINGS if any(finding.serious for finding in what) else ACCEPTED
    texts = [_quoted(f"{finding.kind}: {finding.text}") for finding in what]
    found = ["findings = [", *(f"  {text}," for text in texts), "]"] if texts else ["findings = []"]
    return [
        f"[{JUDGED}]",
        f"source = {_quoted(source)}",
        f"readings = {count}",
        f'judgement = "{word}"',
        *found,
    ]


def _quoted(text: str) -> str:
    """Return a TOML string; those of JSON are."""
    return json.dumps(one_line(text), ensure_ascii=False)


def one_line(text: str) -> str:
    """Return a text without line breaks and what else does not print."""
    return "".join(c if c.isprintable() else " " for c in text)


def _left_out(found: Fitted) -> str:
    bad = found.gauged.readings.bad
    if not bad:
        return ""
    return f", {len(bad)} bad {'row' if len(bad) == 1 else 'rows'} not used"


def _loss(loss: Estimate, *, with_loss: bool) -> list[str]:
    cautious = min(max(loss.high, 0.0), 1.0)
    mark = "" if with_loss else "# "
    use = "" if with_loss else " Without the marks it holds for every operation."
    share = f"# Share of the centrifugal force lost at this gauge: {bounds(loss)}."
    return [
        "",
        f"{share} A part stiffer than the gauge loses more.{use}",
        f"{mark}[operations.gripping]",
        f"{mark}grip_loss_share = {cautious:.3f}  # upper bound",
    ]


def _between(estimate: Estimate, form: str) -> str:
    if estimate.held:
        return "held"
    high = form.format(estimate.high) if math.isfinite(estimate.high) else "no end"
    return f"{form.format(estimate.low)} to {high}"


def _scaled(found: Fitted, chuck: Chuck) -> list[str]:
    scale, kind = found.scale, found.gauged.scaled
    note = f"  # {_between(scale, '{:.3f}')}"
    if kind == "efficiency":
        return [f"efficiency = {scale.value:.4f}{note}"]
    if kind == "share of the stated pull" and chuck.largest_pull is not None:
        pull = scale.times(chuck.largest_pull / 1000.0)
        return [f'largest_pull = "{pull.value:.4g} kN"  # {_between(pull, "{:.1f}")} kN']
    points = ", ".join(
        f'{{ pressure = "{10.0 * p.pressure:.6g} bar", grip = "{scale.value * p.grip / 1000.0:.5g} kN" }}'
        for p in chuck.grip_points
    )
    return [f"grip_points = [{points}]{note} of the stated ones"]
