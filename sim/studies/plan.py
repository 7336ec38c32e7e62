"""The variants of a study by number: which scenario and which values, and in which block.

Scenarios come first, then the grid of all lists and ranges in the order of the file (the last varies fastest), then the
samples, the same ones at every grid point. A variant's number never depends on how many processes there are, on what
is finished, or on how the variants are judged.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from math import prod
from pathlib import Path
from typing import Any

import numpy as np
from scipy.stats import qmc

from sim.assessment.bodies import ContactModel
from sim.base.arrays import Floats, Ints
from sim.studies.quantities import VariedQuantity

APART = 16  # variants of a block that are assessed one by one
FEW = 65536  # samples that are drawn all at once
TOGETHER = 8  # variants of one geometry from which on they are judged together


@dataclass(frozen=True, slots=True, eq=False)
class Design:
    """What varies, and how it is sampled.

    Attributes
    ----------
    quantities : tuple of Quantity
    samples : int
        At each grid point; 1 without a distribution.
    seed : int
        Of the scrambling of the samples' Sobol sequence.
    block : int
        Variants of a block that share solutions.
    """

    quantities: tuple[VariedQuantity, ...]
    samples: int
    seed: int
    block: int

    @property
    def shape(self) -> tuple[int, ...]:
        """Number of values of each list or range; 1 for a distribution."""
        return tuple(len(q.choices) or 1 for q in self.quantities)

    @property
    def count(self) -> int:
        """Variants of one scenario."""
        return prod(self.shape) * self.samples

    def values(self, numbers: Ints) -> tuple[list[Any], ...]:
        """Return each quantity's values for consecutive numbers within one scenario."""
        places = np.unravel_index(numbers // self.samples, self.shape)
        shares = self._shares(numbers % self.samples)
        found: list[list[Any]] = []
        sampled = 0
        for quantity, place in zip(self.quantities, places, strict=True):
            if quantity.marginal is None:
                found.append([quantity.choices[k] for k in place])
            else:
                found.append(quantity.marginal.at(shares[:, sampled]).tolist())
                sampled += 1
        return tuple(found)

    def _shares(self, wanted: Ints) -> Floats:
        """Return the samples of some numbers, (n, distributions), each 0 to 1."""
        width = sum(q.marginal is not None for q in self.quantities)
        if not width or not wanted.size:
            return np.zeros((wanted.size, 0))
        if self.samples <= FEW:
            return self._drawn(width, 0, self.samples)[wanted]
        runs = np.split(wanted, np.flatnonzero(np.diff(wanted) != 1) + 1)
        return np.concatenate([self._drawn(width, int(run[0]), run.size) for run in runs])

    def _drawn(self, width: int, first: int, count: int) -> Floats:
        engine = qmc.Sobol(width, scramble=True, rng=self.seed)
        if first:
            engine.fast_forward(first)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # that a part of the sequence is no power of 2
            return np.asarray(engine.random(count))


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """One scenario of a study with all that a process needs to judge its variants.

    Attributes
    ----------
    name : str
        As the study's rows name it.
    path : Path
        Its file, for messages and for the files that it names.
    tables : dict
        Of the file.
    model : ContactModel
        Contact model.
    design : Design
    quick : tuple of bool
        Of each quantity: it changes neither solids nor compliances, so its variants share solutions.
    verdicts : tuple of (key, stage, unit)
        That have columns.
    operations : tuple of str
    first : int
        Number of its first variant in the study.
    study : str
        Digest of the whole study, by which a process that lives longer tells one from another.
    """

    name: str
    path: Path
    tables: dict[str, Any]
    model: ContactModel
    design: Design
    quick: tuple[bool, ...]
    verdicts: tuple[tuple[str, str, str], ...]
    operations: tuple[str, ...]
    first: int
    study: str = ""

    @property
    def shared(self) -> int:
        """Variants that share one geometry and with it their solutions."""
        if self.slow_sampled:
            return prod(n for n, quick in zip(self.design.shape, self.quick, strict=True) if quick)
        free = [n for n, quick in zip(self.design.shape, self.quick, strict=True) if quick]
        return prod(free) * self.design.samples

    @property
    def slow_sampled(self) -> bool:
        """A distribution changes the geometry."""
        both = zip(self.design.quantities, self.quick, strict=True)
        return any(q.marginal is not None and not quick for q, quick in both)

    @property
    def together(self) -> bool:
        """Variants of one geometry are judged together; else each is assessed by itself."""
        return self.shared >= TOGETHER

    @property
    def geometries(self) -> int:
        """Number of geometries, each with a contact of its own."""
        return self.design.count // self.shared

    @property
    def block(self) -> int:
        """Variants of a block."""
        if not self.together:
            return APART
        largest = self.design.block
        return largest if self.geometries == 1 else min(largest, max(self.shared, APART))


@dataclass(frozen=True, slots=True)
class Block:
    """Consecutive variants of one scenario; `first` counts within the scenario."""

    number: int
    case: int
    first: int
    count: int


def blocks(cases: tuple[Case, ...]) -> list[Block]:
    """Return all blocks of a study in their order."""
    found: list[Block] = []
    for number, case in enumerate(cases):
        for first in range(0, case.design.count, case.block):
            count = min(case.block, case.design.count - first)
            found.append(Block(len(found), number, first, count))
    return found
