"""A STEP file (ISO 10303-21, AP214) of a body of revolution, written from its half section as a CAD program exports it.

Entities as in ISO 10303-42; a reader of another hand (Open CASCADE, by cascadio) knows them. Each straight edge of the
half section becomes a plane, a cylinder or a cone, each arc (by its bulge, the tangent of a quarter of its turn) a
torus; every face is bounded by circles and its seam.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

Corner = tuple[float, float, float]  # r, z, bulge of the edge that begins there
_HEAD = (
    "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('part.step','',(''),(''),'','','');\n"
    "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n"
)


def turned_step(
    sections: Sequence[Sequence[Corner]],
    *,
    unit: str = "mm",
    origin: Sequence[float] = (0.0, 0.0, 0.0),
    axis: Sequence[float] = (0.0, 0.0, 1.0),
) -> bytes:
    """Return the file: one solid a half section, counter-clockwise in (r, z), its corners off the axis."""
    file = _File(np.asarray(origin, dtype=float), np.asarray(axis, dtype=float) / np.linalg.norm(axis))
    solids = [file.solid(section) for section in sections]
    file.product(solids, file.unit(unit))
    return (_HEAD + "\n".join(file.lines) + "\nENDSEC;\nEND-ISO-10303-21;\n").encode()


def _real(value: float) -> str:
    return f"{value:.12E}"


class _File:
    def __init__(self, base: Any, z: Any) -> None:
        self.lines: list[str] = []
        self.base, self.z = base, z
        x = np.cross(z, (0.0, 1.0, 0.0) if abs(z[1]) < 0.9 else (1.0, 0.0, 0.0))
        self.x = x / np.linalg.norm(x)

    def add(self, text: str) -> str:
        self.lines.append(f"#{len(self.lines) + 1}={text};")
        return f"#{len(self.lines)}"

    def point(self, r: float, h: float) -> str:
        where = self.base + r * self.x + h * self.z
        return self.add(f"CARTESIAN_POINT('',({','.join(_real(v) for v in where)}))")

    def direction(self, vector: Any) -> str:
        return self.add(f"DIRECTION('',({','.join(_real(v) for v in vector)}))")

    def placement(self, h: float, r: float = 0.0, axis: Any = None) -> str:
        up = self.direction(self.z if axis is None else axis)
        return self.add(f"AXIS2_PLACEMENT_3D('',{self.point(r, h)},{up},{self.direction(self.x)})")

    def loop(self, *edges: tuple[str, str]) -> str:
        used = ",".join(self.add(f"ORIENTED_EDGE('',*,*,{edge},{way})") for edge, way in edges)
        return self.add(f"EDGE_LOOP('',({used}))")

    def solid(self, section: Sequence[Corner]) -> str:
        vertices = [self.add(f"VERTEX_POINT('',{self.point(r, h)})") for r, h, _ in section]
        rings = []
        for (r, h, _), vertex in zip(section, vertices, strict=True):
            circle = self.add(f"CIRCLE('',{self.placement(h)},{_real(r)})")
            rings.append(self.add(f"EDGE_CURVE('',{vertex},{vertex},{circle},.T.)"))
        faces = []
        for n, begin in enumerate(section):
            m = (n + 1) % len(section)
            faces.append(
                self.face(begin, section[m], (rings[n], rings[m]), (vertices[n], vertices[m])),
            )
        shell = self.add(f"CLOSED_SHELL('',({','.join(faces)}))")
        return self.add(f"MANIFOLD_SOLID_BREP('',{shell})")

    def face(self, begin: Corner, end: Corner, rings: tuple[str, str], vertices: tuple[str, str]) -> str:
        # Outward is to the right of a counter-clockwise half section.
        if begin[2] == 0.0 and begin[1] == end[1]:
            surface = self.add(f"PLANE('',{self.placement(begin[1])})")
            loops = [self.loop((rings[0], ".T.")), self.loop((rings[1], ".F."))]
            bounds = ",".join(self.add(f"FACE_BOUND('',{one},.T.)") for one in loops)
            return self.add(f"ADVANCED_FACE('',({bounds}),{surface},{'.T.' if end[0] < begin[0] else '.F.'})")
        surface, seam, same = self.straight(begin, end) if begin[2] == 0.0 else self.round(begin, end)
        side = self.add(f"EDGE_CURVE('',{vertices[0]},{vertices[1]},{seam},.T.)")
        around = self.loop((rings[0], ".T."), (side, ".T."), (rings[1], ".F."), (side, ".F."))
        bound = self.add(f"FACE_OUTER_BOUND('',{around},.T.)")
        return self.add(f"ADVANCED_FACE('',({bound}),{surface},{same})")

    def straight(self, begin: Corner, end: Corner) -> tuple[str, str, str]:
        (r0, h0, _), (r1, h1, _) = begin, end
        along = self.direction(((r1 - r0) * self.x + (h1 - h0) * self.z) / math.hypot(r1 - r0, h1 - h0))
        vector = self.add(f"VECTOR('',{along},1.)")
        seam = self.add(f"LINE('',{self.point(r0, h0)},{vector})")
        if r0 == r1:
            surface = self.add(f"CYLINDRICAL_SURFACE('',{self.placement(h0)},{_real(r0)})")
        else:
            half = math.atan((r1 - r0) / (h1 - h0))
            spot = self.placement(h0, axis=self.z if half > 0.0 else -self.z)
            surface = self.add(f"CONICAL_SURFACE('',{spot},{_real(r0)},{_real(abs(half))})")
        return surface, seam, ".T." if h1 > h0 else ".F."

    def round(self, begin: Corner, end: Corner) -> tuple[str, str, str]:
        (r0, h0, bulge), (r1, h1, _) = begin, end
        off = (1.0 - bulge**2) / (4.0 * bulge)
        cr, ch = 0.5 * (r0 + r1) - off * (h1 - h0), 0.5 * (h0 + h1) + off * (r1 - r0)
        minor = math.hypot(r0 - cr, h0 - ch)
        normal = np.cross(self.x, self.z) * (1.0 if bulge > 0.0 else -1.0)
        seam = self.add(f"CIRCLE('',{self.placement(ch, cr, normal)},{_real(minor)})")
        surface = self.add(f"TOROIDAL_SURFACE('',{self.placement(ch)},{_real(cr)},{_real(minor)})")
        return surface, seam, ".T." if bulge > 0.0 else ".F."

    def unit(self, name: str) -> str:
        if name == "m":
            return self.add("(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.))")
        millimetre = self.add("(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))")
        if name == "mm":
            return millimetre
        factor = self.add(f"LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),{millimetre})")
        exponents = self.add("DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)")
        return self.add(f"(CONVERSION_BASED_UNIT('INCH',{factor}) LENGTH_UNIT() NAMED_UNIT({exponents}))")

    def product(self, solids: Sequence[str], length: str) -> None:
        add = self.add
        angle = add("(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))")
        solid_angle = add("(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())")
        close = add(f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-5),{length},'','')")
        context = add(
            f"(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({close})) "
            f"GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{solid_angle})) REPRESENTATION_CONTEXT('',''))"
        )
        zero = add("CARTESIAN_POINT('',(0.,0.,0.))")
        up, right = add("DIRECTION('',(0.,0.,1.))"), add("DIRECTION('',(1.,0.,0.))")
        where = add(f"AXIS2_PLACEMENT_3D('',{zero},{up},{right})")
        shape = add(f"ADVANCED_BREP_SHAPE_REPRESENTATION('',({where},{','.join(solids)}),{context})")
        application = add("APPLICATION_CONTEXT('automotive design')")
        mechanical = add(f"PRODUCT_CONTEXT('',{application},'mechanical')")
        product = add(f"PRODUCT('part','part','',({mechanical}))")
        formation = add(f"PRODUCT_DEFINITION_FORMATION('','',{product})")
        design = add(f"PRODUCT_DEFINITION_CONTEXT('',{application},'design')")
        definition = add(f"PRODUCT_DEFINITION('','',{formation},{design})")
        named = add(f"PRODUCT_DEFINITION_SHAPE('','',{definition})")
        add(f"SHAPE_DEFINITION_REPRESENTATION({named},{shape})")
