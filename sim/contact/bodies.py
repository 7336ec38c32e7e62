"""The elastic bodies that meet at the jaw face, and the springs behind the jaws."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.base.arrays import Floats
from sim.contact.face import frozen_array

_LEAST_EDGE = 1e-4  # share of the part's size below which an edge of its outline means nothing


def _require_elastic(modulus_mpa: float, poisson: float) -> None:
    if not (math.isfinite(modulus_mpa) and modulus_mpa > 0.0):
        raise ValueError(f"modulus_mpa must be positive and finite, not {modulus_mpa}")
    if not 0.0 <= poisson < 0.5:
        raise ValueError(f"poisson must be 0 to below 0.5, not {poisson}")


def _corners(outline: Floats) -> Floats:
    """Return the points of a closed outline that are corners: none twice in a row, none on a straight edge."""
    least = _LEAST_EDGE * float(np.ptp(outline, axis=0).max())
    kept = [outline[0]]
    for point in outline[1:]:
        if np.linalg.norm(point - kept[-1]) > least and np.linalg.norm(point - kept[0]) > least:
            kept.append(point)
    outline = np.array(kept)
    if len(outline) < 3:
        raise ValueError("outline_mm must enclose an area")
    before, after = outline - np.roll(outline, 1, axis=0), np.roll(outline, -1, axis=0) - outline
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    straight = np.abs(turn) <= 1e-9 * np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    straight &= np.einsum("ij,ij->i", before, after) > 0.0
    return np.asarray(outline[~straight])


@dataclass(frozen=True, slots=True, eq=False)
class TurnedPart:
    """A body of revolution.

    Attributes
    ----------
    outline_mm : (m, 2) array
        r and z of the corners of the half section, in order round it, chuck frame. Points that lie on a
        straight edge or nearer than 1/10 000 of the part's size to the one before are dropped.
    modulus_mpa, poisson : float
        Young's modulus and Poisson's ratio.
    """

    outline_mm: Floats
    modulus_mpa: float
    poisson: float

    def __post_init__(self) -> None:
        _require_elastic(self.modulus_mpa, self.poisson)
        outline = frozen_array(self.outline_mm)
        if outline.ndim != 2 or outline.shape[1] != 2 or outline.shape[0] < 3:
            raise ValueError(f"outline_mm must be (m, 2) with m of 3 or more, not {outline.shape}")
        if not np.all(np.isfinite(outline)) or outline[:, 0].min() < 0.0:
            raise ValueError("outline_mm must be finite with r of 0 or more")
        object.__setattr__(self, "outline_mm", frozen_array(_corners(outline)))

    def crossings(self, z_mm: float) -> list[float]:
        """Radii at which the outline crosses the height z, rising, an even number of them."""
        start, end = self.outline_mm, np.roll(self.outline_mm, -1, axis=0)
        cut = (start[:, 1] <= z_mm) != (end[:, 1] <= z_mm)
        a, b = start[cut], end[cut]
        radii = a[:, 0] + (z_mm - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
        return sorted(float(r) for r in radii)


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole along z on the middle plane of a jaw: its axis from the spindle, diameter and ends, mm."""

    axis_mm: float
    diameter_mm: float
    z_low_mm: float
    z_high_mm: float

    def __post_init__(self) -> None:
        if not (self.diameter_mm > 0.0 and self.z_low_mm < self.z_high_mm):
            raise ValueError(f"a hole has a diameter above 0 and z_low_mm below z_high_mm, not {self}")


@dataclass(frozen=True, slots=True)
class SectorPlan:
    """A sector jaw seen from the front, as it stood when it was bored, mm and rad.

    Attributes
    ----------
    apex_mm : float
        Where on the jaw's middle plane its flanks would meet, from the spindle axis outward.
    half_angle_rad : float
        Of the flanks to the middle plane.
    round_mm : float
        Radius of the round outer end, about the apex.
    tip_mm : float
        Radius of the flat inner end.
    """

    apex_mm: float
    half_angle_rad: float
    round_mm: float
    tip_mm: float

    def __post_init__(self) -> None:
        if not 0.0 < self.half_angle_rad < 0.5 * math.pi:
            raise ValueError(
                f"half_angle_rad must be over 0 and under a right angle, not {self.half_angle_rad}"
            )
        if not self.apex_mm < self.tip_mm < self.apex_mm + self.round_mm:
            raise ValueError(
                f"a sector has its apex before its inner end and that before its crown, not {self}"
            )

    def flank_angle(self, radius_mm: float) -> float:
        """Angle about the spindle axis at which a flank meets a circle about it, rad."""
        off = self.apex_mm * math.sin(self.half_angle_rad) / radius_mm
        return self.half_angle_rad - math.asin(max(-1.0, min(1.0, off)))


@dataclass(frozen=True, slots=True)
class PointPlan:
    """A pointed jaw, a block that narrows to its inner end, from the front, as it stood when it was bored; mm and rad.

    Attributes
    ----------
    inner_mm : float
        Radius of the flat inner end.
    tip_half_mm, half_width_mm : float
        Half the width of that end, and of the jaw.
    half_angle_rad : float
        Of the flanks between them to the middle plane.
    """

    inner_mm: float
    tip_half_mm: float
    half_width_mm: float
    half_angle_rad: float

    def __post_init__(self) -> None:
        if not 0.0 < self.half_angle_rad < 0.5 * math.pi:
            raise ValueError(
                f"half_angle_rad must be over 0 and under a right angle, not {self.half_angle_rad}"
            )
        if not (self.inner_mm > 0.0 and 0.0 < self.tip_half_mm < self.half_width_mm):
            raise ValueError(f"a pointed jaw is narrower at its inner end, before the axis, not {self}")

    @property
    def wide_mm(self) -> float:
        """Radius on the middle plane from which the jaw is at its full width, mm."""
        return self.inner_mm + (self.half_width_mm - self.tip_half_mm) / math.tan(self.half_angle_rad)

    def edge_angle(self, radius_mm: float) -> float:
        """Angle about the spindle axis at which a circle about it leaves the jaw: end, flank or side, rad."""
        front = math.acos(min(1.0, self.inner_mm / radius_mm))
        if radius_mm * math.sin(front) <= self.tip_half_mm:
            return front
        off = self.tip_half_mm * math.cos(self.half_angle_rad) - self.inner_mm * math.sin(self.half_angle_rad)
        flank = self.half_angle_rad + math.asin(max(-1.0, min(1.0, off / radius_mm)))
        return min(flank, math.asin(min(1.0, self.half_width_mm / radius_mm)))


@dataclass(frozen=True, slots=True)
class SeatArea:
    """What of the serrated plane holds a jaw: a rectangle over its master jaw, mm.

    Attributes
    ----------
    half_width_mm : float
        To each side of the middle plane.
    low_mm, high_mm : float
        Its ends, from the spindle axis outward.
    """

    half_width_mm: float
    low_mm: float
    high_mm: float

    def __post_init__(self) -> None:
        if not (self.half_width_mm > 0.0 and self.low_mm < self.high_mm):
            raise ValueError(f"a seat has a width and its inner end before its outer one, not {self}")


@dataclass(frozen=True, slots=True)
class JawBlock:
    """A soft jaw as a block behind its bored face, standing on the serrated plane z = 0.

    Attributes
    ----------
    back_radius_mm : float
        Radius of the end away from the part (the outer end when gripping outside).
    height_mm : float
        z of the jaw's top face.
    modulus_mpa, poisson : float
        Young's modulus and Poisson's ratio.
    ledge_z_mm : float
        z of the pocket's seat; below it the jaw reaches on towards the axis. 0: no ledge.
    ledge_radius_mm : float or None
        Radius at which the ledge ends. None: there is no ledge.
    front_z_mm, front_radius_mm : float or None
        Seat and radius of a second pocket in front of the gripped one. None: there is none and the gripped
        bore runs to the top face.
    holes : tuple of Hole
        Of the jaw screws, heads and shanks.
    sector : SectorPlan or None
        Its plan where it is a sector jaw.
    point : PointPlan or None
        Its plan where it is a pointed jaw; None of both: parallel sides and a straight end.
    seat : SeatArea or None
        What holds it; None: all of its lower face.
    """

    back_radius_mm: float
    height_mm: float
    modulus_mpa: float
    poisson: float
    ledge_z_mm: float = 0.0
    ledge_radius_mm: float | None = None
    front_z_mm: float | None = None
    front_radius_mm: float | None = None
    holes: tuple[Hole, ...] = ()
    sector: SectorPlan | None = None
    point: PointPlan | None = None
    seat: SeatArea | None = None

    def __post_init__(self) -> None:
        _require_elastic(self.modulus_mpa, self.poisson)
        if not self.height_mm > 0.0:
            raise ValueError(f"height_mm must be positive, not {self.height_mm}")
        if not 0.0 <= self.ledge_z_mm < self.height_mm:
            raise ValueError(f"ledge_z_mm must be 0 to below the jaw's height, not {self.ledge_z_mm}")
        if (self.front_z_mm is None) != (self.front_radius_mm is None):
            raise ValueError("front_z_mm and front_radius_mm must be given together")
        if self.sector is not None and self.point is not None:
            raise ValueError("a jaw is a sector jaw or a pointed one, not both")


@dataclass(frozen=True, slots=True)
class JawGuide:
    """Springs between a jaw's seat and the piston; infinite where nothing is stated.

    Attributes
    ----------
    radial_stiffness_n_per_mm : float
        Of one jaw's drive along its travel.
    tilt_stiffness_nmm_per_rad : float
        Of one master jaw in its guideway against the grip moment.
    guide_height_mm : float
        z about which the jaw tilts (the guideway's middle, at or below 0).
    tangential_stiffness_n_per_mm : float
        Of one jaw across its guideway.
    """

    radial_stiffness_n_per_mm: float = math.inf
    tilt_stiffness_nmm_per_rad: float = math.inf
    guide_height_mm: float = 0.0
    tangential_stiffness_n_per_mm: float = math.inf

    def __post_init__(self) -> None:
        for name in (
            "radial_stiffness_n_per_mm",
            "tilt_stiffness_nmm_per_rad",
            "tangential_stiffness_n_per_mm",
        ):
            if not getattr(self, name) > 0.0:
                raise ValueError(f"{name} must be positive (inf when rigid), not {getattr(self, name)}")
