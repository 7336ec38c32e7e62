"""Variants drawn from the inputs' distributions, judged, and what they say about each verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.assessment.results import Assessment
from sim.assessment.verdicts.friction import FRICTION_OF_THE_PART_IN_THE_JAWS
from sim.assessment.verdicts.grip import LEAST_GRIP_OF_A_JAW
from sim.assessment.verdicts.part import MARKING, PART_CLEAR_OF_THE_JAWS, ROUNDNESS_AFTER_RELEASE
from sim.assessment.verdicts.rule import MET, RELATIVE, met
from sim.base.arrays import Flags, Floats
from sim.base.share import Tell
from sim.uncertainty.inputs import Input, batch
from sim.uncertainty.probability import Estimate, percentiles, probability
from sim.uncertainty.sensitivity import Indices, indices
from sim.variants import Judged, judged, variants
from sim.variants.emulated import EmulatedContact, SolvedContact

LEAST_SAMPLES, MOST_SAMPLES = 256, 16_384
CHECKED = 12  # variants whose contact is solved, to measure the emulator
# Verdicts on an input itself, and the input: draws beyond its limit are claims, on which the other verdicts then rest.
OF_INPUT = {FRICTION_OF_THE_PART_IN_THE_JAWS.key: "friction"}
# No question where this figure is drawn, and why.
NO_QUESTION = {
    PART_CLEAR_OF_THE_JAWS.key: (
        "diameter",
        "the part's outline keeps its stated size while its gripped diameter is drawn",
    )
}
HIGHEST = 99.0  # margins beyond are all alike


@dataclass(frozen=True, slots=True, eq=False)
class VerdictFound:
    """One verdict over the sample.

    Attributes
    ----------
    key, name, stage : str
        As in `Verdict`.
    holds : Estimate
        Probability that value and limit are kept.
    margin : tuple of Estimate
        Its percentiles of `SHARES`: value over limit, or the reverse for an upper limit.
    emulated_error : float
        Largest relative difference of the margin from solved contacts, over `CHECKED` variants.
    first, total : (d,) arrays
        Sobol indices of the margin, an input each.
    first_interval, total_interval : (d, 2) arrays
        Intervals of these indices.
    of_input : Input or None
        The input that it judges, where it judges nothing else.
    """

    key: str
    name: str
    stage: str
    holds: Estimate
    margin: tuple[Estimate, ...]
    emulated_error: float
    first: Floats
    total: Floats
    first_interval: Floats
    total_interval: Floats
    of_input: Input | None = None


@dataclass(frozen=True, slots=True)
class NotAsked:
    """A verdict that the inputs change, but that has no meaning for them: its key, name, stage, and why."""

    key: str
    name: str
    stage: str
    why: str


@dataclass(frozen=True, slots=True, eq=False)
class Analysis:
    """What a sample says.

    Attributes
    ----------
    assessment : Assessment
        Of the setup as stated.
    inputs : tuple of Input
    samples, seed, runs : int
        Rows of each of the two samples, seed, variants judged in all.
    verdicts : tuple of VerdictFound
        Those that the inputs move, the least probable first; `leading` is the one that matters.
    unmoved : int
        Verdicts that the inputs do not change.
    not_asked : tuple of NotAsked
        Verdicts that they do change, of which nothing is said.
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
    not_asked: tuple[NotAsked, ...] = ()

    @property
    def leading(self) -> VerdictFound | None:
        """The least probable verdict that does not only judge an input itself; None where there is none."""
        return next((one for one in self.verdicts if one.of_input is None), None)

    @property
    def claims(self) -> tuple[VerdictFound, ...]:
        """Verdicts on inputs themselves that some draws break."""
        return tuple(one for one in self.verdicts if one.of_input is not None and one.holds.value < 1.0)


def analysed(
    assessment: Assessment,
    inputs: Sequence[Input],
    samples: int,
    seed: int,
    progress: Tell = lambda _: None,
) -> Analysis:
    """Draw variants of a judged setup and judge them.

    Parameters
    ----------
    assessment : Assessment
    inputs : sequence of Input
        At least one.
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
    verdicts, unmoved, not_asked = _verdicts(inputs, drawn, found, errors)
    refused = np.concatenate([one.refused for one in drawn]) > 0
    return Analysis(
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
        not_asked=not_asked,
    )


def _margins(found: Judged) -> Floats:
    """Return margins (n, m), 0 in a refused row."""
    return np.clip(np.where(found.refused[:, None] > 0, 0.0, found.margin), 0.0, HIGHEST)


def _held(found: Judged) -> Flags:
    """Tell which verdicts keep their limit, (n, m); none in a refused row."""
    kept = met(found.value, found.limit, at_least=found.at_least)
    return np.asarray(kept & (found.refused[:, None] == 0))


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
) -> tuple[tuple[VerdictFound, ...], int, tuple[NotAsked, ...]]:
    margin = np.vstack([_margins(one) for one in drawn])
    held = np.vstack([_held(one) for one in drawn])
    moved = np.ptp(margin, axis=0) > RELATIVE * np.abs(margin).max(axis=0)
    varied = {(one.name, one.stage): one for one in inputs}
    made, not_asked = [], []
    for column in np.flatnonzero(moved):
        key, name, stage = (of[column] for of in (drawn[0].keys, drawn[0].names, drawn[0].stages))
        of, why = NO_QUESTION.get(key, ("", ""))
        if (of, stage) in varied:
            not_asked.append(NotAsked(key, name, stage, why))
            continue
        off = float(errors[column])
        line, holds = margin[:, column], held[:, column]
        made.append(
            VerdictFound(
                key=key,
                name=name,
                stage=stage,
                holds=probability(
                    holds,
                    holds & (line >= MET * (1.0 + off)),
                    holds | ((line >= MET / (1.0 + off)) & (line < MET)),
                ),
                margin=percentiles(line),
                emulated_error=off,
                first=found.first[column],
                total=found.total[column],
                first_interval=found.first_interval[column],
                total_interval=found.total_interval[column],
                of_input=varied.get((OF_INPUT.get(key, ""), stage)),
            )
        )
    made.sort(key=lambda v: (v.holds.value, v.margin[0].value))
    return tuple(made), int((~moved).sum()), tuple(not_asked)


def _figures(drawn: Sequence[Judged], refused: Flags) -> dict[str, tuple[Estimate, ...]]:
    """Return percentiles of the main figures over the variants that can be built."""
    kept = ~refused
    if not kept.any():
        return {}
    found = {}
    for name in drawn[0].figures:
        values = np.concatenate([one.figures[name] for one in drawn])[kept]
        if np.ptp(values) > RELATIVE * np.abs(values).max():
            found[name] = percentiles(values)
    for column, (key, name, stage) in enumerate(
        zip(drawn[0].keys, drawn[0].names, drawn[0].stages, strict=True)
    ):
        if key in {ROUNDNESS_AFTER_RELEASE.key, MARKING.key, LEAST_GRIP_OF_A_JAW.key}:
            values = np.concatenate([one.value[:, column] for one in drawn])[kept]
            if np.ptp(values) > RELATIVE * np.abs(values).max():
                found[f"{stage}: {name} {drawn[0].units[column]}"] = percentiles(values)
    return found
