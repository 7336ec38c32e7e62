"""Faces of one surface joined to one, and edges of one curve. Lengths in mm, angles in rad."""

from __future__ import annotations

import math
from collections import defaultdict

from sim.exports.faces import Corner, Edge, Face, Loop, Way, longer
from sim.exports.jaw_sheets import Cone, Level
from sim.exports.plan_curves import Cells, Round

MOST = 1.98 * math.pi  # of a full turn about a cylinder or cone: a face stays short of closing on itself


def joined(faces: list[Face], cells: Cells) -> tuple[Face, ...]:
    """Return faces that lie on one surface and share edges as one, then edges of one curve as one."""
    return _longer_edges(_one_a_surface(faces, cells), cells)


def _one_a_surface(faces: list[Face], cells: Cells) -> list[Face]:
    on: dict[Edge, list[int]] = defaultdict(list)
    for number, face in enumerate(faces):
        for loop in face.loops:
            for edge, _ in loop:
                on[edge].append(number)
    group = _groups(faces, [(one, other) for one, other in on.values()], cells)
    members: dict[int, list[int]] = defaultdict(list)
    for number, first in enumerate(group):
        members[first].append(number)
    found: list[Face] = []
    for first, numbers in members.items():
        inner = {edge for edge, (one, other) in on.items() if group[one] == group[other] == first}
        whole = _around([faces[n] for n in numbers], inner) if len(numbers) > 1 else None
        found += [faces[n] for n in numbers] if whole is None else [whole]
    return found


def _groups(faces: list[Face], beside: list[tuple[int, int]], cells: Cells) -> list[int]:
    """Return for each face the number of one that stands for all which are joined with it."""
    group = list(range(len(faces)))

    def of(number: int) -> int:
        while group[number] != number:
            number = group[number]
        return number

    spans = [_span(face, cells) for face in faces]
    for one, other in beside:
        first, second = of(one), of(other)
        if first == second or faces[one].surface != faces[other].surface:
            continue
        both = spans[first] | spans[second]
        if sum(size for _, size in both) > MOST:
            continue
        group[second], spans[first] = first, both
    return [of(number) for number in range(len(faces))]


def _span(face: Face, cells: Cells) -> set[tuple[tuple[float, float], float]]:
    """Return the angles about its axis that a round face stands on, each with its size; nothing for a plane."""
    surface = face.surface
    if isinstance(surface.sheet, Level):
        return set()
    if surface.curve is not None and not isinstance(cells.curves[surface.curve], Round):
        return set()
    found = set()
    for loop in face.loops:
        for edge, _ in loop:
            if edge.curve is not None and isinstance(cells.curves[edge.curve], Round):
                turn = round(edge.low, 9), round(edge.high, 9)
                found.add((turn, edge.high - edge.low))
    if isinstance(surface.sheet, Cone):  # seen at two radii: half of both
        return {(turn, 0.5 * size) for turn, size in found}
    return found


def _around(faces: list[Face], inner: set[Edge]) -> Face | None:
    """Return faces as one, less their common edges; None where its border passes a corner twice."""
    leaving: dict[Corner, Way] = {}
    for face in faces:
        for loop in face.loops:
            for edge, forward in loop:
                if edge in inner:
                    continue
                at = edge.start if forward else edge.end
                if at in leaving:
                    return None
                leaving[at] = edge, forward
    loops: list[Loop] = []
    while leaving:
        start = at = next(iter(leaving))
        ways: list[Way] = []
        while True:
            edge, forward = leaving.pop(at)
            ways.append((edge, forward))
            at = edge.end if forward else edge.start
            if at == start:
                break
            if at not in leaving:
                return None
        loops.append(tuple(ways))
    return Face(faces[0].surface, tuple(loops))


def _longer_edges(faces: list[Face], cells: Cells) -> tuple[Face, ...]:
    while True:
        pair = _following(faces, cells)
        if pair is None:
            return tuple(faces)
        before, after = pair
        whole = longer(before, after)
        faces = [_with(face, before, after, whole) for face in faces]


def _following(faces: list[Face], cells: Cells) -> tuple[Edge, Edge] | None:
    """Return two edges of one curve between which nothing else ends."""
    at: dict[Corner, set[Edge]] = defaultdict(set)
    for face in faces:
        for loop in face.loops:
            for edge, _ in loop:
                at[edge.start].add(edge)
                at[edge.end].add(edge)
    for meeting, edges in at.items():
        if len(edges) != 2:
            continue
        one, other = edges
        before, after = (one, other) if one.end == meeting else (other, one)
        if before.end != meeting or after.start != meeting or before.start == after.end:
            continue
        if (before.curve, before.sheet) == (after.curve, after.sheet):
            whole = longer(before, after)
            if before.curve is None or not isinstance(cells.curves[before.curve], Round):
                return before, after
            if whole.high - whole.low <= MOST:
                return before, after
    return None


def _with(face: Face, before: Edge, after: Edge, whole: Edge) -> Face:
    if not any(edge in (before, after) for loop in face.loops for edge, _ in loop):
        return face
    loops = []
    for loop in face.loops:
        kept: list[Way] = []
        for edge, forward in loop:
            if edge == before:
                kept.append((whole, forward))
            elif edge != after:
                kept.append((edge, forward))
        loops.append(tuple(kept))
    return Face(face.surface, tuple(loops))
