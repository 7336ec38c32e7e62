"""Drawn lines lie on the faces that they are drawn on, and teeth of soft jaws fill the master jaw's grooves."""

from __future__ import annotations

import math

import numpy as np
import pytest

from meshes import insert, master_jaw
from meshes.boolean import difference
from meshes.chuck_body import ChuckBody
from meshes.jaw_screw import JawScrew
from meshes.master_jaw import MasterJaw, tooth_depth
from meshes.soft_jaw import SoftJawBlank
from sim.views import engraving

MASTER = MasterJaw(60.0, 40.0, 40.0, 1.5, 12.0, 20.0, 10.0, 10.0)
BLANK = SoftJawBlank(70.0, 36.0, 40.0, 20.0, (25.0,), 13.0, 20.0, 14.0)
BODY = ChuckBody(210.0, 52.0, 90.0, 40.0, 60.0)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_numbers_stand_on_the_outer_end_and_the_top(number: int) -> None:
    lines = engraving.jaw_number(BLANK, number)
    on_end = np.isclose(lines[..., 0], BLANK.length, atol=0.05).all(axis=1)
    on_top = np.isclose(lines[..., 2], BLANK.height, atol=0.05).all(axis=1)
    assert (on_end | on_top).all()
    assert on_end.any()
    assert on_top.any()
    assert (np.abs(lines[..., 1]) < 0.5 * BLANK.width).all()
    assert lines[on_top][..., 0].min() > 35.0  # clear of the counterbore


def test_threads_lie_on_the_shank_and_end_under_the_head() -> None:
    """ISO 4762: M12 has 2 * 12 + 12 = 36 mm of thread; ISO 261: its pitch is 1.75 mm."""
    lines = engraving.thread(JawScrew(12.0, 50.0))
    assert lines[..., 2].min() >= -50.0
    assert lines[..., 2].max() == pytest.approx(-14.0)
    radii = np.hypot(lines[:, 0, 0], lines[:, 0, 1])
    rings = np.unique(lines[radii > 5.9][:, 0, 2].round(6))
    assert np.diff(rings) == pytest.approx(1.75)
    assert radii.min() == pytest.approx(0.5 * 9.853, abs=0.01)  # d3 of M12, ISO 724


def test_the_chuck_s_face_is_drawn_between_the_slots() -> None:
    lines = engraving.chuck_face(BODY)
    assert (np.hypot(lines[..., 0], lines[..., 1]) < 0.5 * BODY.diameter - BODY.bevel).all()
    assert lines[..., 2] == pytest.approx(-BODY.face_drop, abs=0.05)
    for jaw in range(3):
        turn = 2.0 * math.pi / 3.0 * jaw
        along = lines[..., 0] * math.cos(turn) + lines[..., 1] * math.sin(turn)
        across = lines[..., 1] * math.cos(turn) - lines[..., 0] * math.sin(turn)
        assert not ((along > 0.0) & (np.abs(across) < 0.5 * BODY.slot_width - 0.01)).any()


def test_the_screw_stands_in_the_middle_of_the_insert() -> None:
    """The inscribed circle of CCMT 09 is 9.525 mm: its middle lies as far from the tip as the rhombus has it."""
    read = insert.parse("CCMT 09T304")
    lines = engraving.insert_screw(insert.mesh(read, math.radians(95.0)))
    assert lines is not None
    middle = 0.5 * (lines.reshape(-1, 3).min(axis=0) + lines.reshape(-1, 3).max(axis=0))
    half = math.radians(40.0)
    nose = np.array([-0.4, 0.4])
    away = (0.5 * 9.525 - 0.4) / math.sin(half)
    assert math.dist(middle[[0, 2]], nose) == pytest.approx(away, abs=0.02)
    assert np.abs(lines[..., 1]).max() < 0.05


@pytest.mark.parametrize("off", [-6.0, 3.0])
def test_the_teeth_fill_the_grooves_that_the_soft_jaw_covers(off: float) -> None:
    teeth = engraving.soft_teeth(MASTER, BLANK, off)
    assert teeth is not None
    assert teeth.is_volume
    low, high = teeth.bounds
    assert low[2] == pytest.approx(-tooth_depth(MASTER))
    assert low[0] >= max(0.0, off) - 1e-9
    assert high[0] <= min(MASTER.length, off + BLANK.length) + 1e-9
    grooved = master_jaw.mesh(MasterJaw(60.0, 40.0, 40.0, 1.5, 12.0, 20.0, 10.0, 10.0, serration_teeth=True))
    # What the teeth take from the grooved jaw is nothing, what they leave of the grooves under them, too.
    assert difference(grooved, [teeth]).volume == pytest.approx(grooved.volume, rel=1e-6)
    plain = master_jaw.mesh(MASTER).volume - grooved.volume
    share = (high[0] - low[0]) / (40 * 1.5) * (36.0 - 12.0) / (40.0 - 12.0)
    over = (high[0] - low[0]) * (36.0 - 12.0) * 0.2  # of the teeth in the soft jaw itself
    assert teeth.volume - over == pytest.approx(share * plain, rel=0.01)


def test_a_soft_jaw_beside_the_master_jaw_has_no_teeth_in_it() -> None:
    assert engraving.soft_teeth(MASTER, BLANK, 60.0) is None
