"""One closed outline out of a DXF file: lines, arcs, circles and polylines, as sides or, arcs in chords, as corners.

Of the open format only what makes an outline is read: pairs of a group code and a value, as text. What else could be
part of one (a spline, an ellipse, an inserted block) is refused; words, dimensions, hatches and points are passed over.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from meshes.points import Point
from meshes.sides import Arc, Line, Side
from sim.base.limits import DRAWN_CORNERS

MOST_POINTS = DRAWN_CORNERS.most
_TOO_MANY = f"must come to at most {MOST_POINTS} corners, with arcs in chords, found more"
SAG = 1e-3  # mm by which the chords of an arc may leave it
SAME = 0.01  # mm within which two ends are one
_TO_MM = {"mm": 1.0, "in": 25.4}
_HEADER_UNITS = {"1": "in", "4": "mm"}  # group 70 of $INSUNITS; other numbers leave it open
_PASSED_OVER = {"TEXT", "MTEXT", "DIMENSION", "HATCH", "POINT", "LEADER", "MULTILEADER", "ATTDEF", "VIEWPORT"}


@dataclass(slots=True)
class _Entity:
    """An entity: its kind and its pairs in their order; of an old polyline also its vertices."""

    kind: str
    pairs: list[tuple[int, str]] = field(default_factory=list)
    vertices: list[_Entity] = field(default_factory=list)

    def text(self, code: int, usual: str = "") -> str:
        return next((value for at, value in self.pairs if at == code), usual)

    def number(self, code: int, usual: float | None = None) -> float:
        for at, value in self.pairs:
            if at == code:
                return _finite(value)
        if usual is None:
            raise ValueError(f"has a {self.kind} without its group {code}")
        return usual


def closed_outline(data: bytes, unit: str, layer: str = "") -> list[Point]:
    """Return the corners of the one closed outline of a drawing, mm, in its own directions; first not repeated.

    Arcs are chords that leave them by `SAG`. Parameters and mistakes as of `closed_sides`.
    """
    ring = [point for side in closed_sides(data, unit, layer) for point in _points(side)[:-1]]
    if len(ring) > MOST_POINTS:
        raise ValueError(_TOO_MANY)
    thinned = [point for n, point in enumerate(ring) if n == 0 or point != ring[n - 1]]
    if len(thinned) < 3:
        raise ValueError("must hold one closed outline, found a line that goes back on itself")
    return thinned


def closed_sides(data: bytes, unit: str, layer: str = "") -> list[Side]:
    """Return the sides of the one closed outline of a drawing, mm, in its own directions; each begins where one ends.

    Parameters
    ----------
    data : bytes
        The file's.
    unit : str
        'mm' or 'in', of its coordinates; must be that of its header, if that names one.
    layer : str
        On which the outline is drawn; empty for all.

    Raises
    ------
    ValueError
        What is wrong, as a clause behind the file's name.
    """
    return _one_ring(_runs(data, unit, layer))


def _runs(data: bytes, unit: str, layer: str) -> list[list[Side]]:
    """Return what is drawn as runs of sides, mm.

    Raises
    ------
    ValueError
        What cannot be read, as a clause behind the file's name.
    """
    pairs = _pairs(data)
    _require_unit(pairs, unit)
    found: list[list[Side]] = []
    for entity in _entities(pairs):
        if entity.kind in _PASSED_OVER or (layer and entity.text(8) != layer):
            continue
        if entity.number(230, 1.0) != 1.0:
            raise ValueError(
                f"has a {entity.kind} that does not lie flat in the drawing (extrusion not 0, 0, 1)"
            )
        found.append([_scaled(side, _TO_MM[unit]) for side in _sides(entity)])
        if sum(len(run) for run in found) > MOST_POINTS:
            raise ValueError(_TOO_MANY)
    if not found:
        where = f" on layer '{layer}'" if layer else ""
        raise ValueError(f"must hold one closed outline, found no line{where}")
    return found


def _scaled(side: Side, scale: float) -> Side:
    start, end = (scale * side.start[0], scale * side.start[1]), (scale * side.end[0], scale * side.end[1])
    if isinstance(side, Line):
        return Line(start, end)
    return Arc(start, end, (scale * side.centre[0], scale * side.centre[1]), side.turn)


def _pairs(data: bytes) -> list[tuple[int, str]]:
    if b"\0" in data[:200]:
        raise ValueError("must be a DXF file as text, found a binary one")
    lines = data.decode("utf-8", errors="replace").removeprefix("\ufeff").splitlines()
    try:
        found = [(int(lines[n]), lines[n + 1].strip()) for n in range(0, len(lines) - 1, 2)]
    except ValueError:
        found = []
    if not found:
        raise ValueError("must be a DXF file: pairs of lines, a whole number and a value")
    return found


def _entities(pairs: list[tuple[int, str]]) -> Iterator[_Entity]:
    """Yield the entities of the drawing; an old polyline with its vertices."""
    section, whole = "", None
    for entity in _records(pairs):
        if entity.kind == "SECTION":
            section = entity.text(2)
        elif section != "ENTITIES" or entity.kind in ("ENDSEC", "EOF"):
            continue
        elif entity.kind == "VERTEX" and whole is not None:
            whole.vertices.append(entity)
        elif entity.kind == "SEQEND" and whole is not None:
            yield whole
            whole = None
        elif entity.kind == "POLYLINE":
            whole = entity
        else:
            yield entity


def _records(pairs: list[tuple[int, str]]) -> Iterator[_Entity]:
    """Yield what each pair of the group 0 begins, with the pairs behind it."""
    current = None
    for code, value in pairs:
        if code == 0:
            if current is not None:
                yield current
            current = _Entity(value)
        elif current is not None:
            current.pairs.append((code, value))
    if current is not None:
        yield current


def _require_unit(pairs: list[tuple[int, str]], unit: str) -> None:
    """Refuse a drawing whose header states another unit."""
    at = next((n for n, pair in enumerate(pairs) if pair == (9, "$INSUNITS")), len(pairs))
    told = _HEADER_UNITS.get(pairs[at + 1][1]) if at + 1 < len(pairs) else None
    if told is not None and told != unit:
        raise ValueError(f"says that it is drawn in {told}, and unit states {unit}")


def _sides(entity: _Entity) -> list[Side]:
    """Return an entity as a run of sides, in the drawing's unit."""
    if entity.kind == "LINE":
        return [Line((entity.number(10), entity.number(20)), (entity.number(11), entity.number(21)))]
    if entity.kind in ("ARC", "CIRCLE"):
        whole = entity.kind == "CIRCLE"
        first = 0.0 if whole else math.radians(entity.number(50))
        last = 2.0 * math.pi if whole else math.radians(entity.number(51))
        turn = 2.0 * math.pi if whole else (last - first) % (2.0 * math.pi)
        return [_arc((entity.number(10), entity.number(20)), entity.number(40), first, turn)]
    if entity.kind in ("LWPOLYLINE", "POLYLINE"):
        return _polyline(entity)
    raise ValueError(f"has a {entity.kind}: an outline must be drawn with lines, arcs, circles or polylines")


def _polyline(entity: _Entity) -> list[Side]:
    corners: list[list[float]] = []
    if entity.kind == "POLYLINE":
        corners = [[v.number(10), v.number(20), v.number(42, 0.0)] for v in entity.vertices]
    else:
        for code, value in entity.pairs:
            if code == 10:
                corners.append([_finite(value), 0.0, 0.0])
            elif code in (20, 42) and corners:
                corners[-1][1 if code == 20 else 2] = _finite(value)
    if len(corners) < 2:
        raise ValueError(f"has a {entity.kind} of less than two points")
    closed = int(entity.number(70, 0.0)) & 1
    found: list[Side] = []
    for n in range(len(corners) if closed else len(corners) - 1):
        (x0, y0, bulge), (x1, y1, _) = corners[n], corners[(n + 1) % len(corners)]
        if bulge != 0.0 and (x0, y0) != (x1, y1):
            found.append(_bulged((x0, y0), (x1, y1), bulge))
        else:
            found.append(Line((x0, y0), (x1, y1)))
        if len(found) > MOST_POINTS:
            raise ValueError(_TOO_MANY)
    return found


def _bulged(start: Point, end: Point, bulge: float) -> Arc:
    """Return an arc whose bulge is the tangent of a quarter of its turn, counter-clockwise if positive."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    off = (1.0 - bulge**2) / (4.0 * bulge)  # of the centre from the chord's middle, in chords, to its left
    centre = (0.5 * (start[0] + end[0]) - off * dy, 0.5 * (start[1] + end[1]) + off * dx)
    return Arc(start, end, centre, 4.0 * math.atan(bulge))


def _arc(centre: Point, radius: float, first: float, turn: float) -> Arc:
    if not radius > 0.0 or turn == 0.0:
        raise ValueError("has an arc without a radius or without a length")
    start, end = (
        (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in (first, first + turn)
    )
    return Arc(start, end, centre, turn)


def _points(side: Side) -> list[Point]:
    """Return a side as points, an arc in chords that leave it by `SAG`."""
    if isinstance(side, Line):
        return [side.start, side.end]
    step = 2.0 * math.acos(max(-1.0, 1.0 - SAG / side.radius)) if side.radius > SAG else math.pi / 2.0
    count = min(max(2, math.ceil(abs(side.turn) / step)), MOST_POINTS)
    return [side.start, *(side.at(k / count) for k in range(1, count)), side.end]


def _one_ring(runs: list[list[Side]]) -> list[Side]:
    """Return the closed ring that runs of sides make.

    Raises
    ------
    ValueError
        If they leave a gap, branch, or make more than one.
    """
    left = list(runs)
    ring = list(left.pop(0))
    while not _near(ring[0].start, ring[-1].end):
        at = ring[-1].end
        ends = [n for n, run in enumerate(left) if _near(at, run[0].start) or _near(at, run[-1].end)]
        if len(ends) != 1:
            what = "a gap" if not ends else "a branch"
            raise ValueError(
                f"must hold one closed outline, found {what} at {at[0]:.3f}, {at[1]:.3f} mm of the drawing"
            )
        run = left.pop(ends[0])
        ring += run if _near(at, run[0].start) else [reversed_side(side) for side in reversed(run)]
    if left:
        raise ValueError(
            f"must hold one closed outline, found {len(left)} line{'s' if len(left) > 1 else ''} beside it (state "
            "layer)"
        )
    return _joined(ring)


def reversed_side(side: Side) -> Side:
    """Return a side run through the other way."""
    if isinstance(side, Line):
        return Line(side.end, side.start)
    return Arc(side.end, side.start, side.centre, -side.turn)


def _joined(ring: list[Side]) -> list[Side]:
    """Return a ring whose sides meet exactly: lines give way, arcs stay; between two of these stands a short line."""
    found: list[Side] = []
    for n, side in enumerate(ring):
        before, after = ring[n - 1], ring[(n + 1) % len(ring)]
        if isinstance(side, Line):
            # Of two lines the one before keeps its end.
            end = after.start if isinstance(after, Arc) else side.end
            made = Line(before.end, end)
            found += [made] if made.length > 0.0 else []
        else:
            found.append(side)
            if isinstance(after, Arc) and math.dist(side.end, after.start) > 0.0:
                found.append(Line(side.end, after.start))
    return found


def _near(one: Point, other: Point) -> bool:
    return math.dist(one, other) <= SAME


def _finite(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"must have numbers as coordinates, found '{text[:20]}'") from None
    if not math.isfinite(value) or abs(value) > 1e6:
        raise ValueError(f"must have coordinates under 1000 m, found '{text[:20]}'")
    return value
