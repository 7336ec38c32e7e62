"""What a fixture finds in the jaws, by hand: over which height and width it bears, what stands behind its pins."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from sim.assessment import fixture
from sim.assessment.fixture import contact_height, fixture_bearing, fixture_figures, load_share, ring_size
from sim.base.tables import material
from sim.mechanics.fixtures import Load, outer_ring, plug
from sim.mechanics.fixtures.outer_ring import OuterRingSize
from sim.mechanics.fixtures.plug import PlugSize
from sim.scenario import Plug, Ring, Scenario
from sim.setup.parts import build

RING, PLUG, OUTER, BONNET = (
    "cast_hub_on_ring",
    "cast_hub_on_plug",
    "housing_gripped_inside",
    "valve_bonnet_two_steps",
)
Varied = Callable[..., Scenario]


def plug_of(varied: Varied, thickness: float) -> tuple[Scenario, Plug]:
    """Return the hub on its plug, which stands 10 mm over the serrations, and the plug of another thickness."""
    scenario = varied(PLUG, {"boring.fixture.thickness": f"{thickness} mm"})
    found = scenario.boring.fixture
    assert isinstance(found, Plug)
    return scenario, found


@pytest.mark.parametrize(("thickness", "height"), [(12.0, 12.0), (17.0, 17.0), (20.0, 17.0)])
def test_a_plug_bears_up_to_the_back_face(varied: Varied, thickness: float, height: float) -> None:
    """Jaws of 50 mm with a pocket of 23 mm: 27 mm of metal, the plug's underside at 10 mm."""
    assert contact_height(*plug_of(varied, thickness)) == pytest.approx(height)


def test_the_deepest_step_ends_it(varied: Varied) -> None:
    """Steps 16 and 34 mm deep in jaws of 60 mm: 26 mm, of which a plug from 10 mm up has 16 mm."""
    _, thick = plug_of(varied, 20.0)
    assert contact_height(varied(BONNET), thick) == pytest.approx(16.0)


def test_a_plug_bears_on_the_chord_that_it_turns(varied: Varied) -> None:
    """92 mm between inner ends that stand on 45 - 3 mm while boring: half a chord of sqrt(46^2 - 42^2) mm a jaw."""
    parts = build(varied(PLUG))
    by_hand = PlugSize(92.0, 0.0, 12.0, 2.0 * math.sqrt(46.0**2 - 42.0**2))
    found = fixture_bearing(parts)
    assert found is not None
    wanted = plug(by_hand, material("steel C45"), material("steel C45"))
    assert bears(found) == pytest.approx(bears(wanted))


def test_an_outer_ring_bears_on_the_whole_width(varied: Varied) -> None:
    """244 mm over jaws of 50 mm with edges broken by 1 mm."""
    found = fixture_bearing(build(varied(OUTER)))
    assert found is not None
    wanted = outer_ring(
        OuterRingSize(320.0, 244.0, 16.0, 2.0 * (25.0 - 1.0)), material("steel C45"), material("steel C45")
    )
    assert bears(found) == pytest.approx(bears(wanted))


def bears(found: Any) -> list[float]:
    """Return every strain under 5 kN a jaw at 300 rev/min, and what it gives."""
    return [*(s.value(5e3, 300.0) for s in (*found.strength, *found.seat)), found.give]


INSIDE = {"boring.fixture": {"kind": "ring", "outer_diameter": "170 mm", "inner_diameter": "90 mm",
                             "thickness": "14 mm", "pin_diameter": "20 mm"}}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "changes", "wall"),
    [
        # counterbores of 22 mm on 32 and 57 mm of a jaw of 81 mm, pressed outward: to the next one, or to the end
        (RING, {}, 57.0 - 32.0 - 22.0),
        (RING, {"boring.fixture": {"kind": "ring", "outer_diameter": "250 mm", "inner_diameter": "160 mm",
                                   "thickness": "14 mm", "pin_diameter": "20 mm", "screw": 1}}, 81.0 - 57.0 - 11.0),
        # on 28 and 68 mm of a jaw of 89 mm, pressed inward: to the inner end
        (OUTER, INSIDE, 28.0 - 11.0),
        (OUTER, {"boring.fixture": {**INSIDE["boring.fixture"], "outer_diameter": "250 mm",
                                    "inner_diameter": "160 mm", "screw": 1}}, 68.0 - 28.0 - 22.0),
    ],
    ids=["outward to the next", "outward to the end", "inward to the end", "inward to the next"],
)  # fmt: skip
def test_metal_behind_the_wall_that_a_pin_presses(
    varied: Varied, name: str, changes: dict[str, Any], wall: float
) -> None:
    parts = build(varied(name, changes))
    stated = parts.scenario.boring.fixture
    assert isinstance(stated, Ring)
    assert ring_size(parts, stated).wall == pytest.approx(wall)


@pytest.mark.parametrize("pressed", [True, False])
def test_what_no_metal_presses_has_no_load(
    varied: Varied, monkeypatch: pytest.MonkeyPatch, pressed: bool
) -> None:
    """Else jaws that close lose m r w^2 of it, here a quarter."""
    monkeypatch.setattr(fixture, "fixture_pressed", lambda _: pressed)
    load = Load(12e3, 1e3 * 1e3 / 100.0**2, "outside")  # 1 kN a jaw at 100 rad/s
    share = load_share(varied(RING), load, 100.0 * 30.0 / math.pi)
    assert share == pytest.approx(0.75 if pressed else 0.0)


def test_each_strain_is_that_of_its_worst_state(varied: Varied) -> None:
    """Jaws that close press a ring most at rest, jaws that open against an outer one at speed."""
    for name, state, speed in ((RING, "at rest", 0.0), (OUTER, "at the highest speed", 900.0)):
        parts = build(varied(name))
        found, bearing = fixture_figures(parts, 900.0), fixture_bearing(parts)
        assert found is not None
        assert bearing is not None
        jaw = (found.rest if state == "at rest" else found.at_speed) / 3.0
        for shown, strain in zip(found.seat, bearing.seat, strict=True):
            assert shown.state == state
            assert shown.value == pytest.approx(strain.value(jaw, speed))
        assert {s.state for s in found.strength} >= {state}


def test_a_seat_that_is_pressed_in_part_bears_on_so_much_less(
    varied: Varied, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same load on 0.8 of the width; where less than half is left that fails by itself, and all is taken."""
    parts = build(varied(PLUG))
    seat = fixture.fixture_seat(parts.scenario)
    assert seat is not None
    whole = 2.0 * math.sqrt(46.0**2 - 42.0**2)
    steel = material("steel C45")
    for share, counted in ((0.8, 0.8), (0.3, 1.0)):
        monkeypatch.setattr(fixture, "fixture_seat", lambda _, s=share: replace(seat, pressed=s))
        monkeypatch.setattr(fixture, "fixture_pressed", lambda _, s=share: s >= 0.5)
        found = fixture_bearing(parts)
        assert found is not None
        wanted = plug(PlugSize(92.0, 0.0, 12.0, counted * whole), steel, steel)
        assert bears(found) == pytest.approx(bears(wanted))
