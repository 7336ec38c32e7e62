"""Structured 20-node hexahedra over half a bored jaw, from its middle plane y = 0 to its side.

Rows run away from the bored face: first the ledge in front of it (where there is one), then arcs behind it as far
as a wider pocket in front of the gripped one reaches, then rows that straighten towards the end of the jaw, or turn
into the round end of a sector jaw, or lead past the flanks of a pointed one. Deep behind
the face, where short waves of pressure have faded, elements span two columns.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sim.base.arrays import Flags, Floats, Ints
from sim.contact.bodies import JawBlock, PointPlan, SectorPlan
from sim.contact.face import FaceGrid, GripGeometry, frozen_array

_GROWTH = 1.5  # growth of the rows away from the face
_ON = 1e-6  # mm by which a point may lie off a corner and still stand on it


@dataclass(frozen=True, slots=True, eq=False)
class JawMesh:
    """Corner nodes and present elements of half a jaw.

    Attributes
    ----------
    plan_mm : (rows + 1, columns + 1, 2) array
        x (radial) and y (tangential) of the corner lines.
    levels_mm : (layers + 1,) array
        z of the corner planes.
    present : (rows, layers) array
        Whether the elements of a row stand in a layer.
    face_row : int
        Number of the corner line that is the gripped face.
    columns_at : (columns + 1,) array of int
        Strip edges (counted from the middle) at the corner columns.
    coarse_row : int
        Number of the corner line behind which elements span two columns; the last one for none.
    """

    plan_mm: Floats
    levels_mm: Floats
    present: Flags
    face_row: int
    columns_at: Ints
    coarse_row: int

    def __post_init__(self) -> None:
        for name in ("plan_mm", "levels_mm"):
            object.__setattr__(self, name, frozen_array(getattr(self, name)))

    def column_edges(self, row: int) -> Ints:
        """Corner columns between which the elements of a row stand."""
        return _every(self.plan_mm.shape[1] - 1, 2 if row >= self.coarse_row else 1)


def graded(start: float, end: float, first: float, growth: float = _GROWTH) -> Floats:
    """Divide start..end into steps that begin near `first` at the start and grow; ends included."""
    length = abs(end - start)
    count, total, step = 0, 0.0, min(first, length)
    while total < length * (1.0 - 1e-9):
        total, step, count = total + step, step * growth, count + 1
    weights = growth ** np.arange(count)
    # An over-long last step is shared by all.
    return np.asarray(start + (end - start) * np.concatenate([[0.0], np.cumsum(weights)]) / weights.sum())


def layered(start: float, end: float, first: float, growth: float = _GROWTH) -> Floats:
    """Divide start..end into two steps or more, the first as long as `first` or less, that change without a jump.

    As `graded`, but one more step joins at the far end, from no length on, while those before it stay: an over-long
    last step is not shared. What lies next to the face, whose edges are singular, decides the pressures there, so these
    are smooth in a pocket's depth.
    """
    length, way = abs(end - start), 1.0 if end > start else -1.0
    steps = [first, growth * first]
    if length <= sum(steps):
        steps = [length / (1.0 + growth), growth * length / (1.0 + growth)]
    while length - sum(steps) > 1e-6 * length:
        steps.append(min(growth * steps[-1], length - sum(steps)))
    return np.array([start, *(start + way * np.cumsum(steps[:-1])), end])


def _every(count: int, per_element: int) -> Ints:
    edges = list(range(0, count, per_element))
    return np.array([*edges, count], dtype=np.int64)


def _levels(grip: GripGeometry, grid: FaceGrid, jaw: JawBlock, per_element: int) -> Floats:
    """Heights of the corner planes: seat, ledge, bands of the face, front pocket, top."""
    bands = grid.height_edges_mm[_every(grid.shape[0], per_element)]
    size = float(np.diff(bands).max())
    stops = [0.0, jaw.ledge_z_mm, jaw.height_mm]
    if jaw.front_z_mm is not None:
        stops.append(jaw.front_z_mm)
    below = sorted({z for z in stops if z < grip.z_low_mm - 1e-6} | {grip.z_low_mm}, reverse=True)
    above = sorted({z for z in stops if z > grip.z_high_mm + 1e-6} | {grip.z_high_mm})
    levels = [bands]
    for run in (below, above):
        for near, far in pairwise(run):
            levels.append(layered(near, far, size)[1:])
    return np.unique(np.round(np.concatenate(levels), 9))


def _side_end(grip: GripGeometry, radius: float, angle: float) -> Floats:
    """Point at which the arc of a radius meets the jaw's side or front, or ends at the angle of the gripped arc."""
    half = 0.5 * grip.width_mm
    if grip.edge_back_mm is not None:
        front = np.sqrt(grip.bore_radius_mm**2 - grip.half_chord_mm**2)
        half = min(half, float(np.sqrt(radius**2 - front**2)))
    if radius > half:
        angle = max(angle, float(np.arcsin(half / radius)))
    return radius * np.array([np.cos(angle), np.sin(angle)])


def _front_end(grip: GripGeometry, jaw: JawBlock, radius: float, angle: float) -> Floats:
    """Point at which the arc of a wider pocket's radius ends, as of `_side_end`; of a narrowed jaw on its flank."""
    if jaw.sector is not None:
        at = jaw.sector.flank_angle(radius)
    elif jaw.point is not None:
        at = jaw.point.edge_angle(radius)
    else:
        return _side_end(grip, radius, angle)
    return radius * np.array([np.cos(at), np.sin(at)])


def _arc(radius: float, share: Floats, end: Floats) -> Floats:
    """Points (len(share), 2) of an arc about the spindle axis from the middle plane to its end."""
    angle = share * np.arctan2(end[1], end[0])
    return radius * np.column_stack([np.cos(angle), np.sin(angle)])


def _straightened(
    arc: Floats, share: Floats, back: float, half: float, edge: float, first: float, growth: float
) -> Floats:
    """Rows (k, columns + 1, 2) from an arc to the straight end of the jaw.

    The arc and the side are joined by an edge that leads back by `edge`.
    """
    way = float(np.sign(back - arc[0, 0]))
    corner = arc[-1] + np.array([way * edge, half - arc[-1, 1]])
    side, last = _edge(arc[-1], corner, first, growth)
    rest = graded(float(side[-1, 0]), back, growth * last, growth)[1:]
    side = np.concatenate([side, np.column_stack([rest, np.full(rest.size, half)])])
    return _between(arc, share, side, np.column_stack([np.full(share.size, back), share * half]))


def _along_flanks(
    arc: Floats, share: Floats, sector: SectorPlan, way: float, edge: float, first: float, growth: float
) -> Floats:
    """Rows (k, columns + 1, 2) from an arc along a sector jaw's flanks to its round end, or to its flat inner one.

    The arc and the flank are joined by an edge that leads back by `edge`.
    """
    radius = float(np.hypot(*arc[-1])) + way * edge
    at = sector.flank_angle(radius)
    side, last = _edge(arc[-1], radius * np.array([np.cos(at), np.sin(at)]), first, growth)
    if way > 0.0:
        turns = share * sector.half_angle_rad
        top = sector.round_mm * np.column_stack([np.cos(turns), np.sin(turns)])
        top[:, 0] += sector.apex_mm
    else:
        tip = (sector.tip_mm - sector.apex_mm) * np.tan(sector.half_angle_rad)
        top = np.column_stack([np.full(share.size, sector.tip_mm), share * tip])
    flank = top[-1] - side[-1]
    walked = graded(0.0, float(np.linalg.norm(flank)), growth * last, growth)[1:]
    side = np.concatenate([side, side[-1] + walked[:, None] / np.linalg.norm(flank) * flank])
    return _between(arc, share, side, top)


def _past_flanks(
    arc: Floats, share: Floats, point: PointPlan, back: float, edge: float, first: float, growth: float
) -> Floats:
    """Rows (k, columns + 1, 2) from an arc along a pointed jaw's flanks to its outer end, or to its flat inner one.

    The arc and what it ends at are joined by an edge that leads back by `edge`.
    """
    if back > arc[0, 0]:
        radius = float(np.hypot(*arc[-1])) + edge
        at = point.edge_angle(radius)
        corners = [radius * np.array([np.cos(at), np.sin(at)])] if edge > 0.0 else []
        start = corners[-1] if corners else arc[-1]
        if start[0] < point.inner_mm + _ON and start[1] < point.tip_half_mm - _ON:
            corners.append(np.array([point.inner_mm, point.tip_half_mm]))
        if start[0] < point.wide_mm - _ON:
            corners.append(np.array([point.wide_mm, point.half_width_mm]))
        end = np.array([back, point.half_width_mm])
    else:
        corners = [np.array([arc[-1, 0] - edge, point.half_width_mm])]
        if corners[0][0] > point.wide_mm + _ON:
            corners.append(np.array([point.wide_mm, point.half_width_mm]))
        end = np.array([point.inner_mm, point.tip_half_mm])
    side, last = arc[-1:], first / growth
    for corner in [*corners, end]:
        leg, last = _edge(side[-1], corner, growth * last, growth)
        side = np.concatenate([side, leg[1:]])
    return _between(arc, share, side, np.column_stack([np.full(share.size, end[0]), share * end[1]]))


def _edge(arc_end: Floats, corner: Floats, first: float, growth: float) -> tuple[Floats, float]:
    """Points (k, 2) of the edge from an arc's end to a corner of the side, only the first if it is short; last step."""
    legs = float(np.linalg.norm(corner - arc_end))
    if legs <= 0.4 * first:
        return arc_end[None, :], first / growth
    steps = graded(0.0, 1.0, first / legs, growth)
    return arc_end + steps[:, None] * (corner - arc_end), legs * float(steps[-1] - steps[-2])


def _between(arc: Floats, share: Floats, side: Floats, top: Floats) -> Floats:
    """Rows (k, columns + 1, 2) between an arc and the jaw's end, its side's points given: transfinite interpolation."""
    back = float(top[0, 0])
    walked = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(side, axis=0), axis=1))])
    s = (walked / walked[-1])[:, None, None]
    t = share[None, :, None]
    middle = np.column_stack([arc[0, 0] + s[:, 0, 0] * (back - arc[0, 0]), np.zeros(len(side))])
    corners = (1 - s) * ((1 - t) * arc[0] + t * arc[-1]) + s * ((1 - t) * top[0] + t * top[-1])
    return np.asarray((1 - s) * arc + s * top + (1 - t) * middle[:, None] + t * side[:, None] - corners)


def _coarsened(plan: Floats, face_row: int, front_row: int) -> tuple[Floats, int]:
    """Return the plan with every second column straightened deep behind the face, and the corner line that begins it.

    It begins where the depth exceeds the width of two columns: waves too short for such elements have faded to
    exp(-2 pi) there.
    """
    wide = _every(plan.shape[1] - 1, 2)
    width = np.linalg.norm(np.diff(plan[face_row, wide], axis=0), axis=1).max()
    depth = np.abs(plan[:, 0, 0] - plan[face_row, 0, 0])
    deep = np.flatnonzero((depth >= width) & (np.arange(len(plan)) > front_row))
    if wide.size == plan.shape[1] or not deep.size:
        return plan, len(plan) - 1
    out, between = plan.copy(), np.setdiff1d(np.arange(plan.shape[1]), wide)
    out[deep[0] :, between] = 0.5 * (plan[deep[0] :, between - 1] + plan[deep[0] :, between + 1])
    return out, int(deep[0])


def jaw_angles(grip: GripGeometry, grid: FaceGrid) -> Floats:
    """Angles of the strips' edges about the axis of the bore, (nt + 1,), rad: same distance from the middle plane."""
    return np.asarray(np.arcsin(grid.radius_mm / grip.bore_radius_mm * np.sin(grid.angle_edges_rad)))


def jaw_mesh(
    grip: GripGeometry,
    grid: FaceGrid,
    jaw: JawBlock,
    per_element: tuple[int, int] = (2, 1),
    first_row_mm: float | None = None,
    growth: float = _GROWTH,
) -> JawMesh:
    """Divide half a bored jaw into hexahedra.

    Parameters
    ----------
    grip, grid : GripGeometry, FaceGrid
        The face and its cells; an even number of strips.
    jaw : JawBlock
        The block.
    per_element : tuple
        Strips and bands per element of the face. With 2 of both or 3 strips and more an element has too few
        nodes to tell the cells apart; the pressures then waver, by 1 % on a solid steel part in aluminium
        jaws with 3.

    Raises
    ------
    ValueError
        When the strips are odd in number or the jaw's end lies on the wrong side of its face.
    """
    way = -1.0 if grip.inside else 1.0
    radius = grip.bore_radius_mm
    if grid.shape[1] % 2:
        raise ValueError(f"strips must be even in number for the elastic jaw, not {grid.shape[1]}")
    if way * (jaw.back_radius_mm - radius) <= 0.0:
        raise ValueError(f"back_radius_mm {jaw.back_radius_mm} must lie behind the face at {radius}")
    half_strips = grid.shape[1] // 2
    at = _every(half_strips, per_element[0])
    edges = jaw_angles(grip, grid)[half_strips:][at]
    share, angle = edges / edges[-1], float(edges[-1])
    first = first_row_mm or 2.0 * radius * float(np.diff(edges).min())
    arc = _arc(radius, share, radius * np.array([np.cos(angle), np.sin(angle)]))
    rows: list[Floats] = []
    if jaw.ledge_radius_mm is not None and way * (radius - jaw.ledge_radius_mm) > 0.05 * first:
        out = graded(radius, jaw.ledge_radius_mm, first)[:0:-1]
        rows.extend(_arc(r, share, r * np.array([np.cos(angle), np.sin(angle)])) for r in out)
    face_row = len(rows)
    rows.append(arc)
    edge = grip.edge_chamfer_mm if grip.edge_back_mm is None else grip.edge_back_mm
    if jaw.front_z_mm is not None and jaw.front_radius_mm is not None:
        ahead = graded(radius, jaw.front_radius_mm, first)[1:]
        rows.extend(_arc(r, share, _front_end(grip, jaw, r, 0.0 if way > 0 else angle)) for r in ahead)
        edge = 0.0
    front_row = len(rows) - 1
    if jaw.point is not None:
        last = _past_flanks(rows[-1], share, jaw.point, jaw.back_radius_mm, edge, first, growth)
    elif jaw.sector is None:
        last = _straightened(rows[-1], share, jaw.back_radius_mm, 0.5 * grip.width_mm, edge, first, growth)
    else:
        last = _along_flanks(rows[-1], share, jaw.sector, way, edge, first, growth)
    rows.extend(last[1:])
    plan, coarse_row = _coarsened(np.stack(rows), face_row, front_row)
    levels = _levels(grip, grid, jaw, per_element[1])
    present = np.ones((len(rows) - 1, levels.size - 1), dtype=bool)
    present[:face_row, levels[1:] > jaw.ledge_z_mm + 1e-6] = False
    if jaw.front_z_mm is not None:
        present[face_row:front_row, levels[1:] > jaw.front_z_mm + 1e-6] = False
    return JawMesh(plan, levels, present, face_row, at, coarse_row)
