"""Variants drawn from the inputs' distributions, judged, and what they say about each verdict."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.assess.rule import RELATIVE
from sim.assessment import Assessment
from sim.uncertainty.inputs import Input, batch
from sim.uncertainty.probability import Estimate, percentiles, probability
from sim.uncertainty.sensitivity import Indices, indices
from sim.variants import Judged, judged, variants
from sim.variants.emulated import EmulatedContact, SolvedContact

Floats = NDArray[np.float64]
LEAST_SAMPLES, MOST_SAMPLES = 256, 16_384
CHECKED = 12  # variants whose contact is solved, to measure the emulator
# No question where this figure is drawn: whether the stated friction is the table's; whether a part whose outline
# keeps its stated size clears jaws that have closed on another size.
NO_QUESTION = {"friction of the part in the jaws": "friction", "part clear of the jaws": "diameter"}
HIGHEST = 99.0  # margins beyond are all alike


@dataclass(frozen=True, slots=True, eq=False)
class VerdictFound:
    """One verdict over the sample.

    Attributes
    ----------
    name, stage : str
        As in `Verdict`.
    holds : Estimate
        Probability that value and limit are kept.
    margin : tuple of Estimate
        Its percentiles of `SHARES`: value over limit, or the reverse for an upper limit.
    emulated_error : float
        Largest relative difference of the margin from solved contacts, over `CHECKED` variants.
    first, total : (d,) arrays
        Sobol indices of the margin, an input each; with intervals (d, 2).
    """

    name: str
    stage: str
    holds: Estimate
    margin: tuple[Estimate, ...]
    emulated_error: float
    first: Floats
    total: Floats
    first_interval: Floats
    total_interval: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """What a sample says.

    Attributes
    ----------
    assessment : of the setup as stated.
    inputs : tuple of Input
    samples, seed, runs : int
        Rows of each of the two samples, seed, variants judged in all.
    verdicts : tuple of VerdictFound
        Those that the inputs move, the least probable first: the first is the one that matters.
    unmoved : int
        Verdicts that the inputs do not change.
    figures : mapping from 'operation: figure unit' to percentiles
    refused : float
        Share of the variants that cannot be built or loaded; their verdicts count as not held.
    reasons : tuple of str
    """

    assessment: Assessment
    inputs: tuple[Input, ...]
    samples: int
    seed: int
    runs: int
    verdicts: tuple[VerdictFound, ...]
    unmoved: int
    figures: dict[str, tuple[Estimate, ...]]
    refused: float
    reasons: tuple[str, ...]


def analysed(
    assessment: Assessment,
    inputs: Sequence[Input],
    samples: int,
    seed: int,
    progress: Callable[[str], None] = lambda _: None,
) -> Found:
    """Draw variants of a judged setup and judge them.

    Parameters
    ----------
    assessment : Assessment
    inputs : at least one
    samples : int
        A power of two, `LEAST_SAMPLES` to `MOST_SAMPLES`: rows A and rows B of a scrambled Sobol sequence, from which
        probabilities and percentiles are taken; the indices take as many for each input besides.
    seed : int
        The same seed gives the same answer.
    """
    ready = variants(assessment, EmulatedContact)
    asked: list[tuple[Floats, Judged]] = []

    def margins(values: Floats) -> Floats:
        progress(f"judging {values.shape[1]} variants")
        found = judged(ready, batch(assessment, inputs, values))
        asked.append((values, found))
        return _margins(found).T

    found = indices(margins, [one.distribution for one in inputs], samples, seed)
    progress("measuring the emulator")
    errors = _emulated_errors(assessment, inputs, *asked[1])
    drawn = [one for _, one in asked[:2]]
    verdicts, unmoved = _verdicts(inputs, drawn, found, errors)
    refused = np.concatenate([one.refused for one in drawn]) > 0
    return Found(
        assessment=assessment,
        inputs=tuple(inputs),
        samples=samples,
        seed=seed,
        runs=samples * (len(inputs) + 2),
        verdicts=verdicts,
        unmoved=unmoved,
        figures=_figures(drawn, refused),
        refused=float(refused.mean()),
        reasons=tuple(dict.fromkeys(reason for one in drawn for reason in one.reasons[1:])),
    )


def _margins(found: Judged) -> Floats:
    """Return margins (n, m), 0 in a refused row."""
    return np.clip(np.where(found.refused[:, None] > 0, 0.0, found.margin), 0.0, HIGHEST)


def _held(found: Judged) -> NDArray[np.bool_]:
    """Tell which verdicts keep their limit, (n, m), by the rule of `sim.assess.rule`; none in a refused row."""
    slack = RELATIVE * np.abs(found.limit)
    low, high = found.value >= found.limit - slack, found.value <= found.limit + slack
    return np.asarray(np.where(found.at_least, low, high) & (found.refused[:, None] == 0))


def _emulated_errors(
    assessment: Assessment, inputs: Sequence[Input], values: Floats, emulated: Judged
) -> Floats:
    """Return the largest relative difference of each verdict's margin, (m,), from solved contacts.

    The rows are the first of the sample B, on which the emulator was not trained.
    """
    rows = np.flatnonzero(emulated.refused == 0)[:CHECKED]
    if not len(rows):
        return np.zeros(len(emulated.names))
    solved = _margins(judged(variants(assessment, SolvedContact), batch(assessment, inputs, values[:, rows])))
    mine = _margins(emulated)[rows]
    off = np.abs(mine - solved) / np.maximum(solved, 1e-9)
    return np.asarray(np.where(np.abs(mine - solved) < 1e-9, 0.0, off).max(axis=0))


def _verdicts(
    inputs: Sequence[Input], drawn: Sequence[Judged], found: Indices, errors: Floats
) -> tuple[tuple[VerdictFound, ...], int]:
    margin = np.vstack([_margins(one) for one in drawn])
    held = np.vstack([_held(one) for one in drawn])
    moved = np.ptp(margin, axis=0) > RELATIVE * np.abs(margin).max(axis=0)
    varied = {one.name for one in inputs}
    moved &= [NO_QUESTION.get(name, "") not in varied for name in drawn[0].names]
    made = []
    for column in np.flatnonzero(moved):
        met = 1.0 - RELATIVE
        off = float(errors[column])
        line, holds = margin[:, column], held[:, column]
        made.append(
            VerdictFound(
                name=drawn[0].names[column],
                stage=drawn[0].stages[column],
                holds=probability(
                    holds,
                    holds & (line >= met * (1.0 + off)),
                    holds | ((line >= met / (1.0 + off)) & (line < met)),
                ),
                margin=percentiles(line),
                emulated_error=off,
                first=found.first[column],
                total=found.total[column],
                first_interval=found.first_interval[column],
                total_interval=found.total_interval[column],
            )
        )
    made.sort(key=lambda v: (v.holds.value, v.margin[0].value))
    return tuple(made), int((~moved).sum())


def _figures(drawn: Sequence[Judged], refused: NDArray[np.bool_]) -> dict[str, tuple[Estimate, ...]]:
    """Return percentiles of the main figures over the variants that can be built."""
    kept = ~refused
    if not kept.any():
        return {}
    found = {}
    for name in drawn[0].figures:
        values = np.concatenate([one.figures[name] for one in drawn])[kept]
        if np.ptp(values) > RELATIVE * np.abs(values).max():
            found[name] = percentiles(values)
    for column, (name, stage) in enumerate(zip(drawn[0].names, drawn[0].stages, strict=True)):
        if name in {"roundness after release", "marking", "least grip of a jaw"}:
            values = np.concatenate([one.value[:, column] for one in drawn])[kept]
            if np.ptp(values) > RELATIVE * np.abs(values).max():
                found[f"{stage}: {name} {drawn[0].units[column]}"] = percentiles(values)
    return found
