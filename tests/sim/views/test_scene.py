from __future__ import annotations

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.contact import band_means
from sim.views.face_patches import ABOVE_FACE, face_patches, smooth_pressure
from sim.views.scene import (
    assembly_picture,
    boring_picture,
    pressure_picture,
)

SIZE = (320, 220)


def test_shown_pressure_is_the_band_means_and_never_more(two_steps: Assessment) -> None:
    contact = two_steps.operations[1].contact
    means = band_means(contact)
    grid = contact.grid
    edges = np.linspace(grid.angle_edges_rad[0], grid.angle_edges_rad[-1], means.shape[2] + 1)
    heights = np.linspace(grid.height_edges_mm[0], grid.height_edges_mm[-1], means.shape[1] + 1)
    middles = 0.5 * (edges[1:] + edges[:-1]), 0.5 * (heights[1:] + heights[:-1])
    assert smooth_pressure(contact, *middles) == pytest.approx(means, rel=1e-12)
    fine = smooth_pressure(contact, np.linspace(edges[0], edges[-1], 77), np.linspace(*heights[[0, -1]], 31))
    assert fine.max() <= means.max() * (1.0 + 1e-12)
    assert fine.min() >= 0.0


@pytest.mark.parametrize("operation", [0, 1])
def test_coloured_face_stands_just_before_the_jaws_face(two_steps: Assessment, operation: int) -> None:
    """At the grip travel the bored face is a cylinder about the bore's centre, off the axis along the jaw."""
    figures = two_steps.operations[operation]
    off = two_steps.scenario.boring.travel - figures.grip_travel
    radius = 0.5 * two_steps.scenario.pocket_of(figures.operation).diameter
    for jaw, (patch, values) in enumerate(face_patches(figures, two_steps.parts)):
        turn = 2.0 * np.pi / 3.0 * jaw
        from_centre = patch.vertices[:, :2] - off * np.array([np.cos(turn), np.sin(turn)])
        assert np.hypot(*from_centre.T) == pytest.approx(radius - ABOVE_FACE, abs=0.02)
        assert len(values) == len(patch.vertices)


@pytest.mark.usefixtures("rendering")
def test_pictures_show_something(two_steps: Assessment) -> None:
    for picture in (assembly_picture(two_steps, 0, SIZE), boring_picture(two_steps, SIZE)):
        assert picture.shape == (SIZE[1], SIZE[0], 3)
        differs = np.abs(picture.astype(int) - picture[0, 0].astype(int)).max(axis=2) > 12
        assert 0.2 < differs.mean() < 0.9


@pytest.mark.usefixtures("rendering")
def test_pressure_picture_holds_the_jaws_whole(two_steps: Assessment) -> None:
    """Each edge of the picture is ground alone, and jaws come near to the upper and the lower one."""
    figure = pressure_picture(two_steps, 1, (640, 430), transparent=True)
    alpha = np.asarray(figure.axes[0].images[0].get_array())[..., 3]
    assert alpha.shape == (430, 640)
    for edge in (alpha[0], alpha[-1], alpha[:, 0], alpha[:, -1]):
        assert not edge.any()
    rows = np.flatnonzero(alpha.any(axis=1))
    assert rows[0] < 20
    assert rows[-1] > 410


@pytest.mark.usefixtures("rendering")
def test_pressure_picture_says_the_grip_of_each_jaw(
    two_steps: Assessment, gripped_inside: Assessment
) -> None:
    for assessment in (two_steps, gripped_inside):
        figure = pressure_picture(assessment, 0, SIZE)
        said = [text.get_text() for axes in figure.axes for text in axes.texts]
        grips = assessment.operations[0].contact.grip_n
        assert said == [f"jaw {k + 1}\n{grips[k] / 1000.0:.1f} kN" for k in range(3)]
        assert figure.axes[-1].get_ylabel().startswith("contact pressure, MPa\nlargest ")
