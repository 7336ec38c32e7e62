"""Pictures of part and jaws as they give way: how large, where, and of the very figure that is told."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.text import Text

from sim.assessment.deformed import clamped_mm, released_mm, worst_shape
from sim.assessment.results import Assessment
from sim.assessment.state import states
from sim.setup import pose
from sim.views.shape_picture import STOPS, given_way, part_mesh, ring, shape_picture, times

NAMES = ("thin_ring_distorts", "cast_hub_on_ring", "housing_gripped_inside")


def test_the_trace_is_as_far_from_round_as_it_says(assessment: Callable[[str], Assessment]) -> None:
    """Out of points alone: the circle that fits them by least squares, and how far they lie off it."""
    judged = assessment("thin_ring_distorts")
    found = worst_shape(states(judged), 0)
    assert found is not None
    _, shape = found
    assert shape.roundness_um == pytest.approx(judged.operations[0].roundness, rel=2e-3)
    larger = times(shape, 63.0)
    for moved in (clamped_mm(shape), released_mm(shape)):
        trace, fitting = ring(shape, larger * moved[-1])
        x, y = trace[:, 0], trace[:, 1]
        centre = np.linalg.lstsq(np.column_stack([x, y, np.ones_like(x)]), x**2 + y**2, rcond=None)[0]
        radii = np.hypot(x - 0.5 * centre[0], y - 0.5 * centre[1])
        assert np.ptp(radii) / larger == pytest.approx(1e-3 * shape.roundness_um, rel=0.08)
        assert np.ptp(np.hypot(fitting[:, 0], fitting[:, 1])) < 0.25 * np.ptp(radii)
    # Pressed in where a jaw stands while it is clamped; out there once it is released.
    at_jaw = shape.angles_rad.size // 3
    inward = np.hypot(*ring(shape, larger * clamped_mm(shape)[-1])[0][at_jaw, :2])
    outward = np.hypot(*ring(shape, larger * released_mm(shape)[-1])[0][at_jaw, :2])
    assert inward < shape.ring_mm[0] < outward


def test_the_part_is_its_own_solid_where_nothing_moves(assessment: Callable[[str], Assessment]) -> None:
    """Its volume by the outline turned round (Pappus and Guldin), less what chords cut off."""
    judged = assessment("thin_ring_distorts")
    found = worst_shape(states(judged), 0)
    assert found is not None
    _, shape = found
    still = part_mesh(shape, np.zeros_like(shape.moved_mm[:-1]))
    assert still.is_watertight
    r, z = shape.places_mm.T
    step = np.roll(z, -1) - z
    turned = abs(math.pi / 3.0 * float((step * (r**2 + r * np.roll(r, -1) + np.roll(r, -1) ** 2)).sum()))
    chords = math.sin(2.0 * math.pi / shape.angles_rad.size) / (2.0 * math.pi / shape.angles_rad.size)
    assert still.volume == pytest.approx(turned * chords, rel=1e-6)


def test_a_jaw_moves_with_its_face_and_nothing_is_changed_in_place(
    assessment: Callable[[str], Assessment],
) -> None:
    judged = assessment("thin_ring_distorts")
    found = worst_shape(states(judged), 0)
    assert found is not None
    state, shape = found
    for solid in pose.jaws(judged.parts, state.jaw_travel):
        if solid.kind != "soft jaw" or solid.jaw is None:
            continue
        before = solid.mesh.vertices.copy()
        moved = given_way(solid, shape.jaws, 100.0).vertices - before
        assert (solid.mesh.vertices == before).all()
        turn = 2.0 * math.pi * solid.jaw / 3.0
        outward = moved @ [math.cos(turn), math.sin(turn), 0.0]
        one = shape.jaws[solid.jaw]
        expected = 100.0 * (one.face_mm + one.face_slope * (before[:, 2] - one.middle_mm))
        above = before[:, 2] >= one.middle_mm
        assert outward[above] == pytest.approx(expected[above], abs=1e-9)
        assert np.abs(moved - outward[:, None] * [math.cos(turn), math.sin(turn), 0.0]).max() < 1e-9
        assert outward.max() < 0.0  # from the touch to the full grip it follows the part that it squeezes


@pytest.mark.parametrize("name", NAMES)
def test_movements_are_enlarged_by_a_round_number_that_fits(
    name: str, assessment: Callable[[str], Assessment]
) -> None:
    judged = assessment(name)
    found = worst_shape(states(judged), 0)
    assert found is not None
    state, shape = found
    larger, radius = times(shape, 0.5 * state.gripped_diameter), 0.5 * state.gripped_diameter
    assert larger in STOPS
    assert larger * shape.largest_mm < 0.3 * radius
    assert larger * 1e-3 * shape.roundness_um < 0.35 * radius


@pytest.mark.usefixtures("rendering")
def test_the_picture_says_what_it_shows(assessment: Callable[[str], Assessment]) -> None:
    judged = assessment("thin_ring_distorts")
    figure = shape_picture(states(judged), 0, (200, 190))
    assert figure is not None
    words = " ".join(text.get_text() for text in figure.findobj(Text))
    assert f"{judged.operations[0].roundness:.1f} µm out of round" in words
    assert "clamped, movement ×" in words
    assert "released, ×" in words
