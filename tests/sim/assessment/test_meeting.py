"""What a part is nearest to, on shapes whose distances are known without the program: boxes (radius, height) in mm."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from sim.assessment import meeting
from sim.assessment.meeting import GRIPPED, LOADED, Meeting, while_gripped, while_put_in
from sim.setup.surroundings import SOFT_JAWS, Around

box = shapely.box
SEAT = 30.0  # of a pocket 20 mm deep in jaws 50 mm high; the part is gripped at 100 mm
DISC = box(0.0, SEAT, 50.0, 70.0)


def union(*shapes: BaseGeometry) -> BaseGeometry:
    return shapely.union_all(shapes)


@pytest.fixture
def met(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Ask a part of that half section among bodies by name, gripped or put in."""

    def ask(
        part: BaseGeometry,
        state: str,
        direction: str = "outside",
        depths: tuple[float, ...] = (20.0,),
        **bodies: Any,
    ) -> Meeting:
        pockets = [SimpleNamespace(depth=depth) for depth in depths]
        work = SimpleNamespace(gripped_diameter_low=99.9, gripped_diameter_high=100.1)
        figures: Any = SimpleNamespace(
            zone=SimpleNamespace(seat=SEAT), operation=SimpleNamespace(workpiece=work)
        )
        scenario = SimpleNamespace(
            soft_jaw=SimpleNamespace(height=50.0), pocket_of=lambda _: pockets[0], pockets=pockets
        )
        parts: Any = SimpleNamespace(scenario=scenario, direction=direction)
        around = [Around(SOFT_JAWS if name == "jaws" else name, image) for name, image in bodies.items()]
        monkeypatch.setattr(meeting, "around", lambda _parts, _travel: around)
        monkeypatch.setattr(meeting, "half_section", lambda _figures, _parts: part)
        return while_put_in(parts, figures) if state == LOADED else while_gripped(parts, figures, 3.0)

    return ask


def test_the_nearest_of_several_bodies_and_where_on_the_part(met: Any) -> None:
    """A screw 4 mm beside the part, a body 3 mm below and 4 mm beside its corner, 5 mm off."""
    found = met(DISC, GRIPPED, screw=box(54.0, 40.0, 60.0, 45.0), body=box(54.0, 20.0, 60.0, 27.0))
    assert (found.body, found.gap, found.radius, found.across, found.along) == ("screw", 4.0, 50.0, 0.0, 0.0)
    assert 40.0 <= found.height <= 45.0
    found = met(DISC, GRIPPED, body=box(54.0, 20.0, 60.0, 27.0))
    assert found == Meeting(5.0, "body", GRIPPED, 50.0, 30.0)


def test_an_overlap_is_as_deep_as_the_shorter_way_out_of_its_worst_piece(met: Any) -> None:
    """Two pieces, 5 by 2 and 4 by 3 mm: 3 mm out of the second, whose middle is at radius 48."""
    foul = union(box(45.0, 32.0, 60.0, 34.0), box(46.0, 40.0, 60.0, 43.0))
    found = met(DISC, GRIPPED, plug=foul)
    assert (found.gap, found.across, found.along) == pytest.approx((-3.0, 4.0, 3.0))
    assert (found.radius, found.height) == pytest.approx((48.0, 41.5))


def test_what_stands_before_the_part_meets_it_only_on_its_way_in(met: Any) -> None:
    """A stop 10 mm out in front of a flange of 80 mm, 2 mm inside its rim; gripped, the flange lies 25 mm behind."""
    part = union(DISC, box(0.0, 75.0, 80.0, 85.0), box(0.0, 70.0, 40.0, 75.0))
    stop = box(78.0, 110.0, 90.0, 120.0)
    assert met(part, GRIPPED, stop=stop).gap == pytest.approx(25.0)
    assert met(part, LOADED, stop=stop).gap == pytest.approx(-2.0)
    # Beside the way of the rim there is room.
    assert met(part, LOADED, stop=box(83.0, 110.0, 90.0, 120.0)).gap == pytest.approx(3.0)


JAWS = union(box(50.0, 0.0, 100.0, 50.0), box(20.0, 0.0, 100.0, SEAT))  # with a pocket of 100 mm


def test_where_it_is_gripped_and_stands_the_part_may_touch_its_jaws(met: Any) -> None:
    assert met(DISC, GRIPPED, jaws=JAWS, cover=box(0.0, 200.0, 9.0, 210.0)).body == "cover"


@pytest.mark.parametrize(("radius", "gap"), [(18.0, 2.0), (21.0, -1.0)])
def test_a_spigot_below_the_back_face_may_not(met: Any, radius: float, gap: float) -> None:
    """It stands in the jaws' opening of 40 mm."""
    found = met(union(DISC, box(0.0, 20.0, radius, SEAT)), GRIPPED, jaws=JAWS)
    assert (found.body, found.gap) == (SOFT_JAWS, pytest.approx(gap, abs=0.02))


@pytest.mark.parametrize(("low", "gap"), [(53.0, 3.0), (49.0, -1.0)])
def test_nor_a_flange_wider_than_what_is_gripped(met: Any, low: float, gap: float) -> None:
    """It stands over the jaws' tops at 50 mm, in no pocket of its own."""
    found = met(union(DISC, box(0.0, low, 80.0, 70.0)), GRIPPED, jaws=JAWS)
    assert (found.body, found.gap) == (SOFT_JAWS, pytest.approx(gap, abs=1e-6))


def test_gripped_inside_it_is_a_narrower_neck_that_may_not(met: Any) -> None:
    """A ring gripped in its bore of 100 mm, with a lip inwards over the jaws, 2 mm above their tops."""
    jaws = box(20.0, 0.0, 50.0, 50.0)
    ring = union(box(50.0, SEAT, 80.0, 70.0), box(40.0, 52.0, 50.0, 60.0))
    assert met(ring, GRIPPED, direction="inside", jaws=jaws).gap == pytest.approx(2.0)
    # Outwards of the bore nothing of a ring is asked beside jaws that stand in it.
    plain = met(
        box(50.0, SEAT, 80.0, 70.0), GRIPPED, direction="inside", jaws=jaws, cover=box(0, 200, 9, 210)
    )
    assert plain.body == "cover"


def test_on_its_way_in_a_spigot_passes_the_jaws_whole_height(met: Any) -> None:
    """Jaws that stand further in at their tops, at radius 15, than where the spigot of 36 mm ends up."""
    jaws = union(box(20.0, 0.0, 100.0, 25.0), box(15.0, 40.0, 100.0, 50.0))
    part = union(DISC, box(0.0, 10.0, 18.0, SEAT))
    assert met(part, LOADED, jaws=jaws).gap == pytest.approx(-3.0, abs=0.02)
    assert met(part, GRIPPED, jaws=union(box(20.0, 0.0, 100.0, 25.0))).gap == pytest.approx(2.0)


def test_walls_of_a_shallower_pocket_in_front_are_asked_elsewhere(met: Any) -> None:
    """A collar of 110 mm stands in a wider step of the same jaws, 1 mm from its wall: not from below the tops on."""
    jaws = union(box(56.0, 0.0, 100.0, 50.0), box(50.0, 0.0, 100.0, 40.0), box(20.0, 0.0, 100.0, SEAT))
    part = union(DISC, box(0.0, 42.0, 55.0, 60.0))
    of_two = met(part, GRIPPED, depths=(20.0, 10.0), jaws=jaws)
    assert of_two.gap == pytest.approx(1.0)
    low = union(DISC, box(0.0, 42.0, 55.0, 49.0))
    assert met(low, GRIPPED, depths=(20.0, 10.0), jaws=jaws, cover=box(0, 200, 9, 210)).body == "cover"
    assert met(low, GRIPPED, depths=(20.0,), jaws=jaws).gap == pytest.approx(1.0)


def test_metal_under_a_deeper_pocket_is_asked_only_below_it(met: Any) -> None:
    """The part stands over a deeper pocket of 80 mm, whose wall its boss clears by half a millimetre."""
    jaws = union(box(50.0, 0.0, 100.0, 50.0), box(40.0, 0.0, 100.0, SEAT), box(20.0, 0.0, 100.0, 15.0))
    boss = union(DISC, box(0.0, 18.0, 39.5, SEAT))
    found = met(boss, GRIPPED, depths=(20.0, 35.0), jaws=jaws, cover=box(0, 200, 9, 210))
    assert found.body == "cover"
    assert met(
        union(boss, box(0.0, 10.0, 19.0, 18.0)), GRIPPED, depths=(20.0, 35.0), jaws=jaws
    ).gap == pytest.approx(1.0)
