"""A clamped part and the same released, in 3D: movement enlarged by a stated number, the trace of its roundness.

Where the shape is judged: the size and speed at which it comes out farthest from round.
"""

from __future__ import annotations

import math

import numpy as np
import trimesh
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.assessment.deformed import Deformed, JawMotion, clamped_mm, released_mm, worst_shape
from sim.assessment.state import States
from sim.base.arrays import Floats
from sim.contact.shape import without_position
from sim.setup import pose
from sim.setup.pose import Solid
from sim.views.bodies import metal_colour
from sim.views.camera import Camera, fitted, projected
from sim.views.colours import BACKDROP, INK, NEED, PAPER
from sim.views.figure import GAP, new_figure, put_picture
from sim.views.layer import Layer, Picture
from sim.views.render import render

STOPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)  # as on the page's slider
SHARE = 0.3  # of the gripped radius: as large the deviation from round is drawn at the most
MOVED = 0.25  # the same of the largest movement of the part, which would run through itself
JAWS = 0.4  # and of a jaw
TOWARDS = (0.24, 0.40, 0.89)  # to the eye: from the tailstock, a little from beside and above
PANEL = (760, 720)  # width and height of each of both pictures, pixels
DOTS = 140.0  # per inch
LETTERS = 13.0  # pt


def times(shape: Deformed, radius_mm: float) -> int:
    """Return how many times the movement of a part of a gripped radius (mm) is drawn, of its jaws, too."""
    jaws = max(abs(v) for one in shape.jaws for v in (one.master_mm, one.face_mm))
    shares = ((SHARE, 1e-3 * shape.roundness_um), (MOVED, shape.largest_mm), (JAWS, jaws))
    most = min(share * radius_mm / max(moved, 1e-9) for share, moved in shares)
    return max((stop for stop in STOPS if stop <= most), default=1)


def shape_picture(ready: States, operation: int, size: tuple[int, int] = PANEL) -> Figure | None:
    """Return both pictures side by side, each of a size in pixels; None where no elastic shape is known."""
    assessment = ready.assessment
    if assessment.operations[operation].clamping.shape is None:
        return None
    found = worst_shape(ready, operation)
    if found is None:
        return None
    state, shape = found
    larger = times(shape, 0.5 * state.gripped_diameter)
    jaws = pose.jaws(assessment.parts, state.jaw_travel)
    colour = metal_colour(assessment, "workpiece")
    body = Layer(pose.body(assessment.parts).mesh, metal_colour(assessment, "chuck body"))
    drawn = []
    for released in (False, True):
        moved = released_mm(shape) if released else clamped_mm(shape)
        part = part_mesh(shape, larger * moved[:-1])
        held = [
            Layer(
                solid.mesh if released else given_way(solid, shape.jaws, larger),
                metal_colour(assessment, solid.kind),
            )
            for solid in jaws
        ]
        drawn.append((part, [*held, body, Layer(part, colour)], ring(shape, larger * moved[-1])))
    soft = [solid.mesh.vertices for solid in jaws if solid.kind == "soft jaw"]
    camera = fitted(
        np.vstack([*soft, *(part.vertices for part, _, _ in drawn)]), TOWARDS, (1.0, 0.0, 0.0), size
    )
    shots = [(render(layers, camera, size), trace) for _, layers, trace in drawn]
    return _side_by_side(shots, camera, size, _words(shape, state.gripped_diameter, state.speed, larger))


def part_mesh(shape: Deformed, moved_mm: Floats) -> trimesh.Trimesh:
    """Return the part's surface with its places moved outward, around and along z by (k, 3, m) mm."""
    places, angles = shape.places_mm, shape.angles_rad
    points = _placed(places, angles, moved_mm).reshape(-1, 3)
    count, turns = len(places), len(angles)
    row, column = np.meshgrid(np.arange(count), np.arange(turns), indexing="ij")
    here, beside = row * turns + column, row * turns + (column + 1) % turns
    after = ((row + 1) % count) * turns
    across, both = after + column, after + (column + 1) % turns
    faces = np.concatenate(
        [
            np.stack([here, beside, across], -1).reshape(-1, 3),
            np.stack([beside, both, across], -1).reshape(-1, 3),
        ]
    )
    made = trimesh.Trimesh(points, faces, process=False)
    made.merge_vertices(digits_vertex=5)  # corners of the outline come twice
    made.update_faces(made.nondegenerate_faces())
    if made.volume < 0.0:
        made.invert()
    return made


def ring(shape: Deformed, moved_mm: Floats) -> tuple[Floats, Floats]:
    """Return the circle whose roundness is told, moved by (3, m) mm, and the round one that fits it, (m, 3) each."""
    at = shape.ring_mm[None, :]
    off = without_position(moved_mm[0])
    round_mm = moved_mm - np.stack([off, np.zeros_like(off), np.zeros_like(off)])
    return _placed(at, shape.angles_rad, moved_mm[None])[0], _placed(at, shape.angles_rad, round_mm[None])[0]


def _placed(places_mm: Floats, angles_rad: Floats, moved_mm: Floats) -> Floats:
    """Return points (k, m, 3) of places (k, 2) round the turn, moved outward, around and along z."""
    out = places_mm[:, 0, None] + moved_mm[:, 0]
    c, s = np.cos(angles_rad), np.sin(angles_rad)
    around = moved_mm[:, 1]
    return np.stack(
        [out * c - around * s, out * s + around * c, places_mm[:, 1, None] + moved_mm[:, 2]], axis=-1
    )


def given_way(solid: Solid, jaws: tuple[JawMotion, ...], larger: float) -> trimesh.Trimesh:
    """Return a body of a jaw as it gives way under the grip, enlarged: straight between guideway and pressed face."""
    if solid.jaw is None:
        return solid.mesh
    one, turn = jaws[solid.jaw], 2.0 * math.pi * solid.jaw / len(jaws)
    z = solid.mesh.vertices[:, 2]
    guide = one.master_mm + one.master_slope * (z - one.pivot_mm)
    if solid.kind == "soft jaw":
        low = one.middle_mm
        seat = one.master_mm - one.master_slope * one.pivot_mm
        below = seat + (one.face_mm - seat) * z / low if low > 1.0 else np.full_like(z, one.face_mm)
        guide = np.where(z < low, below, one.face_mm + one.face_slope * (z - low))
    moved = solid.mesh.copy()
    moved.vertices = solid.mesh.vertices + larger * guide[:, None] * [math.cos(turn), math.sin(turn), 0.0]
    return moved


def _words(shape: Deformed, size_mm: float, speed: float, larger: int) -> tuple[str, str]:
    where = f"Ø{size_mm:.2f} mm gripped at {speed:.0f} rev/min"
    return (
        f"clamped, movement ×{larger}\n{where}",
        f"released, ×{larger}: {shape.roundness_um:.1f} µm out of round\n"
        f"Ø{2.0 * shape.ring_mm[0]:.2f} mm at z {shape.ring_mm[1]:.1f} mm, cut true while clamped",
    )


def _side_by_side(
    shots: list[tuple[Picture, tuple[Floats, Floats]]],
    camera: Camera,
    size: tuple[int, int],
    words: tuple[str, str],
) -> Figure:
    wide, high = 2.0 * size[0] + GAP, size[1] + 90.0
    figure = new_figure(wide / DOTS, high / DOTS)
    figure.set_layout_engine("none")
    figure.patch.set(facecolor=BACKDROP)
    for number, ((shot, (trace, fitting)), said) in enumerate(zip(shots, words, strict=True)):
        left = number * (size[0] + GAP) / wide
        axes = figure.add_axes((left, 0.0, size[0] / wide, size[1] / high))
        put_picture(axes, shot)
        _line(axes, projected(camera, fitting, size), INK, 1.2, (0, (5, 3)))
        _line(axes, projected(camera, trace, size), NEED, 2.4, "-")
        figure.text(left + 0.02, 0.985, said, va="top", fontsize=LETTERS, color=INK, linespacing=1.35)
    return figure


def _line(axes: Axes, seen: Floats, colour: str, wide: float, dashes: object) -> None:
    closed = np.vstack([seen, seen[:1]])
    axes.plot(*closed.T, color=PAPER, lw=wide + 2.0, alpha=0.8)
    axes.plot(*closed.T, color=colour, lw=wide, ls=dashes)
