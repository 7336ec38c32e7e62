from __future__ import annotations

import numpy as np
import pytest

from sim.views.camera import axes, fitted, projected

BOX = np.array([(x, y, z) for x in (-40.0, 60.0) for y in (-30.0, 30.0) for z in (0.0, 90.0)])
SIZE = (800, 500)


@pytest.mark.parametrize("towards", [(0.42, -0.62, 0.86), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)])
def test_fitted_camera_sees_every_point_and_fills_one_side(towards: tuple[float, float, float]) -> None:
    seen = projected(fitted(BOX, towards, (1.0, 0.0, 0.0), SIZE, fill=0.9), BOX, SIZE)
    share = np.ptp(seen, axis=0) / SIZE
    assert (seen >= 0.0).all()
    assert (seen <= SIZE).all()
    assert share.max() == pytest.approx(0.9, abs=0.01)


def test_axes_are_a_right_handed_triad() -> None:
    frame = axes((0.3, -0.5, 0.9), (1.0, 0.0, 0.0))
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)


def test_jaw_one_stands_up_and_jaw_two_left_seen_from_the_tailstock() -> None:
    """Counter-clockwise from x up, seen from the tailstock: jaw 2 is at the lower left."""
    ends = [(100.0 * np.cos(t), 100.0 * np.sin(t), 0.0) for t in (0.0, 2.0 * np.pi / 3.0, 4.0 * np.pi / 3.0)]
    camera = fitted(np.array(ends), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), SIZE)
    one, two, three = projected(camera, ends, SIZE)
    assert one[1] < two[1]
    assert two[0] < one[0] < three[0]


@pytest.mark.usefixtures("rendering")
def test_projection_agrees_with_vtk() -> None:
    """Another implementation of the same pinhole: VTK's world-to-display transform."""
    import pyvista

    camera = fitted(BOX, (0.42, -0.62, 0.86), (1.0, 0.0, 0.0), SIZE)
    plotter = pyvista.Plotter(off_screen=True, window_size=SIZE)
    plotter.add_mesh(pyvista.PolyData(BOX))
    plotter.camera_position = [camera.eye, camera.focus, camera.up]
    plotter.camera.view_angle = camera.angle
    plotter.render()
    found = []
    for point in BOX:
        plotter.renderer.SetWorldPoint(*point, 1.0)
        plotter.renderer.WorldToDisplay()
        x, y, _ = plotter.renderer.GetDisplayPoint()
        found.append((x, SIZE[1] - y))
    plotter.close()
    assert projected(camera, BOX, SIZE) == pytest.approx(np.array(found), abs=0.05)
