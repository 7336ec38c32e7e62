"""Hysteresis: what a gauge reads with falling pressure over what it reads with rising pressure.

Friction in wedge and guideway works against the jaws' motion: it takes from the grip while the pressure rises, and
keeps some of it while the pressure falls. A part is gripped with rising pressure.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from sim.base.arrays import Flags, Floats
from sim.readings.csv_file import DIRECTION, FALLING, RISING, Readings

ALIKE = 0.01  # share by which two pressures may differ and count as the same
SAME_HEIGHT = 1.0  # mm
LEAST = (
    0.03  # share from which on it is told: a gauge itself is good to 1 or 2 % (common practice, no source)
)
DOUBT = 0.01  # probability below which it is no chance, where there are pairs enough to tell
FEW = 3  # pairs, below which only the size tells


@dataclass(frozen=True, slots=True)
class Hysteresis:
    """What readings with falling pressure give beyond those with rising pressure.

    Attributes
    ----------
    share : float
        Mean over the pairs; 0.15 is 15 % more with falling pressure.
    largest : float
        Of one pair, by size, a share too.
    pressure : float
        Of that pair, MPa.
    lines : tuple of int
        Of that pair in the file: rising, falling.
    pairs : int
    """

    share: float
    largest: float
    pressure: float
    lines: tuple[int, int]
    pairs: int


def hysteresis(readings: Readings) -> Hysteresis | None:
    """Return the hysteresis of readings in the order of their lines; None where none is to be told.

    Readings of one height and speed in a row are one run of the gauge. Each reading with falling pressure is compared
    with what the same run read while the pressure rose, along a line between two readings where none is the same. Which
    fall says the column `direction`; without it the order of the lines, so that repeats in another order hide it.
    """
    found: list[tuple[float, float, int, int]] = []
    for rows in _runs(readings):
        found += _pairs(readings, rows)
    if not found:
        return None
    shares = np.array([share for share, *_ in found])
    mean = float(shares.mean())
    if abs(mean) < LEAST:
        return None
    many = len(shares) >= FEW and float(np.ptp(shares)) > 0.0
    if many and float(stats.ttest_1samp(shares, 0.0).pvalue) >= DOUBT:
        return None
    largest, pressure, rising, falling = max(found, key=lambda pair: abs(pair[0]))
    return Hysteresis(mean, largest, pressure, (rising, falling), len(shares))


def untold(readings: Readings) -> str:
    """Return why readings do not tell hysteresis, where they do not; '' where they do."""
    if readings.falls is not None:
        return "" if readings.falls.any() else "no reading was taken with falling pressure"
    runs = _runs(readings)
    repeats = any(
        len(np.unique(np.round(readings.pressure[rows] / (ALIKE * readings.pressure.max())))) < len(rows)
        for rows in runs
    )
    if not repeats:
        return ""
    return (
        f"pressures are repeated and no column {DIRECTION} ({RISING} or {FALLING}) says how they were reached, so the "
        "order of the lines was taken as that of the readings"
    )


def _runs(readings: Readings) -> list[NDArray[np.intp]]:
    """Return the rows of each height and speed, in the order of the file."""
    order = np.argsort(readings.line, kind="stable")
    keys: dict[tuple[float, float], list[int]] = {}
    for row in order:
        key = (round(float(readings.height[row]) / SAME_HEIGHT), float(readings.speed[row]))
        keys.setdefault(key, []).append(int(row))
    return [np.array(rows) for rows in keys.values()]


def _pairs(readings: Readings, rows: NDArray[np.intp]) -> list[tuple[float, float, int, int]]:
    """Return share, pressure and the lines of a rising and a falling reading, for all that can be compared in a run."""
    pressure, force = readings.pressure[rows], readings.force[rows]
    falls = _falling(pressure) if readings.falls is None else readings.falls[rows]
    up, down = np.flatnonzero(~falls), np.flatnonzero(falls)
    if not len(up):
        return []
    order = up[np.argsort(pressure[up], kind="stable")]
    found = []
    for k in down:
        p = float(pressure[k])
        if not pressure[order[0]] * (1.0 - ALIKE) <= p <= pressure[order[-1]] * (1.0 + ALIKE):
            continue
        # Several readings with rising pressure at one place count with their mean.
        places, inverse = np.unique(np.round(pressure[order] / (ALIKE * pressure.max())), return_inverse=True)
        counts = np.bincount(inverse)
        at = np.bincount(inverse, weights=pressure[order]) / counts
        read = np.bincount(inverse, weights=force[order]) / counts
        rose = float(np.interp(p, at, read)) if len(places) > 1 else float(read[0])
        nearest = int(order[int(np.abs(pressure[order] - p).argmin())])
        found.append(
            (
                float(force[k]) / rose - 1.0,
                p,
                int(readings.line[rows[nearest]]),
                int(readings.line[rows[k]]),
            )
        )
    return found


def _falling(pressure: Floats) -> Flags:
    """Tell which readings in a row were reached from a higher pressure; the first from zero."""
    falls = np.zeros(len(pressure), dtype=np.bool_)
    for k in range(1, len(pressure)):
        before, now = float(pressure[k - 1]), float(pressure[k])
        alike = abs(now - before) <= ALIKE * max(before, now)
        falls[k] = falls[k - 1] if alike else now < before
    return falls
