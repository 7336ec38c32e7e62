"""How far two colours stand apart, and how they are seen with a missing kind of cone: oracles of the colours' tests.

CIEDE2000: Sharma, Wu and Dalal, Color Research and Application 30 (2005) 21. Colour blindness: Machado, Oliveira and
Fernandes, IEEE Transactions on Visualization and Computer Graphics 15 (2009) 1291, severity 1.0; matrices as a
dozen public programs after it have them (each of their rows sums to 1, so greys stay).
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

Lab = tuple[float, float, float]

SEEN: dict[str, NDArray[np.float64]] = {
    "all cones": np.eye(3),
    "protanopia": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
# IEC 61966-2-1: linear sRGB to CIE XYZ, white D65.
_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]],
)
_WHITE = _XYZ.sum(axis=1)


def lab(colour: str, seen: str = "all cones") -> Lab:
    """Return CIELAB (no unit) of '#rrggbb' as it is seen."""
    code = np.array([int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)])
    linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    x, y, z = (_XYZ @ np.clip(SEEN[seen] @ linear, 0.0, 1.0)) / _WHITE
    f = [
        t ** (1.0 / 3.0) if t > (6.0 / 29.0) ** 3 else t / (3.0 * (6.0 / 29.0) ** 2) + 4.0 / 29.0
        for t in (x, y, z)
    ]
    return 116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])


def ciede2000(one: Lab, other: Lab) -> float:
    """Return the difference of two CIELAB colours, no unit."""
    l1, a1, b1 = one
    l2, a2, b2 = other
    mean = 0.5 * (math.hypot(a1, b1) + math.hypot(a2, b2))
    grey = 0.5 * (1.0 - math.sqrt(mean**7 / (mean**7 + 25.0**7)))
    a1, a2 = (1.0 + grey) * a1, (1.0 + grey) * a2
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360.0 if (a or b) else 0.0 for a, b in ((a1, b1), (a2, b2)))
    turn = 0.0 if c1 * c2 == 0.0 else (h2 - h1 + 180.0) % 360.0 - 180.0
    if c1 * c2 and turn == -180.0:
        turn = 180.0
    chroma, light = 0.5 * (c1 + c2), 0.5 * (l1 + l2)
    if c1 * c2 == 0.0:
        hue = h1 + h2
    elif abs(h1 - h2) <= 180.0:
        hue = 0.5 * (h1 + h2)
    else:
        hue = 0.5 * (h1 + h2 + (360.0 if h1 + h2 < 360.0 else -360.0))
    t = (
        1.0
        - 0.17 * math.cos(math.radians(hue - 30.0))
        + 0.24 * math.cos(math.radians(2.0 * hue))
        + 0.32 * math.cos(math.radians(3.0 * hue + 6.0))
        - 0.20 * math.cos(math.radians(4.0 * hue - 63.0))
    )
    s_l = 1.0 + 0.015 * (light - 50.0) ** 2 / math.sqrt(20.0 + (light - 50.0) ** 2)
    s_c, s_h = 1.0 + 0.045 * chroma, 1.0 + 0.015 * chroma * t
    twist = 60.0 * math.exp(-(((hue - 275.0) / 25.0) ** 2))
    r_t = -2.0 * math.sqrt(chroma**7 / (chroma**7 + 25.0**7)) * math.sin(math.radians(twist))
    d_l, d_c = (l2 - l1) / s_l, (c2 - c1) / s_c
    d_h = 2.0 * math.sqrt(c1 * c2) * math.sin(math.radians(0.5 * turn)) / s_h
    return math.sqrt(d_l**2 + d_c**2 + d_h**2 + r_t * d_c * d_h)


def least(ones: Iterable[str], others: Iterable[str], seen: str = "all cones") -> tuple[float, str, str]:
    """Return the least difference (no unit) between two groups of colours, and the two."""
    far = [(lab(colour, seen), colour) for colour in others]
    return min((ciede2000(lab(one, seen), b), one, other) for one in ones for b, other in far)


def hexadecimal(colour: ArrayLike) -> str:
    """Return '#rrggbb' of red, green and blue, 0 to 255."""
    return "#" + "".join(f"{int(part):02x}" for part in np.asarray(colour))
