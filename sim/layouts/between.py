"""Margins between the points of a window's grid: of all criteria at once, for a window asks some hundred times."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.base.arrays import Flags, Floats
from sim.layouts.criteria import LEAST, Criterion


def read(criteria: Sequence[Criterion], places: Floats | float, nodes: Floats, margins: Floats) -> Floats:
    """Return margins (c, ..., n) of criteria at rising nodes (n) as they are at places (p), as (c, ..., p).

    Linear between the nodes, as the margin or, where a criterion says so, as the load: its reciprocal. Beyond the
    first and the last node as there.
    """
    loads = np.array([c.as_load for c in criteria], dtype=bool)
    found = _linear(np.atleast_1d(places), nodes, _turned(margins, loads, LEAST))
    return _turned(found, loads)


def at_speed(criteria: Sequence[Criterion], speeds: Floats, speed: float) -> Floats:
    """Return the margins of criteria over all pressures (c, k) at a speed (rev/min), linear in its square."""
    return read(criteria, speed**2, speeds**2, stacked(criteria))[..., 0]


def at_pressure(criteria: Sequence[Criterion], pressures: Floats, pressure: float) -> Floats:
    """Return the margins of criteria over all speeds (c, m) at a pressure (MPa)."""
    return read(criteria, pressure, pressures, stacked(criteria).swapaxes(1, 2))[..., 0]


def stacked(criteria: Sequence[Criterion]) -> Floats:
    """Return the margins of criteria, one upon the other (c, k, m)."""
    return np.array([c.margin for c in criteria]) if criteria else np.zeros((0, 1, 1))


def _turned(margins: Floats, loads: Flags, least: float = 0.0) -> Floats:
    """Return loads for margins, or the reverse, where a criterion asks for it."""
    turned = margins.copy()
    turned[loads] = 1.0 / np.maximum(margins[loads], least)
    return turned


def _linear(places: Floats, nodes: Floats, values: Floats) -> Floats:
    """Return what numpy's `interp` does, of many lines (..., n) at once and to the last digit the same."""
    if len(nodes) == 1 or not len(values):
        return np.broadcast_to(values[..., :1], (*values.shape[:-1], len(places)))
    first = np.clip(np.searchsorted(nodes, places, side="right") - 1, 0, len(nodes) - 2)
    low, high = values[..., first], values[..., first + 1]
    within = (high - low) / (nodes[first + 1] - nodes[first]) * (places - nodes[first]) + low
    ends = np.where(places <= nodes[0], values[..., :1], values[..., -1:])
    return np.where((places > nodes[0]) & (places < nodes[-1]), within, ends)
