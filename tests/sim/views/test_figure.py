"""A picture in a figure, against the library's own way of showing one."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.figure import Figure

from sim.views.figure import as_pixels, as_svg_file, new_figure, put_picture

DOTS = 100.0


def shown(shot: np.ndarray, wide: float, *, own: bool) -> Figure:
    """A figure of 300 by 200 pixels with a picture below left, `wide` pixels of it across, and a line over it."""
    figure = new_figure(3.0, 2.0)
    figure.set_layout_engine("none")
    figure.patch.set(facecolor="#f0efe8")
    axes = figure.add_axes((20.0 / 300.0, 10.0 / 200.0, wide / 300.0, 80.0 / 200.0))
    if own:
        put_picture(axes, shot)
    else:
        axes.imshow(shot, interpolation="nearest", aspect="auto")
        axes.set_axis_off()
    axes.plot([5.0, 90.0], [10.0, 70.0], color="#000000")
    axes.set_xlim(-0.5, shot.shape[1] - 0.5)
    axes.set_ylim(shot.shape[0] - 0.5, -0.5)
    return figure


@pytest.mark.parametrize("wide", [120.0, 119.0, 119.4, 240.0], ids=str)
@pytest.mark.parametrize("channels", [3, 4])
def test_a_picture_is_shown_as_the_library_shows_it(wide: float, channels: int) -> None:
    """In as many pixels as it has, in fewer, in a broken number, in more; where it covers in part to a rounding."""
    shot = np.random.default_rng(7).integers(0, 256, (80, 120, channels), dtype=np.uint8)
    ours, theirs = (as_pixels(shown(shot, wide, own=own), DOTS).astype(int) for own in (True, False))
    assert np.abs(ours - theirs).max() <= (1 if channels == 4 else 0)
    assert as_svg_file(shown(shot, wide, own=True)) == as_svg_file(shown(shot, wide, own=False))


def test_a_picture_of_as_many_pixels_is_not_touched() -> None:
    shot = np.random.default_rng(7).integers(0, 256, (80, 120, 3), dtype=np.uint8)
    found = as_pixels(shown(shot, 120.0, own=True), DOTS)
    assert np.array_equal(found[110:150, 100:140], shot[:40, 80:])  # above the line
