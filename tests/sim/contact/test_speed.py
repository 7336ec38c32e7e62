from dataclasses import replace

import numpy as np
import pytest

from sim.contact import JawGuide, grip_at_speed, prepare, press, solved_loss_share


@pytest.mark.parametrize("drive", [5e4, 4e5, 4e6])
def test_a_softer_drive_loses_more(elastic_setup, elastic_bodies, on_springs, drive):
    setup = replace(elastic_setup, guide=JawGuide(radial_stiffness_n_per_mm=drive))
    bodies = on_springs(setup.guide)
    share = solved_loss_share(setup, press(setup, None, bodies), 10.0, bodies)
    rigid = press(elastic_setup, None, elastic_bodies)
    less = press(
        replace(elastic_setup, load=replace(elastic_setup.load, closing_force_n=59970.0)),
        None,
        elastic_bodies,
    )
    own = 10.0 / (rigid.approach_mm - less.approach_mm)
    assert share == pytest.approx(own / (own + drive), rel=1e-3)


def test_a_rigid_drive_loses_nothing(elastic_setup, elastic_bodies):
    rest = press(elastic_setup, None, elastic_bodies)
    assert solved_loss_share(elastic_setup, rest, 1000.0, elastic_bodies) == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(ValueError, match="outward_n"):
        solved_loss_share(elastic_setup, rest, 0.0, elastic_bodies)


def test_inside_gripping_gains(elastic_setup):
    bush = np.array([(50.0, 10.0), (62.0, 10.0), (62.0, 40.0), (50.0, 40.0)])
    setup = replace(
        elastic_setup,
        part=replace(elastic_setup.part, outline_mm=bush),
        grip=replace(elastic_setup.grip, inside=True),
        jaw=replace(elastic_setup.jaw, back_radius_mm=10.0),
        guide=JawGuide(radial_stiffness_n_per_mm=2e5),
    )
    bodies = prepare(setup)
    rest = press(setup, None, bodies)
    grips = grip_at_speed(setup, rest, np.array([[0.0] * 3, [1000.0] * 3, [4000.0] * 3]), bodies)
    assert grips[0] == pytest.approx(rest.grip_n)
    assert np.all(np.diff(grips, axis=0) > 0.0)
    assert 0.0 < solved_loss_share(setup, rest, 1000.0, bodies) < 1.0


def test_outside_gripping_loses(elastic_setup, on_springs):
    setup = replace(elastic_setup, guide=JawGuide(radial_stiffness_n_per_mm=2e5))
    bodies = on_springs(setup.guide)
    rest = press(setup, None, bodies)
    grips = grip_at_speed(setup, rest, np.array([[1000.0] * 3, [4000.0] * 3]), bodies)
    assert np.all(grips[1] < grips[0])
    assert np.all(grips[0] < rest.grip_n)
