"""Grip at rest of a wedge-hook power chuck: from the chuck's own points, or from a free body of one jaw.

Free body of one jaw (lengths in mm, forces in N, angles in rad). The drawbar pulls the jaw's wedge with Fa;
the wedge, at the angle alpha to the spindle axis, pushes the jaw inward with Fr = Fa / tan(alpha + phi),
where phi is the friction angle. It acts at the depth a below the guideway's middle, the grip Fg at the
height h above it, so the guideway of length L takes the moment M = Fg h + Fr a. Its pressure is either
linear along the guideway (forces N on an arm 2 L / 3, friction 2 mu N = 3 mu M / L) or sits at the two ends
(arm L, friction 2 mu M / L). Fa itself presses the jaw on its axial seat: friction mu Fa. With k = 3 or 2

    Fg = Fr (1 - mu tan(alpha + phi) - k mu a / L) / (1 + k mu h / L)

while the pull rises. The mechanics is elementary statics; the two pressure models bound what a guideway does.

Pressure, pull and friction may be floats or arrays of one shape; heights, lengths and the wedge's angle are floats.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from typing import Any, Generic, Literal, overload

import numpy as np

from sim.base.arrays import Floats
from sim.base.floats import Number, atan, larger, tan

PressureModel = Literal["linear", "ends"]
_ARM = {"linear": 3.0, "ends": 2.0}


@dataclass(frozen=True, slots=True)
class Wedge(Generic[Number]):
    """Wedge and guideway of one jaw.

    Attributes
    ----------
    angle : float
        alpha, of the wedge to the spindle axis, rad.
    depth : float
        a, of the wedge's force below the guideway's middle, mm.
    guideway_length : float
        L, mm.
    friction : float or array
        Of wedge, guideway and axial seat (0.08 greased, 0.25 and more without grease: common practice).
        No unit.
    pressure_model : {'linear', 'ends'}
        Pressure along the guideway; linear gives the lower grip.
    """

    angle: float
    depth: float
    guideway_length: float
    friction: Number
    pressure_model: PressureModel = "linear"

    def __post_init__(self) -> None:
        if not 0.0 < self.angle < 0.25 * math.pi:
            raise ValueError(
                f"wedge angle must lie between 0 and 45 deg, found {math.degrees(self.angle):g} deg"
            )
        if not self.guideway_length > 0.0:
            raise ValueError(f"guideway length must be greater than 0 mm, found {self.guideway_length:g} mm")
        if not np.all(self.friction >= 0.0):
            raise ValueError(f"guideway friction must be 0 or more, found {np.min(self.friction):g}")

    @property
    def friction_angle(self) -> Number:
        """Phi = atan mu, rad."""
        return atan(self.friction)

    @property
    def guide_factor(self) -> Number:
        """K mu / L, per mm: share of the force lost per mm of lever to guideway friction."""
        return _ARM[self.pressure_model] * self.friction / self.guideway_length


@dataclass(frozen=True, slots=True)
class GripCurve:
    """The chuck's own data: (pressure in MPa, total grip in N) rising in both, at one grip height.

    `height` is measured from the guideway's middle, mm.
    """

    points: tuple[tuple[float, float], ...]
    height: float

    def __post_init__(self) -> None:
        if not self.points:
            raise ValueError("grip points must not be empty")
        for (p0, f0), (p1, f1) in zip(((0.0, 0.0), *self.points), self.points, strict=False):
            if not (p1 > p0 and f1 > f0):
                raise ValueError(
                    f"grip points must rise in pressure and in grip, found {f1:g} N at {p1:g} MPa "
                    f"after {f0:g} N at {p0:g} MPa"
                )

    @property
    def starts(self) -> float:
        """Pressure (MPa) up to which the line of the first two points leaves no grip; 0 if it grips from zero on.

        Seals and friction take their share first, so that a chuck may grip nothing at a pressure above zero.
        """
        (p1, f1), (p2, f2) = self.points[0], self.points[min(1, len(self.points) - 1)]
        return max(0.0, p1 - f1 * (p2 - p1) / (f2 - f1)) if f2 > f1 else 0.0

    @property
    def line(self) -> tuple[tuple[float, float], ...]:
        """The points and what lies below the first: the lower of the lines from zero and through the first two."""
        below = ((0.0, 0.0), (self.starts, 0.0)) if self.starts > 0.0 else ((0.0, 0.0),)
        return (*below, *self.points)


@dataclass(frozen=True, slots=True)
class ChuckDrive(Generic[Number]):
    """What turns pressure into grip.

    Attributes
    ----------
    wedge : Wedge
        Wedge and guideway.
    pull_per_pressure : float or array
        Drawbar pull per actuating pressure, efficiency included, N/MPa = mm2.
    curve : GripCurve or None
        The chuck's own data; used for the grip where present, the free body then only scales the height.
    jaws : int
        Number of jaws.
    """

    wedge: Wedge[Number]
    pull_per_pressure: Number
    curve: GripCurve | None = None
    jaws: int = 3


@dataclass(frozen=True, slots=True)
class Grip(Generic[Number]):
    """Grip at rest: total and per jaw (N), guide moment per jaw (N mm), and where the figure comes from."""

    total: Number
    per_jaw: Number
    guide_moment: Number
    basis: Literal["chuck data", "free body"]


def drawbar_pull(pressure: float, piston_area: Number, efficiency: Number | float = 1.0) -> Number:
    """Return the drawbar pull (N) of a piston area (mm2) at a pressure (MPa)."""
    return efficiency * pressure * piston_area


def jaw_force(axial_force: Number, height: float, wedge: Wedge[Number]) -> Number:
    """Return the grip force (N) of one jaw while the pull rises.

    Parameters
    ----------
    axial_force : float or array
        Share of the drawbar pull on this jaw, N.
    height : float
        Grip height above the guideway's middle, mm.

    Returns
    -------
    float or array
        0 where friction holds the jaw against any pull.
    """
    lean = tan(wedge.angle + wedge.friction_angle)
    left = 1.0 - wedge.friction * lean - wedge.guide_factor * wedge.depth
    return axial_force / lean * larger(0.0, left) / (1.0 + wedge.guide_factor * height)


def falling_jaw_force(axial_force: float, height: float, wedge: Wedge) -> float:
    """Return the largest grip force (N) that friction can keep in one jaw after the pull has fallen.

    The same free body with every friction force reversed; infinite where the wedge or the guideway locks.
    The grip never exceeds what it was before the pull fell.
    """
    lean = math.tan(wedge.angle - wedge.friction_angle)
    below = 1.0 - wedge.guide_factor * height
    if lean <= 0.0 or below <= 0.0:
        return math.inf
    return axial_force / lean * (1.0 + wedge.friction * lean + wedge.guide_factor * wedge.depth) / below


def back_drive_ratio(angle: float, friction: float) -> float:
    """Return tan(alpha + phi) / tan(alpha - phi) of the wedge alone; infinite where it is self-locking."""
    phi = math.atan(friction)
    if phi >= angle:
        return math.inf
    return math.tan(angle + phi) / math.tan(angle - phi)


def piston_travel(jaw_travel: float, angle: float) -> float:
    """Return the axial travel of the piston for a jaw travel, mm: the jaw moves by tan alpha of it."""
    return jaw_travel / math.tan(angle)


@overload
def height_factor(height: float, stated_height: float, wedge: Wedge[Number]) -> Number: ...
@overload
def height_factor(height: Floats, stated_height: float, wedge: Wedge) -> Floats: ...
def height_factor(height: float | Floats, stated_height: float, wedge: Wedge[Any]) -> Any:
    """Return grip at one height over grip at another, mm above the guideway's middle.

    Heights may be an array, or the wedge's friction.
    """
    return (1.0 + wedge.guide_factor * stated_height) / (1.0 + wedge.guide_factor * height)


def curve_grip(pressure: Number, curve: GripCurve) -> Number:
    """Return the total grip (N) that the chuck's points give at a pressure (MPa), at the curve's height.

    Linear between points; below the first as `GripCurve.line` has it. Nothing is extrapolated: of an array of
    pressures, what is negative or above the largest point gives nan.

    Raises
    ------
    ValueError
        If a single pressure is negative or above the largest point.
    """
    return _interpolated(pressure, curve.line, "pressure", "MPa")


def curve_pressure(grip: float, curve: GripCurve) -> float:
    """Return the pressure (MPa) for a total grip (N) by the chuck's points; inverse of `curve_grip`."""
    points = tuple((f, p) for p, f in curve.line)
    return _interpolated(grip, points, "grip", "N")


def grip_at_rest(pressure: Number, height: float, drive: ChuckDrive[Number]) -> Grip[Number]:
    """Return the grip at rest at a pressure (MPa) and a height above the guideway's middle (mm).

    Raises
    ------
    ValueError
        If the chuck has points and a single pressure is above the largest (of an array: nan there).
    """
    if drive.curve is not None:
        total = curve_grip(pressure, drive.curve) * height_factor(height, drive.curve.height, drive.wedge)
        per_jaw = total / drive.jaws
        return Grip(total, per_jaw, per_jaw * height, "chuck data")
    per_jaw = jaw_force(drive.pull_per_pressure * pressure / drive.jaws, height, drive.wedge)
    return Grip(per_jaw * drive.jaws, per_jaw, per_jaw * height, "free body")


def pressure_for_grip(total_grip: float, height: float, drive: ChuckDrive) -> float:
    """Return the pressure (MPa) that gives a total grip (N) at rest; inverse of `grip_at_rest`.

    Raises
    ------
    ValueError
        If the grip is negative, above the chuck's largest point, or out of reach because friction locks the
        jaws.
    """
    if total_grip < 0.0:
        raise ValueError(f"grip must be 0 N or more, found {total_grip:g} N")
    if drive.curve is not None:
        stated = total_grip / height_factor(height, drive.curve.height, drive.wedge)
        return curve_pressure(stated, drive.curve)
    per_pressure = grip_at_rest(1.0, height, drive).total
    if per_pressure == 0.0:
        raise ValueError("no pressure grips: friction holds the jaws in the guideway")
    return total_grip / per_pressure


def largest_total_grip(moment_limit: float, height: float, jaws: int = 3) -> float:
    """Return the total grip (N) at which Fg h per jaw reaches the guide moment limit (N mm); h in mm."""
    return math.inf if height <= 0.0 else jaws * moment_limit / height


def force_alike(force: Number, lever: float, height: float) -> Number:
    """Return the force (N) at a height (mm above the guideway's middle) that tilts the jaw as one at a lever does."""
    return force * lever / height


def _interpolated(x: Number, points: tuple[tuple[float, float], ...], name: str, unit: str) -> Number:
    last = points[-1][0]
    if isinstance(x, np.ndarray):
        known = np.array(points)
        k = np.minimum(np.searchsorted(known[:, 0], x, side="right"), len(points) - 1)
        (x0, y0), (x1, y1) = known[k - 1].T, known[k].T
        return np.where((x >= 0.0) & (x <= last), _on_line(x, x0, y0, x1, y1), np.nan)
    if not 0.0 <= x <= last:
        raise ValueError(
            f"{name} must lie between 0 {unit} and the chuck's largest point, {last:g} {unit}, "
            f"found {x:g} {unit}"
        )
    i = min(bisect_right([point[0] for point in points], x), len(points) - 1)
    return _on_line(x, *points[i - 1], *points[i])


def _on_line(x: Number, x0: Number, y0: Number, x1: Number, y1: Number) -> Number:
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
