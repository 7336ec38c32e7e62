"""The colours of contact pressure and the range that they stand for.

The range ends at the pressure that 95 % of the touching area keeps below, rounded up: one band at a sharp edge does not
push all else into the lowest colour. What lies over it is hatched, what is under a hundredth of the largest stays bare
metal, so that open contact is seen. Colours go with the root of the pressure.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.base.arrays import Floats
from sim.views.colours import rgb

if TYPE_CHECKING:
    from matplotlib.colors import ListedColormap, PowerNorm

# Light to dark in even steps of lightness; between them straight in OKLab.
STOPS = ("#a9c9ff", "#6f9dff", "#4c68f2", "#4634c6", "#3c0d8a", "#24004a")
STEPS = 256
SHARE = 0.95  # of the touching area that the range holds
BARE = 0.01  # of the largest pressure: below it nothing touches that could be seen
ENDS = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)

# Ottosson, "A perceptual color space for image processing" (2020): linear sRGB to cone responses, their roots to OKLab.
_CONES = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)


@cache
def colours() -> NDArray[np.uint8]:
    """Return the colours (256, 3) of shares 0 to 1 of the range."""
    code = np.array([rgb(stop) for stop in STOPS])
    linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    known = np.cbrt(linear @ _CONES.T) @ _LAB.T
    at, stops = np.linspace(0.0, 1.0, STEPS), np.linspace(0.0, 1.0, len(STOPS))
    mixed = np.column_stack([np.interp(at, stops, part) for part in known.T])
    shown = np.clip((mixed @ np.linalg.inv(_LAB).T) ** 3 @ np.linalg.inv(_CONES).T, 0.0, 1.0)
    coded = np.where(shown <= 0.0031308, 12.92 * shown, 1.055 * shown ** (1.0 / 2.4) - 0.055)
    found: NDArray[np.uint8] = np.round(255.0 * coded).astype(np.uint8)
    found.setflags(write=False)
    return found


def coloured(pressures: ArrayLike, top: float) -> NDArray[np.uint8]:
    """Return colours (..., 3) of pressures (MPa) in a range that ends at `top` (MPa)."""
    shares = np.sqrt(np.clip(np.asarray(pressures, dtype=np.float64) / top, 0.0, 1.0))
    return np.asarray(colours()[np.round((STEPS - 1) * shares).astype(np.intp)], dtype=np.uint8)


def top_of(pressures: ArrayLike) -> float:
    """Return the end of the range (MPa) for band-mean pressures (MPa) of bands of one size; 1 where nothing touches."""
    values: Floats = np.asarray(pressures, dtype=np.float64).ravel()
    touching = values[values > BARE * max(float(values.max(initial=0.0)), 1e-9)]
    if not len(touching):
        return 1.0
    return rounded_up(float(np.sort(touching)[math.ceil(SHARE * len(touching)) - 1]))


def rounded_up(value: float) -> float:
    """Return the next figure that a range may end with: 1, 1.5, 2, 3, 4, 5, 6, 8 or 10 times a power of ten."""
    if not value > 0.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(value))
    return power * next(end for end in ENDS if end * power >= value * (1.0 - 1e-9))


@cache
def colour_map() -> ListedColormap:
    """Return the colours for matplotlib; over the range their end."""
    from matplotlib.colors import ListedColormap

    return ListedColormap(colours() / 255.0, name="contact pressure")


@cache
def linear_map() -> ListedColormap:
    """Return the colours for a bar whose marks go with the pressure itself, not with its root."""
    from matplotlib.colors import ListedColormap

    return ListedColormap(
        coloured(np.linspace(0.0, 1.0, STEPS), 1.0) / 255.0, name="contact pressure, even marks"
    )


def norm(top: float) -> PowerNorm:
    """Return how matplotlib goes from a pressure to a share of the colours of a range up to `top` (MPa)."""
    from matplotlib.colors import PowerNorm

    return PowerNorm(0.5, 0.0, top, clip=True)
