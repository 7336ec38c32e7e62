"""A solid as a STEP file: exchange structure of ISO 10303-21, boundary representation of ISO 10303-42, AP214, mm.

Faces are planes, cylinders and cones, edges lines, circles and hyperbolas, all exact.
"""

from __future__ import annotations

import math
from datetime import date
from itertools import pairwise

from meshes.points import Point, Vector
from sim.exports.faces import Corner, Edge, Face, Loop, Surface
from sim.exports.jaw_sheets import Cone, Level
from sim.exports.plan_curves import SAME, Cells, Round, Straight

UP: Vector = (0.0, 0.0, 1.0)
UNCERTAINTY = 1e-5  # mm within which two points are one
_STEPS = 24  # to a border, for which of a face's borders is the outer one


def step(faces: tuple[Face, ...], cells: Cells, name: str, day: date) -> bytes:
    """Return the STEP file of a solid.

    Parameters
    ----------
    faces : tuple of Face
        They bound the solid.
    cells : Cells
        Of the plan over which they stand.
    name : str
        Of the product, plain ASCII without quotes.
    day : date
        For the head of the file.
    """
    if not name.isascii() or not name.isprintable() or {"'", "\\"} & set(name):
        raise ValueError(f"a product's name must be plain ASCII without quotes, found {name!r}")
    records = _Records(cells)
    shell = records.add(f"CLOSED_SHELL('',({','.join(records.face(face) for face in faces)}))")
    records.product(records.add(f"MANIFOLD_SOLID_BREP('{name}',{shell})"), name)
    head = (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION(('{name}, lengths in mm, not released'),'2;1');\n"
        f"FILE_NAME('{name}','{day.isoformat()}T00:00:00',(''),(''),'chuckscene','chuckscene','');\n"
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n"
    )
    lines = (f"#{number}={text};\n" for number, text in enumerate(records.texts, start=1))
    return (head + "".join(lines) + "ENDSEC;\nEND-ISO-10303-21;\n").encode("ascii")


class _Records:
    """Numbered records of a file; the same record is written once."""

    def __init__(self, cells: Cells) -> None:
        self.cells = cells
        self.texts: list[str] = []
        self._known: dict[str, str] = {}

    def add(self, text: str) -> str:
        """Add a record, unless it is there, and return its name."""
        if text not in self._known:
            self.texts.append(text)
            self._known[text] = f"#{len(self.texts)}"
        return self._known[text]

    def product(self, solid: str, name: str) -> None:
        """Add what makes a product of a solid, with its units."""
        add = self.add
        length = add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))")
        angle = add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))")
        sphere = add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())")
        within = add(
            f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({_real(UNCERTAINTY)}),{length},'distance_accuracy_value','')"
        )
        context = add(
            "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT("
            f"({within}))GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{sphere}))REPRESENTATION_CONTEXT('',''))"
        )
        frame = self._axes((0.0, 0.0, 0.0), UP, (1.0, 0.0, 0.0))
        shape = add(f"ADVANCED_BREP_SHAPE_REPRESENTATION('{name}',({frame},{solid}),{context})")
        application = add("APPLICATION_CONTEXT('core data for automotive mechanical design processes')")
        add(
            "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2001,"
            f"{application})"
        )
        about = add(f"PRODUCT_CONTEXT('',{application},'mechanical')")
        product = add(f"PRODUCT('{name}','{name}','',({about}))")
        add(f"PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,({product}))")
        formation = add(f"PRODUCT_DEFINITION_FORMATION('','',{product})")
        design = add(f"PRODUCT_DEFINITION_CONTEXT('part definition',{application},'design')")
        definition = add(f"PRODUCT_DEFINITION('design','',{formation},{design})")
        defined = add(f"PRODUCT_DEFINITION_SHAPE('','',{definition})")
        add(f"SHAPE_DEFINITION_REPRESENTATION({defined},{shape})")

    def face(self, face: Face) -> str:
        """Add a face and return its name."""
        outer = max(face.loops, key=lambda loop: abs(self._size(loop, face.surface)))
        bounds = []
        for loop in face.loops:
            ways = ",".join(
                self.add(f"ORIENTED_EDGE('',*,*,{self._edge(edge)},{_flag(forward)})")
                for edge, forward in loop
            )
            name = "FACE_OUTER_BOUND" if loop is outer else "FACE_BOUND"
            border = self.add(f"EDGE_LOOP('',({ways}))")
            bounds.append(self.add(f"{name}('',{border},.T.)"))
        lies_on = self._surface(face.surface)
        return self.add(f"ADVANCED_FACE('',({','.join(bounds)}),{lies_on},{_flag(face.surface.outward)})")

    def _surface(self, surface: Surface) -> str:
        sheet = surface.sheet
        if isinstance(sheet, Level):
            return self.add(f"PLANE('',{self._axes((0.0, 0.0, sheet.z), UP, (1.0, 0.0, 0.0))})")
        if isinstance(sheet, Cone):
            # It counts from a circle of 1 mm, from where it gets wider along its axis.
            way = math.copysign(1.0, sheet.rise)
            x, y = sheet.centre
            place = self._axes((x, y, sheet.apex + sheet.rise), (0.0, 0.0, way), (1.0, 0.0, 0.0))
            return self.add(
                f"CONICAL_SURFACE('',{place},{_real(1.0)},{_real(math.atan(1.0 / abs(sheet.rise)))})"
            )
        if surface.curve is None:
            raise ValueError("a face lies on a sheet or stands over a curve")
        curve = self.cells.curves[surface.curve]
        if isinstance(curve, Round):
            place = self._axes((*curve.centre, 0.0), UP, (1.0, 0.0, 0.0))
            return self.add(f"CYLINDRICAL_SURFACE('',{place},{_real(curve.radius)})")
        heading = curve.heading(0.0)
        left = -math.sin(heading), math.cos(heading), 0.0
        place = self._axes((*curve.start, 0.0), left, (math.cos(heading), math.sin(heading), 0.0))
        return self.add(f"PLANE('',{place})")

    def _edge(self, edge: Edge) -> str:
        ends = [self.add(f"VERTEX_POINT('',{self._point(self._at(c))})") for c in (edge.start, edge.end)]
        return self.add(f"EDGE_CURVE('',{ends[0]},{ends[1]},{self._curve(edge)},.T.)")

    def _curve(self, edge: Edge) -> str:
        curve = None if edge.curve is None else self.cells.curves[edge.curve]
        if isinstance(curve, Round) and isinstance(edge.sheet, Level):
            place = self._axes((*curve.centre, edge.sheet.z), UP, (1.0, 0.0, 0.0))
            return self.add(f"CIRCLE('',{place},{_real(curve.radius)})")
        if isinstance(curve, Straight) and isinstance(edge.sheet, Cone):
            off = _off(curve, edge.sheet.centre)
            if off > SAME:
                return self._hyperbola(curve, edge.sheet, off)
        start, end = self._at(edge.start), self._at(edge.end)
        length = math.dist(start, end)
        along = self._direction(
            ((end[0] - start[0]) / length, (end[1] - start[1]) / length, (end[2] - start[2]) / length)
        )
        vector = self.add(f"VECTOR('',{along},{_real(1.0)})")
        return self.add(f"LINE('',{self._point(start)},{vector})")

    def _hyperbola(self, line: Straight, cone: Cone, off: float) -> str:
        """Add where an upright plane so far (mm) from its axis cuts a cone: z = apex + rise sqrt(off^2 + t^2)."""
        heading = line.heading(0.0)
        u = math.cos(heading), math.sin(heading)
        along = (cone.centre[0] - line.start[0]) * u[0] + (cone.centre[1] - line.start[1]) * u[1]
        foot = line.start[0] + along * u[0], line.start[1] + along * u[1], cone.apex
        way = math.copysign(1.0, cone.rise)
        # x of its own frame up or down, y along the line, so its axis is x cross y.
        place = self._axes(foot, (-way * u[1], way * u[0], 0.0), (0.0, 0.0, way))
        return self.add(f"HYPERBOLA('',{place},{_real(abs(cone.rise) * off)},{_real(off)})")

    def _at(self, corner: Corner) -> Vector:
        x, y = self.cells.points[corner[0]]
        return x, y, corner[1]

    def _axes(self, place: Vector, axis: Vector, reference: Vector) -> str:
        return self.add(
            f"AXIS2_PLACEMENT_3D('',{self._point(place)},{self._direction(axis)},{self._direction(reference)})"
        )

    def _point(self, at: Vector) -> str:
        return self.add(f"CARTESIAN_POINT('',({','.join(map(_real, at))}))")

    def _direction(self, way: Vector) -> str:
        return self.add(f"DIRECTION('',({','.join(map(_real, way))}))")

    def _size(self, loop: Loop, surface: Surface) -> float:
        """Return the area in a border, by the angle about the axis and the height on what is round."""
        points: list[Point] = []
        curve = None if surface.curve is None else self.cells.curves[surface.curve]
        turn = 0.0
        for edge, forward in loop:
            for x, y, z in self._along(edge, forward=forward):
                if isinstance(surface.sheet, Level):
                    points.append((x, y))
                elif isinstance(curve, Straight):
                    points.append((math.dist((x, y), curve.start), z))
                else:
                    axis = surface.sheet.centre if isinstance(surface.sheet, Cone) else _centre(curve)
                    now = math.atan2(y - axis[1], x - axis[0])
                    turn += math.remainder(now - turn, 2.0 * math.pi)
                    points.append((turn, z))
        return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]]))

    def _along(self, edge: Edge, *, forward: bool) -> list[Vector]:
        if edge.curve is None or edge.sheet is None:
            found = [self._at(edge.start)]
            return found if forward else [self._at(edge.end)]
        curve = self.cells.curves[edge.curve]
        low, high = (edge.low, edge.high) if forward else (edge.high, edge.low)
        plan = [curve.at(low + (high - low) * n / _STEPS) for n in range(_STEPS)]
        return [(*point, edge.sheet.over(point)) for point in plan]


def _centre(curve: Straight | Round | None) -> Point:
    if not isinstance(curve, Round):
        raise TypeError("only what is round has an axis")
    return curve.centre


def _off(line: Straight, point: Point) -> float:
    dx, dy = line.end[0] - line.start[0], line.end[1] - line.start[1]
    return abs(dx * (point[1] - line.start[1]) - dy * (point[0] - line.start[0])) / line.length


def _flag(yes: bool) -> str:  # noqa: FBT001  it is the value that is written
    return ".T." if yes else ".F."


def _real(value: float) -> str:
    """Return a number as ISO 10303-21 wants it: always with a point."""
    text = f"{value + 0.0:.15G}"
    mantissa, exponent, power = text.partition("E")
    return f"{mantissa if '.' in mantissa else mantissa + '.'}{exponent}{power}"
