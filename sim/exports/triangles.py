"""A solid's triangles as files: binary STL, and 3MF by its core specification 1.3 (OPC package with one model), mm."""

from __future__ import annotations

import struct
from xml.sax.saxutils import escape

import numpy as np
import trimesh

from sim.exports.zipped import zipped

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
)
_RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="rel0" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>\n'
)
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def stl(solid: trimesh.Trimesh, head: str) -> bytes:
    """Return a solid as binary STL, mm; STL states no unit, so its head (79 characters of ASCII at most) does."""
    begin = head.encode("ascii")
    if len(begin) >= 80 or begin.startswith(b"solid"):
        raise ValueError(
            f"head of a binary STL must be under 80 bytes and not begin with 'solid', found {head!r}"
        )
    facets = np.zeros(len(solid.faces), dtype=_FACET)
    facets["normal"] = solid.face_normals
    facets["corners"] = solid.triangles
    return begin.ljust(80, b" ") + struct.pack("<I", len(facets)) + facets.tobytes()


def three_mf(solid: trimesh.Trimesh, name: str) -> bytes:
    """Return a solid as 3MF, its unit millimetre stated; the same solid gives the same bytes."""
    corners = "".join(f'<vertex x="{x:.9g}" y="{y:.9g}" z="{z:.9g}"/>' for x, y, z in solid.vertices.tolist())
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in solid.faces.tolist())
    shown = escape(name, {'"': "&quot;"})
    model = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<model unit="millimeter" xml:lang="en" xmlns="{_CORE}"><metadata name="Title">{shown}</metadata>'
        '<metadata name="Description">not released</metadata>'
        f'<resources><object id="1" type="model" name="{shown}"><mesh><vertices>{corners}</vertices>'
        f'<triangles>{faces}</triangles></mesh></object></resources><build><item objectid="1"/></build></model>\n'
    )
    return zipped(
        {
            "[Content_Types].xml": _TYPES.encode(),
            "_rels/.rels": _RELATIONS.encode(),
            "3D/3dmodel.model": model.encode(),
        }
    )
