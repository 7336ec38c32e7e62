"""Pictures of VTK: the light on a face by Phong's formula, paint and lines as they are, one window for all."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from sim.views import render
from sim.views.camera import Camera, projected
from sim.views.colours import EDGE, rgb
from sim.views.layer import LIGHTS, Layer, Picture

pytestmark = pytest.mark.usefixtures("rendering")

SIZE = (120, 90)
BOX = trimesh.creation.box((20.0, 30.0, 4.0))  # its upper face 2 mm above the origin
ABOVE = Camera((0.0, 0.0, 102.0), (0.0, 0.0, 0.0), (0.0, 1.0, 0.0), 30.0)


def at(picture: Picture, place_mm: tuple[float, float, float], camera: Camera = ABOVE) -> Picture:
    """Colour where a point is seen."""
    x, y = projected(camera, [place_mm], SIZE)[0]
    found: Picture = picture[round(y), round(x)]
    return found


def shown(layer: Layer, camera: Camera = ABOVE) -> Picture:
    return render.render([layer], camera, SIZE)


def test_a_face_before_the_eye_has_the_light_of_phongs_formula() -> None:
    """Phong, Communications of the ACM 18 (1975) 311, summed here: parallel light, shine as the metal."""
    colour = "#6c8494"
    seen = at(shown(Layer(BOX, colour)), (3.0, 4.0, 2.0))
    # Towards the face's middle from the eye, which stands 100 mm above it.
    sight = np.array([3.0, 4.0, -100.0]) / math.hypot(3.0, 4.0, 100.0)
    diffuse = specular = 0.0
    for place, strength in LIGHTS:
        towards = np.array(place) / math.hypot(*place)
        mirrored = 2.0 * towards[2] * np.array([0.0, 0.0, 1.0]) - towards
        diffuse += strength * max(0.0, float(towards[2]))
        specular += strength * max(0.0, float(mirrored @ -sight)) ** 20.0
    wanted = [min(1.0, part * (0.2 + 0.92 * diffuse + 0.16 * specular)) for part in rgb(colour)]
    np.testing.assert_allclose(seen / 255.0, wanted, atol=0.012)


def test_paint_is_shown_as_it_is() -> None:
    paint = np.tile(np.array([200, 30, 90], dtype=np.uint8), (len(BOX.vertices), 1))
    picture = shown(Layer(BOX, vertex_colours=paint, edges=False))
    np.testing.assert_allclose(at(picture, (3.0, 4.0, 2.0)), [200, 30, 90], atol=1)


def test_sharp_edges_and_lines_are_drawn_in_their_colour() -> None:
    plain = Layer(BOX, "#d0d0d0", edges=False)
    line = np.array([[[-6.0, 4.0, 2.0], [6.0, 4.0, 2.0]]])
    without, ruled = shown(plain), shown(replace(plain, lines=line))
    edged = shown(replace(plain, edges=True))
    ink = np.array(rgb(EDGE)) * 255.0
    for picture, place in ((ruled, (0.0, 4.0, 2.0)), (edged, (10.0, 0.0, 2.0))):
        around = [
            at(picture, (place[0] + dx, place[1] + dy, place[2]))
            for dx in (-0.3, 0.0, 0.3)
            for dy in (-0.3, 0.0, 0.3)
        ]
        bare = at(without, (0.0, 4.0, 2.0)).astype(float)
        nearest = min(around, key=lambda one: float(np.abs(one - ink).max()))
        assert np.abs(nearest - ink).max() < 0.6 * np.abs(bare - ink).max()
    assert np.array_equal(at(ruled, (0.0, -8.0, 2.0)), at(without, (0.0, -8.0, 2.0)))


def test_corners_are_darkened() -> None:
    floor = Layer(trimesh.creation.box((30.0, 30.0, 4.0)), edges=False)
    above = trimesh.transformations.translation_matrix((0.0, 0.0, 4.0))
    step = Layer(trimesh.creation.box((8.0, 8.0, 8.0), above), edges=False)
    bare, picture = shown(floor), render.render([floor, step], ABOVE, SIZE)
    assert at(picture, (4.9, 0.0, 2.0)).mean() < at(bare, (4.9, 0.0, 2.0)).mean() - 8.0
    np.testing.assert_allclose(at(picture, (13.0, 0.0, 2.0)), at(bare, (13.0, 0.0, 2.0)), atol=2)


def test_pictures_in_one_window_are_those_of_windows_of_their_own() -> None:
    """Whatever was drawn before, in whatever size: the driver's programs are all that is kept."""
    aside = Camera((60.0, -80.0, 70.0), (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 25.0)
    paint = np.tile(np.array([200, 30, 90], dtype=np.uint8), (len(BOX.vertices), 1))
    asked = [
        ([Layer(BOX)], ABOVE, SIZE, False),
        ([Layer(BOX, vertex_colours=paint)], aside, (90, 120), False),
        ([Layer(BOX, opacity=0.4)], aside, SIZE, True),
    ]
    alone = [render.render(layers, eye, size, transparent=clear) for layers, eye, size, clear in asked]
    far = render.depth([Layer(BOX)], aside, SIZE)
    with render.one_window():
        for number in (0, 1, 2, 2, 1, 0):
            layers, eye, size, clear = asked[number]
            assert np.array_equal(render.render(layers, eye, size, transparent=clear), alone[number])
            assert np.array_equal(render.depth([Layer(BOX)], aside, SIZE), far)
    layers, eye, size, clear = asked[1]
    assert np.array_equal(render.render(layers, eye, size, transparent=clear), alone[1])
