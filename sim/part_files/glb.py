"""What a GLB file says before its triangles are built: nothing beside it is read, and its copies have an end.

GLB: glTF 2.0 in one file (ISO/IEC 12113): a header of 12 bytes, a chunk of JSON, a chunk of bytes.
"""

from __future__ import annotations

import json
import struct
from typing import Any

from sim.base.limits import DEEP, INSTANCES

_MAGIC, _JSON = 0x46546C67, 0x4E4F534A
_TRIANGLES = 4  # mode of a primitive, of those that have faces the one that lists them
_VERTICES = "POSITION"
ENTRIES = 12  # of all lists a triangle: three corners of its own, each with a normal, a colour, a place in a picture


def require_whole(data: bytes, most: int) -> None:
    """Refuse a GLB that names other files, or places its meshes so often that they come to too many triangles.

    Parameters
    ----------
    data : bytes
    most : int
        Triangles; no unit.

    Raises
    ------
    ValueError
        What is wrong, as a clause behind the file's name.
    """
    told = _told(data)
    for name in ("buffers", "images"):
        for one in _listed(told, name):
            if "uri" in one:
                raise ValueError(f"must carry all its data in itself, found {name} that name another file")
    _require_room(told, ENTRIES * most)
    meshes = [_faces(told, one) for one in _listed(told, "meshes")]
    found = _placed(told, meshes)
    if found > most:
        raise ValueError(f"must hold at most {most} triangles, found {found}")


def _told(data: bytes) -> dict[str, Any]:
    """Return the JSON of a GLB."""
    try:
        magic, version, _, size, kind = struct.unpack_from("<5I", data)
        if (magic, version, kind) == (_MAGIC, 2, _JSON) and 20 + size <= len(data):
            found = json.loads(data[20 : 20 + size])
            if isinstance(found, dict):
                return found
    except (struct.error, ValueError, RecursionError):
        pass
    raise ValueError("must be a GLB file (glTF 2.0 in one file), found none that can be read")


def _listed(told: dict[str, Any], name: str) -> list[dict[str, Any]]:
    found = told.get(name, [])
    if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
        raise ValueError(f"must have a list of {name}, found another thing")
    return found


def _require_room(told: dict[str, Any], most: int) -> None:
    """Refuse lists that come to more than such a model needs: one without data stands for so many zeros."""
    counts = [one.get("count", 0) for one in _listed(told, "accessors")]
    if not all(isinstance(one, int) and one >= 0 for one in counts):
        raise ValueError("must have whole numbers as lengths of its lists, found another")
    if sum(counts) > most:
        raise ValueError(f"must have lists of at most {most} entries in all, found {sum(counts)}")


def _faces(told: dict[str, Any], mesh: dict[str, Any]) -> int:
    """Return how many triangles a mesh has by its accessors."""
    accessors, count = _listed(told, "accessors"), 0
    for part in _listed(mesh, "primitives"):
        if part.get("mode", _TRIANGLES) < _TRIANGLES:
            continue
        attributes = part.get("attributes")
        number = part.get("indices", attributes.get(_VERTICES) if isinstance(attributes, dict) else None)
        if isinstance(number, int) and 0 <= number < len(accessors):
            corners = accessors[number].get("count")
            count += corners // 3 if isinstance(corners, int) and corners > 0 else 0
    return count


def _placed(told: dict[str, Any], meshes: list[int]) -> int:
    """Return the triangles of all copies that the nodes place; each node counts as often as it is reached."""
    nodes = _listed(told, "nodes")
    below = {child for one in nodes for child in _children(one, len(nodes))}
    waiting = [(number, 0) for number in range(len(nodes)) if number not in below]
    reached: set[int] = set()
    count = copies = 0
    while waiting:
        number, depth = waiting.pop()
        copies += 1
        reached.add(number)
        if depth > DEEP.most:
            raise ValueError(f"must have models at most {DEEP.most} deep in one another, found more")
        if copies > INSTANCES.most:
            raise ValueError(f"must place at most {INSTANCES.most} copies of its meshes, found more")
        mesh = nodes[number].get("mesh")
        count += meshes[mesh] if isinstance(mesh, int) and 0 <= mesh < len(meshes) else 0
        waiting += [(child, depth + 1) for child in _children(nodes[number], len(nodes))]
    if len(reached) < len(nodes):
        raise ValueError("must have nodes that do not place themselves, found some that do")
    return max(count, sum(meshes))


def _children(node: dict[str, Any], among: int) -> list[int]:
    found = node.get("children", [])
    if not isinstance(found, list) or not all(isinstance(one, int) and 0 <= one < among for one in found):
        raise ValueError("must have nodes that place nodes of its own, found another")
    return found
