"""A STEP file (ISO 10303-21, AP214) of any closed mesh, each triangle a plane face, and a flange with lugs to put in.

Entities as in ISO 10303-42: a faceted boundary representation of poly loops. A reader of another hand (Open CASCADE,
by cascadio) finds the same body in it.
"""

from __future__ import annotations

import numpy as np
import trimesh

SIDES = 240  # of a circle: chords of a circle of 60 mm leave it by 5 um
_HEAD = (
    "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('part.step','',(''),(''),'','','');\n"
    "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n"
)


def faceted_step(mesh: trimesh.Trimesh) -> bytes:
    """Return the file of a watertight mesh, its coordinates in mm."""
    lines: list[str] = []

    def add(text: str) -> str:
        lines.append(f"#{len(lines) + 1}={text};")
        return f"#{len(lines)}"

    points = [
        add(f"CARTESIAN_POINT('',({','.join(f'{v:.9E}' for v in corner)}))") for corner in mesh.vertices
    ]
    faces = []
    for corners, normal in zip(mesh.faces, mesh.face_normals, strict=True):
        loop = add(f"POLY_LOOP('',({','.join(points[k] for k in corners)}))")
        bound = add(f"FACE_OUTER_BOUND('',{loop},.T.)")
        along = mesh.vertices[corners[1]] - mesh.vertices[corners[0]]
        ways = [add(f"DIRECTION('',({','.join(f'{v:.9E}' for v in way)}))") for way in (normal, along)]
        place = add(f"AXIS2_PLACEMENT_3D('',{points[corners[0]]},{','.join(ways)})")
        plane = add(f"PLANE('',{place})")
        faces.append(add(f"FACE_SURFACE('',({bound}),{plane},.T.)"))
    shell = add(f"CLOSED_SHELL('',({','.join(faces)}))")
    solid = add(f"FACETED_BREP('',{shell})")
    length = add("(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))")
    angle = add("(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))")
    solid_angle = add("(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())")
    close = add(f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-5),{length},'','')")
    context = add(
        f"(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({close})) "
        f"GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{solid_angle})) REPRESENTATION_CONTEXT('',''))"
    )
    zero, up, right = (
        add("CARTESIAN_POINT('',(0.,0.,0.))"), add("DIRECTION('',(0.,0.,1.))"), add("DIRECTION('',(1.,0.,0.))"),
    )  # fmt: skip
    place = add(f"AXIS2_PLACEMENT_3D('',{zero},{up},{right})")
    shape = add(f"FACETED_BREP_SHAPE_REPRESENTATION('',({place},{solid}),{context})")
    application = add("APPLICATION_CONTEXT('automotive design')")
    add(f"APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,{application})")
    discipline = add(f"PRODUCT_CONTEXT('',{application},'mechanical')")
    product = add(f"PRODUCT('part','part','',({discipline}))")
    formed = add(f"PRODUCT_DEFINITION_FORMATION('','',{product})")
    design = add(f"PRODUCT_DEFINITION_CONTEXT('part definition',{application},'design')")
    definition = add(f"PRODUCT_DEFINITION('design','',{formed},{design})")
    defined = add(f"PRODUCT_DEFINITION_SHAPE('','',{definition})")
    add(f"SHAPE_DEFINITION_REPRESENTATION({defined},{shape})")
    return (_HEAD + "\n".join(lines) + "\nENDSEC;\nEND-ISO-10303-21;\n").encode()


def flange_with_lugs() -> trimesh.Trimesh:
    """Return a hub of 100 x 30 mm under a flange of 130 x 14 mm with three lugs, bored 36 mm; z along its axis, mm."""
    section = [(18.0, 0.0), (49.5, 0.0), (50.0, 0.5), (50.0, 30.0), (65.0, 30.0), (65.0, 44.0), (18.0, 44.0)]
    turned = trimesh.creation.revolve(np.array([*section, section[0]]), sections=SIDES)
    lugs = []
    for k in range(3):
        lug = trimesh.creation.box((24.0, 22.0, 14.0))
        lug.apply_translation((68.0, 0.0, 37.0))
        lug.apply_transform(trimesh.transformations.rotation_matrix(2.0 * np.pi * k / 3.0, (0, 0, 1)))
        lugs.append(lug)
    return trimesh.boolean.union([turned, *lugs], engine="manifold")
