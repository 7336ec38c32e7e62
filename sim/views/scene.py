"""Pictures of the assembly, of the boring of the jaws, and of the jaws coloured by contact pressure."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import trimesh
from matplotlib.figure import Figure

from sim.assessment.figures.operation import OperationFigures
from sim.assessment.results import Assessment
from sim.assessment.state import BORING
from sim.base.arrays import Floats
from sim.contact import band_means
from sim.contact.face import JAW_ANGLES_RAD
from sim.setup import pose
from sim.setup.parts import Parts
from sim.setup.pose import Solid
from sim.views.bodies import metal_colour
from sim.views.camera import Camera, Preset, axes, fitted, preset, projected
from sim.views.colours import BACKDROP, INK, PAPER
from sim.views.drawn_on import DrawnOn, drawn_on
from sim.views.face_patches import face_patches
from sim.views.figure import GAP, new_figure, put_picture
from sim.views.layer import Layer, Picture, Staged
from sim.views.pressure_scale import colour_map, coloured, norm, top_of
from sim.views.render import render

Size = tuple[int, int]
SIZE: Size = (1280, 860)
LETTERS = 15.0  # pt, in a picture that the page shows at half its size
_NEAREST_EYE = 0.75  # of the gripped radius: nearer than this to the jaws a picture along the spindle is odd
_ROOM = 1.03  # times the reach of the jaws that a picture along the spindle holds
_WORDS_OUT, _WORDS_ASIDE = 0.66, 0.2  # of the reach of the jaws: where words stand along a jaw, and beside it
_JAW_DIRECTION = 38.0  # deg from the face's normal to the eye, for the picture of an outer face


def layers(solids: Iterable[Solid], assessment: Assessment, on: DrawnOn) -> list[Layer]:
    """Return solids in the colours of their kinds, the soft jaws in that of their metal, with what is drawn on them."""
    found = [
        Layer(
            on.instead.get(solid.name, solid.mesh),
            metal_colour(assessment, solid.kind),
            lines=on.lines.get(solid.name),
        )
        for solid in solids
    ]
    return [*found, *(Layer(mesh, metal_colour(assessment, body.kind)) for body, mesh in on.solids)]


def assembly_picture(
    assessment: Assessment, operation: int, size: Size = SIZE, view: Preset = "three-quarter"
) -> Picture:
    """Return a picture of chuck, jaws and gripped part of an operation, (height, width, 3)."""
    scene = assembly_scene(assessment, operation, size, view)
    return render(scene.layers, scene.camera, size)


def assembly_scene(
    assessment: Assessment, operation: int, size: Size = SIZE, view: Preset = "three-quarter"
) -> Staged:
    """Return chuck, jaws and gripped part of an operation, for a picture of a size in pixels."""
    figures = assessment.operations[operation]
    solids = pose.gripping_scene(assessment.parts, operation, figures.grip_travel)
    on = drawn_on(assessment, str(operation), figures.grip_travel)
    return Staged(tuple(layers(solids, assessment, on)), preset(view, (s.mesh for s in solids), size))


def boring_picture(assessment: Assessment, size: Size = SIZE, view: Preset = "three-quarter") -> Picture:
    """Return a picture of the jaws as they are bored: fixture in place, the bar above the pocket."""
    scene = boring_scene(assessment, size, view)
    return render(scene.layers, scene.camera, size)


def boring_scene(assessment: Assessment, size: Size = SIZE, view: Preset = "three-quarter") -> Staged:
    """Return the jaws as they are bored, for a picture of a size in pixels."""
    parts = assessment.parts
    solids = [*pose.boring_scene(parts)]
    radius, height = tool_standing(assessment)
    touch = assessment.boring.clearance.first_touch
    run = 0 if touch is None else assessment.boring.run_of(touch.move)
    seen = preset(view, (s.mesh for s in solids), size)
    tool = pose.tool_solids(assessment.boring.drawn[run], radius, height)
    travel = parts.scenario.boring.travel
    on = drawn_on(assessment, BORING, travel, tip=(radius, height), run=run)
    return Staged(tuple(layers([*solids, *tool], assessment, on)), _farther(seen, 1.12))


def tool_standing(assessment: Assessment) -> tuple[float, float]:
    """Return (radius, z) in mm of a tip position that shows the tool: first touch, else above the pocket."""
    touch = assessment.boring.clearance.first_touch
    if touch is not None:
        return touch.tool_at
    feeds = [move.start for move in assessment.boring.moves if move.kind == "feed"]
    if not feeds:
        return 0.5 * assessment.parts.pockets[0].diameter, assessment.scenario.soft_jaw.height + 20.0
    return feeds[-1][0], max(z for _, z in feeds)


def pressure_picture(
    assessment: Assessment, operation: int, size: Size = SIZE, *, transparent: bool = False
) -> Figure:
    """Return a figure: the jaws coloured by band-mean contact pressure, the grip of each beside it.

    Gripping outside, the eye stands on the spindle axis and looks into the bore, from where all three faces
    are seen; gripping inside, each jaw has a picture of its own from outside. The part is left out. `transparent`
    leaves the ground out too.
    """
    figures, parts = assessment.operations[operation], assessment.parts
    solids = pose.jaws(parts, figures.grip_travel)
    patches = face_patches(figures, parts)
    means = band_means(figures.clamping.pressure)
    films = [
        Layer(patch, vertex_colours=coloured(values, top_of(means)), edges=False) for patch, values in patches
    ]
    on = drawn_on(assessment, str(operation), figures.grip_travel)
    drawn = [*layers((*solids, pose.body(parts)), assessment, on), *films]
    if parts.direction == "outside":
        camera, tall = _whole_jaws(into_the_bore(figures, parts), [s.mesh for s in solids], size)
        shot = render(drawn, camera, tall, transparent=transparent)
        spots = _beside_jaws(parts, max(float(s.mesh.vertices[:, 0].max()) for s in solids))
        return _annotated([(shot[: size[1]], camera)], figures, spots, means, size, taken=tall)
    third = (size[0] // 3, size[1])
    cameras = [_before_the_face(jaw, figures, third) for jaw in range(3)]
    shots = [(render(drawn, c, third, transparent=transparent), c) for c in cameras]
    return _annotated(shots, figures, _below_faces(figures), means, third)


def _farther(camera: Camera, factor: float) -> Camera:
    eye, focus = np.array(camera.eye), np.array(camera.focus)
    moved = focus + factor * (eye - focus)
    return Camera((float(moved[0]), float(moved[1]), float(moved[2])), camera.focus, camera.up, camera.angle)


def into_the_bore(figures: OperationFigures, parts: Parts) -> Camera:
    """On the axis above the jaws, near enough that the gripped faces are wide in the picture."""
    top = parts.scenario.soft_jaw.height
    gripped = 0.5 * parts.scenario.pocket_of(figures.operation).diameter
    zone = figures.zone
    distance = max(_NEAREST_EYE * gripped, 1.6 * zone.length + top - zone.high)
    shown = _shown_radius(figures, parts)
    angle = 2.0 * math.degrees(math.atan2(shown, distance))
    return Camera((0.0, 0.0, top + distance), (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), angle)


def _whole_jaws(camera: Camera, jaws: list[trimesh.Trimesh], size: Size) -> tuple[Camera, Size]:
    """Widen a look along the axis until jaw 1 is in the picture whole.

    The eye stays on the axis, from where each face is seen alike; the foot of the picture is left off, since the other
    jaws reach less far down.

    Returns
    -------
    camera : Camera
    size : (int, int)
        Of the picture to take, pixels: the upper part of it, as high as `size`, holds the jaws.
    """
    corners = np.vstack([jaw.vertices for jaw in jaws])
    slopes = corners[:, 0] / (camera.eye[2] - corners[:, 2])
    up, down = _ROOM * float(slopes.max()), _ROOM * float(-slopes.min())
    tall = math.ceil(size[1] * 2.0 * up / (up + down))
    across = 0.5 * size[0] / tall * 2.0 * up  # what half of the picture's width reaches
    wide = max(1.0, _ROOM * float(np.abs(corners[:, 1] / (camera.eye[2] - corners[:, 2])).max()) / across)
    return replace(camera, angle=2.0 * math.degrees(math.atan(up * wide))), (size[0], tall)


def _shown_radius(figures: OperationFigures, parts: Parts) -> float:
    """Radius (mm) on the jaws' top face that the upper edge of the picture along the spindle reaches."""
    largest = 0.5 * max(pocket.diameter for pocket in parts.pockets)
    return max(0.75 * parts.scenario.pocket_of(figures.operation).diameter, 1.1 * largest)


def _before_the_face(jaw: int, figures: OperationFigures, size: Size) -> Camera:
    """Outside of one jaw's outer face, a little from the tailstock; the spindle runs up the picture."""
    turn, tilt = JAW_ANGLES_RAD[jaw], math.radians(_JAW_DIRECTION)
    outward = np.array([math.cos(turn), math.sin(turn), 0.0])
    across = np.array([-math.sin(turn), math.cos(turn), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    towards = math.cos(tilt) * outward + math.sin(tilt) * up
    radius, zone = figures.contact.grid.radius_mm, figures.zone
    reach = 0.95 * max(radius * math.sin(float(figures.contact.grid.angle_edges_rad[-1])), zone.length)
    corners = np.array(
        [
            radius * outward + 0.5 * (zone.low + zone.high) * up + a * reach * across + b * reach * up
            for a in (-1.4, 1.4)
            for b in (-1.35, 1.35)
        ]
    )
    return fitted(corners, (float(towards[0]), float(towards[1]), float(towards[2])), (0.0, 0.0, 1.0), size)


def _annotated(
    shots: list[tuple[Picture, Camera]],
    figures: OperationFigures,
    spots: Floats,
    means: Floats,
    size: Size,
    *,
    taken: Size | None = None,
) -> Figure:
    """Put the pictures side by side, the grip beside each jaw and one labelled bar to the right.

    `spots` (3, 3): where in mm. `taken`: size in pixels of pictures of which the foot was left off.
    """
    wide = sum(shot.shape[1] for shot, _ in shots) + GAP * (len(shots) - 1)
    dots = 140.0
    figure = new_figure(wide / dots + 1.45, size[1] / dots)
    figure.set_layout_engine("none")
    figure.patch.set(facecolor=BACKDROP, alpha=0.0 if shots[0][0].shape[2] == 4 else 1.0)
    share = wide / (dots * figure.get_figwidth())
    for number, (shot, camera) in enumerate(shots):
        across = dots * figure.get_figwidth()
        axes_ = figure.add_axes((number * (size[0] + GAP) / across, 0.0, size[0] / across, 1.0))
        put_picture(axes_, shot)
        seen = projected(camera, spots, taken or size)
        for jaw in range(3) if len(shots) == 1 else [number]:
            place = seen[jaw].clip(60.0, np.array(size) - 60.0)
            axes_.text(
                place[0], place[1], f"jaw {jaw + 1}\n{figures.contact.grip_n[jaw] / 1000.0:.1f} kN",
                ha="center", va="center", fontsize=LETTERS, color=INK, linespacing=1.35,
                bbox={"boxstyle": "round,pad=0.4", "facecolor": PAPER, "edgecolor": "none", "alpha": 0.9},
            )  # fmt: skip
    bar = figure.add_axes((share + 0.25 / figure.get_figwidth(), 0.12, 0.16 / figure.get_figwidth(), 0.76))
    from matplotlib.cm import ScalarMappable

    top = top_of(means)
    scale = figure.colorbar(
        ScalarMappable(norm(top), colour_map()), cax=bar, extend="max" if means.max() > top else "neither"
    )
    scale.outline.set_visible(False)
    bar.tick_params(labelsize=LETTERS, colors=INK)
    words = f"contact pressure, MPa\nlargest {float(means.max()):.0f}"  # one line is longer than the picture is high
    bar.set_ylabel(words, fontsize=LETTERS, color=INK)
    return figure


def _beside_jaws(parts: Parts, outer: float) -> Floats:
    """Points (3, 3) beside the jaws that reach to a radius `outer` (mm), over what hides nothing, for their grip.

    Jaws so wide that what is beside them is the next jaw have it on their own top face.
    """
    along, aside = _WORDS_OUT * outer, 0.5 * parts.scenario.soft_jaw.width + _WORDS_ASIDE * outer
    if aside > along:
        aside = 0.5 * along
    radius, turn = math.hypot(along, aside), math.atan2(aside, along)
    return _about_the_axis(radius, turn, parts.scenario.soft_jaw.height)


def _below_faces(figures: OperationFigures) -> Floats:
    """Points (3, 3) on outer faces, under what is pressed."""
    return _about_the_axis(figures.contact.grid.radius_mm, 0.0, figures.zone.low - 0.8 * figures.zone.length)


def _about_the_axis(radius: float, turn: float, height: float) -> Floats:
    """Points (3, 3) in mm at a radius and an angle (rad) before the middle of each jaw."""
    return np.array(
        [[radius * math.cos(t - turn), radius * math.sin(t - turn), height] for t in JAW_ANGLES_RAD]
    )


__all__ = [
    "assembly_picture",
    "assembly_scene",
    "axes",
    "boring_picture",
    "boring_scene",
    "layers",
    "pressure_picture",
    "tool_standing",
]
