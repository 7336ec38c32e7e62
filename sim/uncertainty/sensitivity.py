"""Which input matters most: Sobol indices by `scipy.stats.sobol_indices` (Saltelli 2010) with bootstrap intervals."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from sim.base.arrays import Floats
from sim.uncertainty.distribution import Distribution

Function = Callable[[Floats], Floats]
RESAMPLES = 200
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True, eq=False)
class Indices:
    """Sobol indices of s outputs to d inputs.

    Attributes
    ----------
    first, total : (s, d) arrays
        Share of the output's variance by an input alone; and with all that it does together with others. All 0 for
        an output that does not vary.
    first_interval, total_interval : (s, d, 2) arrays
        Percentile bootstrap over the sample's rows, 95 %.
    """

    first: Floats
    total: Floats
    first_interval: Floats
    total_interval: Floats


def indices(function: Function, distributions: Sequence[Distribution], samples: int, seed: int) -> Indices:
    """Return the indices of a function's outputs.

    Parameters
    ----------
    function : callable
        (d, m) inputs to (s, m) outputs; asked for the rows A, for the rows B, then for all mixed rows at once.
    distributions : sequence of Distribution
        d of them.
    samples : int
        Rows of A and of B, a power of two: scrambled Sobol points.
    seed : int
    """
    asked: list[Floats] = []

    def kept(inputs: Floats) -> Floats:
        outputs = np.atleast_2d(function(inputs))
        asked.append(outputs)
        return outputs.copy()  # scipy subtracts means in place

    rng = np.random.default_rng(seed)
    found = stats.sobol_indices(func=kept, n=samples, dists=list(distributions), rng=rng)  # type: ignore[arg-type]
    d = len(distributions)
    a, b = asked[0], asked[1]
    mixed = np.moveaxis(asked[2].reshape(-1, samples, d), -1, 0)

    def again(rows: NDArray[np.intp]) -> Floats:
        values = {"f_A": a[:, rows], "f_B": b[:, rows], "f_AB": mixed[:, :, rows]}
        one = stats.sobol_indices(func=values, n=samples)  # type: ignore[arg-type]
        return np.stack([_shaped(one.first_order, len(a), d), _shaped(one.total_order, len(a), d)])

    drawn = np.array(
        [again(rng.integers(0, samples, samples)) for _ in range(RESAMPLES)]
    )  # scipy's own bootstrap of the indices takes no seed
    tail = 0.5 * (1.0 - CONFIDENCE)
    ends = np.moveaxis(np.quantile(drawn, [tail, 1.0 - tail], axis=0), 0, -1)
    return Indices(
        _shaped(found.first_order, len(a), d), _shaped(found.total_order, len(a), d), ends[0], ends[1]
    )


def _shaped(values: Floats, outputs: int, inputs: int) -> Floats:
    return np.asarray(values, dtype=np.float64).reshape(outputs, inputs)
