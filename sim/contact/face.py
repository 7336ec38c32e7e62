"""The face of a jaw as a grid of strips (around) and bands (along z), and its gap before clamping.

Angles are taken about the spindle axis, which is the axis of the part before it shifts, off the middle of
each jaw. Jaw i stands at 120 deg * i. Everything is analytic: no facet of a mesh enters.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from sim.base.arrays import Floats

JAW_ANGLES_RAD: tuple[float, float, float] = (0.0, 2.0 * math.pi / 3.0, 4.0 * math.pi / 3.0)


def frozen_array(values: object) -> Floats:
    """Return a read-only copy of `values` as float64."""
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


@dataclass(frozen=True, slots=True)
class Lobe:
    """One harmonic of the part's out-of-round: radius + amplitude * cos(order * (theta - phase)).

    Attributes
    ----------
    order : int
        Waves over one turn, 2 or more (0 is the radius, 1 an offset: neither is out of round).
    amplitude_mm : float
        Half the peak-to-valley of this harmonic.
    phase_rad : float
        Angle from jaw 1 at which the part is largest.
    """

    order: int
    amplitude_mm: float
    phase_rad: float = 0.0

    def __post_init__(self) -> None:
        if self.order < 2:
            raise ValueError(f"order of an out-of-round harmonic must be 2 or more, not {self.order}")


@dataclass(frozen=True, slots=True)
class GripGeometry:
    """Bored jaw face and gripped surface of the part, in mm and radians, chuck frame.

    Attributes
    ----------
    bore_radius_mm : float
        Radius Rb the jaw faces are turned to, at the middle of the gripped height.
    part_radius_mm : float
        Radius Rp of the gripped surface of the part, at the middle of the gripped height.
    width_mm : float
        Tangential width of the jaw.
    z_low_mm, z_high_mm : float
        Ends of the height over which jaw face and part meet.
    edge_chamfer_mm : float
        Leg of the chamfer (measured tangentially) on both vertical edges of the face.
    edge_back_mm : float or None
        The chamfer's other leg, along the jaw; None: as the first, 0: the face ends in a flat front.
    inside : bool
        True when the jaws press outward into a bore of the part.
    jaw_taper : float
        Change of the bored radius per mm of z (bell-mouth positive outside).
    part_taper : float
        Change of the part's radius per mm of z.
    lobes : tuple of Lobe
        Out-of-round of the gripped surface.
    jaw_offsets_mm : tuple of float
        Per jaw, how far it stands too far from the part (one serration off, a worn jaw).
    """

    bore_radius_mm: float
    part_radius_mm: float
    width_mm: float
    z_low_mm: float
    z_high_mm: float
    edge_chamfer_mm: float = 0.0
    edge_back_mm: float | None = None
    inside: bool = False
    jaw_taper: float = 0.0
    part_taper: float = 0.0
    lobes: tuple[Lobe, ...] = ()
    jaw_offsets_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def __post_init__(self) -> None:
        for name in ("bore_radius_mm", "part_radius_mm", "width_mm"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0.0):
                raise ValueError(f"{name} must be positive and finite, not {value}")
        if not self.z_low_mm < self.z_high_mm:
            raise ValueError(f"z_low_mm must lie below z_high_mm, not {self.z_low_mm} and {self.z_high_mm}")
        if not 0.0 <= self.edge_chamfer_mm < 0.5 * self.width_mm:
            raise ValueError(f"edge_chamfer_mm must be 0 to half the width, not {self.edge_chamfer_mm}")
        if self.edge_back_mm is not None and not 0.0 <= self.edge_back_mm < math.inf:
            raise ValueError(f"edge_back_mm must be 0 or more, not {self.edge_back_mm}")
        if self.half_chord_mm >= math.sin(math.pi / 3.0) * min(self.bore_radius_mm, self.part_radius_mm):
            raise ValueError(
                f"half the face, {self.half_chord_mm} mm, must span less than 60 deg of the part's radius, "
                f"{self.part_radius_mm} mm"
            )

    @property
    def half_chord_mm(self) -> float:
        """Half the chord of the bored arc between its edge chamfers, mm."""
        return 0.5 * self.width_mm - self.edge_chamfer_mm

    @property
    def half_angle_rad(self) -> float:
        """Half the arc of the part that faces one jaw, rad."""
        return math.asin(self.half_chord_mm / self.part_radius_mm)

    @property
    def z_middle_mm(self) -> float:
        """Middle of the gripped height, mm."""
        return 0.5 * (self.z_low_mm + self.z_high_mm)


@dataclass(frozen=True, slots=True, eq=False)
class FaceGrid:
    """Cells of one jaw face; the three faces are alike.

    Attributes
    ----------
    angle_edges_rad : (nt + 1,) array
        Edges of the strips, off the jaw's middle.
    height_edges_mm : (nz + 1,) array
        Edges of the bands.
    radius_mm : float
        Radius of the cylinder on which areas are measured (the part's).
    inside : bool
        Direction of gripping.
    """

    angle_edges_rad: Floats
    height_edges_mm: Floats
    radius_mm: float
    inside: bool = False
    angles_rad: Floats = field(init=False)
    heights_mm: Floats = field(init=False)
    areas_mm2: Floats = field(init=False)

    def __post_init__(self) -> None:
        for name in ("angle_edges_rad", "height_edges_mm"):
            edges = frozen_array(getattr(self, name))
            if edges.ndim != 1 or edges.size < 2 or not np.all(np.diff(edges) > 0.0):
                raise ValueError(
                    f"{name} must be a rising row of at least two values, not shape {edges.shape}"
                )
            object.__setattr__(self, name, edges)
        spans, heights = np.diff(self.angle_edges_rad), np.diff(self.height_edges_mm)
        middles = 0.5 * (self.angle_edges_rad[1:] + self.angle_edges_rad[:-1])
        object.__setattr__(self, "angles_rad", frozen_array(middles))
        middles = 0.5 * (self.height_edges_mm[1:] + self.height_edges_mm[:-1])
        object.__setattr__(self, "heights_mm", frozen_array(middles))
        object.__setattr__(self, "areas_mm2", frozen_array(self.radius_mm * np.outer(heights, spans)))

    @property
    def shape(self) -> tuple[int, int]:
        """Bands and strips (nz, nt)."""
        return self.heights_mm.size, self.angles_rad.size

    @property
    def sign(self) -> float:
        """+1 outside gripping, -1 inside: the part's outward normal in units of the radial direction."""
        return -1.0 if self.inside else 1.0


def refined_edges(low: float, high: float, count: int, evenness: float) -> Floats:
    """Divide low..high into `count` pieces that shrink towards both ends.

    Parameters
    ----------
    low, high, count : float, float, int
        Ends and number of pieces.
    evenness : float
        1 for equal pieces, 0 for the sine spacing that resolves a pressure growing like the inverse root of
        the distance from an edge.

    Returns
    -------
    (count + 1,) edges.
    """
    even = np.linspace(-1.0, 1.0, count + 1)
    place = evenness * even + (1.0 - evenness) * np.sin(0.5 * np.pi * even)
    edges = 0.5 * (low + high) + 0.5 * (high - low) * place
    edges[[0, -1]] = low, high
    return np.asarray(edges, dtype=np.float64)


def face_grid(grip: GripGeometry, strips: int = 28, bands: int = 10, evenness: float = 1.0) -> FaceGrid:
    """Divide a jaw face into `strips` around and `bands` along z.

    Parameters
    ----------
    grip : GripGeometry
        The face.
    strips, bands : int
        Numbers of cells, 1 or more.
    evenness : float
        See `refined_edges`.

    Returns
    -------
    FaceGrid with `shape` (bands, strips).
    """
    if strips < 1 or bands < 1:
        raise ValueError(f"strips and bands must be 1 or more, not {strips} and {bands}")
    half = grip.half_angle_rad
    return FaceGrid(
        refined_edges(-half, half, strips, evenness),
        refined_edges(grip.z_low_mm, grip.z_high_mm, bands, max(evenness, 0.5)),
        grip.part_radius_mm,
        grip.inside,
    )


def wall_distance(bore_radius_mm: float, offset_mm: float, angle_rad: Floats) -> Floats:
    """Distance of the bored wall from the spindle axis, mm.

    r(phi) = e cos phi + sqrt(Rb^2 - e^2 sin^2 phi), phi off the jaw's middle, e the bore's offset outward.
    """
    root = np.sqrt(bore_radius_mm**2 - (offset_mm * np.sin(angle_rad)) ** 2)
    return np.asarray(offset_mm * np.cos(angle_rad) + root, dtype=np.float64)


def part_radius(grip: GripGeometry, angle_rad: Floats, height_mm: Floats) -> Floats:
    """Radius of the gripped surface at angles about the spindle (from jaw 1) and heights z, mm."""
    radius = grip.part_radius_mm + grip.part_taper * (height_mm - grip.z_middle_mm)
    for lobe in grip.lobes:
        radius = radius + lobe.amplitude_mm * np.cos(lobe.order * (angle_rad - lobe.phase_rad))
    return np.asarray(radius, dtype=np.float64)


def _touch_offset(grip: GripGeometry, jaw: int, angle: Floats, height: Floats) -> Floats:
    """Offset e (common to the three jaws) at which each point of one jaw's face would touch, mm.

    A part's point at radius rho and angle phi lies on the bored circle when its distance from (e, 0) is Rb.
    """
    rho = part_radius(grip, angle + JAW_ANGLES_RAD[jaw], height)
    bore = grip.bore_radius_mm + grip.jaw_taper * (height - grip.z_middle_mm)
    stand_off = grip.jaw_offsets_mm[jaw]
    root = np.sqrt(bore**2 - (rho * np.sin(angle)) ** 2)
    return np.asarray(
        rho * np.cos(angle) - root + (stand_off if grip.inside else -stand_off), dtype=np.float64
    )


def _unlike_jaws(grip: GripGeometry) -> range:
    """Return the jaws before which the part stands in its own way: the first alone for a round part in equal jaws."""
    return range(3 if grip.lobes or len(set(grip.jaw_offsets_mm)) > 1 else 1)


def first_touch_offset(grip: GripGeometry, grid: FaceGrid) -> float:
    """Offset e of the jaws' bore centres at which the first point of any face touches the centred part, mm.

    Rp - Rb when the middles touch first, sqrt(Rp^2 - w^2/4) - sqrt(Rb^2 - w^2/4) when the edges do. Middles,
    edges and ends of all cells are looked at.
    """
    angles = np.unique(np.concatenate([grid.angle_edges_rad, grid.angles_rad, [0.0]]))
    heights = np.unique(np.concatenate([grid.height_edges_mm, grid.heights_mm]))
    angle, height = np.meshgrid(angles, heights)
    offsets = np.stack([_touch_offset(grip, jaw, angle, height) for jaw in _unlike_jaws(grip)])
    return float(offsets.min() if grip.inside else offsets.max())


def initial_gap(grip: GripGeometry, grid: FaceGrid, offset_mm: float) -> Floats:
    """Gap between each cell of the three faces and the centred part, mm, (3, nz, nt).

    Parameters
    ----------
    grip, grid : GripGeometry, FaceGrid
        The face and its cells.
    offset_mm : float
        Offset e of the jaws' bore centres outward along each jaw.

    Returns
    -------
    Distance along the radius, positive when open, at the middles of the cells.
    """
    angle, height = np.meshgrid(grid.angles_rad, grid.heights_mm)
    gaps = np.zeros((3, *grid.shape))
    for jaw in _unlike_jaws(grip):
        turn, stand_off = JAW_ANGLES_RAD[jaw], grip.jaw_offsets_mm[jaw]
        offset = offset_mm - stand_off if grip.inside else offset_mm + stand_off
        wall = wall_distance(grip.bore_radius_mm, offset, angle)
        wall = wall + grip.jaw_taper * (height - grip.z_middle_mm)
        gaps[jaw:] = grid.sign * (wall - part_radius(grip, angle + turn, height))
    return gaps
