"""Cubic interpolation that never overshoots, as sums from the edge of a face need it.

F. N. Fritsch and J. Butland, A method for constructing local monotone piecewise cubic interpolants, SIAM J. Sci. Stat.
Comput. 5, 1984, 300: weighted harmonic means of the slopes beside a place, none at an extremum; three-point slopes at
the ends, kept from turning back. SciPy's `PchipInterpolator` gives the same (`tests/sim/contact/test_monotone.py`);
made ready for a few places it takes eight times as long, and a check asks for it at every state.
"""

from __future__ import annotations

import numpy as np

from sim.base.arrays import Floats


def interpolated(places: Floats, values: Floats, at: Floats) -> Floats:
    """Return values (n, ...) known at rising places (n,) at others (k,) between them, (k, ...); n is 2 or more."""
    steps = np.diff(places).reshape(-1, *[1] * (values.ndim - 1))
    slopes = np.diff(values, axis=0) / steps
    tangents = _tangents(steps, slopes)
    cell = np.clip(np.searchsorted(places, at, side="right") - 1, 0, places.size - 2)
    step = steps[cell]
    t = (at - places[cell]).reshape(step.shape) / step
    first, last, slope = tangents[cell], tangents[cell + 1], slopes[cell]
    bent = (first - slope) * (1.0 - t) + (slope - last) * t
    return np.asarray(values[cell] + step * t * (slope + (1.0 - t) * bent))


def _tangents(steps: Floats, slopes: Floats) -> Floats:
    """Slopes (n, ...) at the places, from steps (n - 1, 1, ...) between them and the slopes of the lines."""
    if len(slopes) == 1:
        return np.repeat(slopes, 2, axis=0)
    before, after, h, k = slopes[:-1], slopes[1:], steps[:-1], steps[1:]
    one_way = before * after > 0.0
    safe_before, safe_after = np.where(one_way, before, 1.0), np.where(one_way, after, 1.0)
    mean = 3.0 * (h + k) / ((2.0 * k + h) / safe_before + (k + 2.0 * h) / safe_after)
    inner = np.where(one_way, mean, 0.0)
    low = _at_end(steps[0], steps[1], slopes[0], slopes[1])
    high = _at_end(steps[-1], steps[-2], slopes[-1], slopes[-2])
    return np.concatenate([low[None], inner, high[None]])


def _at_end(step: Floats, following: Floats, slope: Floats, beyond: Floats) -> Floats:
    """Slope at an end from the two lines next to it: never the other way, never over three times the first line's."""
    found = ((2.0 * step + following) * slope - step * beyond) / (step + following)
    found = np.where(found * slope > 0.0, found, 0.0)
    steep = (slope * beyond < 0.0) & (np.abs(found) > 3.0 * np.abs(slope))
    return np.where(steep, 3.0 * slope, found)
