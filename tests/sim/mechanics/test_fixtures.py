"""What a fixture bears by load and speed, pins as cantilevers, an outer ring as a curved bar: formulas written anew.

Winkler's curved bar under three loads as in Timoshenko, Strength of Materials II; a cantilever bends by F l^3 / (3 E I)
and shears by 10/9 F l / (G A) for a round section (Timoshenko).
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from sim.base.tables import Material
from sim.mechanics.fixtures import Load, boring_ring, outer_ring, plug
from sim.mechanics.fixtures.outer_ring import OuterRingSize
from sim.mechanics.fixtures.plug import PlugSize
from sim.mechanics.fixtures.ring import RingSize
from sim.mechanics.fixtures.strain import Bearing, Strain, largest_share, pressed_edge

STEEL = Material("", 210e3, 0.3, 7.85e-6, 340.0, 0.0, "1", "")
SOFT = Material("", 70e3, 0.33, 2.7e-6, 240.0, 0.0, "1", "")
SIZE = RingSize(190.0, 126.0, 14.0, 20.0, 16.0, 150.0, 22.0, 28.0, 3.0)
FAST = 100.0 * 30.0 / math.pi  # rev/min of 100 rad/s
FACTOR = 1.5  # yield over what a part may bear (common practice)


def strain(bearing: Bearing, word: str) -> Strain:
    (found,) = (s for s in (*bearing.strength, *bearing.seat) if word in s.what)
    return found


def test_a_strain_by_load_and_speed() -> None:
    """4 kN at 100 rad/s: 0.02 MPa/N of it and 0.003 MPa of each (rad/s)^2; rooted, 0.02 of its root."""
    one = Strain("", "MPa", 200.0, 0.02, "", "", per_speed=0.003)
    assert one.value(4e3, FAST) == pytest.approx(80.0 + 30.0)
    assert one.share(4e3, FAST) == pytest.approx(110.0 / 200.0)
    assert one.largest_load(FAST) == pytest.approx((200.0 - 30.0) / 0.02)
    assert one.largest_load(3.0 * FAST) == 0.0
    rooted = replace(one, rooted=True)
    assert rooted.value(4e3, FAST) == pytest.approx(0.02 * math.sqrt(4e3) + 30.0)
    assert rooted.largest_load(FAST) == pytest.approx(((200.0 - 30.0) / 0.02) ** 2)


@pytest.mark.parametrize(("direction", "sign"), [("outside", -1.0), ("inside", 1.0)])
def test_a_load_by_speed(direction: str, sign: float) -> None:
    """Jaws of 2 kg at 80 mm pull 1.6 kN each at 100 rad/s."""
    load = Load(12e3, 160.0, direction)  # type: ignore[arg-type]
    assert load.pull(FAST) == pytest.approx(4.8e3)
    assert load.at(FAST) == pytest.approx(12e3 + sign * 4.8e3)
    assert load.largest(FAST) == pytest.approx(12e3 + max(sign, 0.0) * 4.8e3)
    assert load.share_left(FAST) == pytest.approx(1.0 + sign * 0.4)
    assert load.guide_moment(FAST, 50.0) == pytest.approx(load.largest(FAST) / 3.0 * 50.0)
    assert Bearing((), (), 1e-5).moved(load, FAST) == pytest.approx(1e-5 * load.largest(FAST) / 3.0)


def test_the_worst_of_strains_and_states() -> None:
    """Pressed least at speed, a part of its own mass is still strained most there."""
    load = Load(12e3, 160.0, "outside")
    pressed, spun = (
        Strain("", "MPa", 100.0, 0.01, "", ""),
        Strain("", "MPa", 100.0, 0.0, "", "", per_speed=0.006),
    )
    assert largest_share([pressed], load, FAST) == pytest.approx(0.4)
    assert largest_share([pressed, spun], load, FAST) == pytest.approx(0.6)
    assert largest_share([replace(pressed, per_speed=0.006)], load, FAST) == pytest.approx(0.24 + 0.6)


def test_an_edge_is_pressed_over_its_seat() -> None:
    found = pressed_edge("", "", 12.0, 40.0, 240.0)
    assert found.value(4.8e3, 0.0) == pytest.approx(10.0)
    assert found.allowed == pytest.approx(240.0 / FACTOR)


def test_pins_bend_as_cantilevers() -> None:
    """Loaded at half their length: F l / 2 over pi d^3 / 32, with F over pi d^2 / 4 of shear (von Mises)."""
    found = strain(boring_ring(SIZE, STEEL, SOFT, inward=True), "the pins bend and shear")
    bending, shear = 8.0 / (math.pi * 20.0**3 / 32.0), 1.0 / (math.pi * 20.0**2 / 4.0)
    assert found.per_load == pytest.approx(math.hypot(bending, math.sqrt(3.0) * shear))
    assert found.allowed == pytest.approx(340.0 / FACTOR)


@pytest.mark.parametrize(
    ("size", "bears"),
    [(SIZE, 16.0), (replace(SIZE, pin_length=25.0), 20.0), (replace(SIZE, counterbore_depth=9.0), 9.0)],
)
def test_pins_bear_on_the_shortest_of_three(size: RingSize, bears: float) -> None:
    """Their length, their diameter, the counterbore's depth; the jaw's metal behind shears in two planes of 3 mm."""
    found = boring_ring(size, STEEL, SOFT, inward=True)
    on_wall, sheared = strain(found, "bear on their counterbores"), strain(found, "shear off the jaw's metal")
    assert on_wall.per_load == pytest.approx(1.0 / (20.0 * bears))
    assert on_wall.allowed == pytest.approx(240.0 / FACTOR)
    assert sheared.per_load == pytest.approx(1.0 / (2.0 * bears * 3.0))
    assert sheared.allowed == pytest.approx(240.0 / math.sqrt(3.0) / FACTOR)


def cantilever(length: float, diameter: float) -> float:
    inertia, area, shear = math.pi * diameter**4 / 64.0, math.pi * diameter**2 / 4.0, 210e3 / 2.6
    return length**3 / (3.0 * 210e3 * inertia) + 10.0 / 9.0 * length / (shear * area)


def test_a_ring_gives_by_its_pins_its_bend_and_its_turn() -> None:
    """Pins of other diameters differ by their own give; longer ones turn the ring by the square of their lever."""
    thick, slim = (
        boring_ring(replace(SIZE, pin_diameter=d), STEEL, SOFT, inward=True).give for d in (20.0, 12.0)
    )
    assert slim - thick == pytest.approx(cantilever(8.0, 12.0) - cantilever(8.0, 20.0))
    ring = {
        length: boring_ring(replace(SIZE, pin_length=length), STEEL, SOFT, inward=True).give
        - cantilever(0.5 * length, 20.0)
        for length in (6.0, 16.0, 26.0)
    }
    levers = {length: 0.5 * (length + 14.0) for length in ring}
    turns = [(ring[b] - ring[a]) / (levers[b] ** 2 - levers[a] ** 2) for a, b in ((6.0, 16.0), (16.0, 26.0))]
    assert turns[0] == pytest.approx(turns[1])
    assert turns[0] > 0.0
    assert ring[6.0] - turns[0] * levers[6.0] ** 2 > 0.0


def test_a_longer_lever_strains_a_ring_more() -> None:
    """Bent and twisted out of its plane in proportion to the pins' lever, beside what acts in its plane."""
    for word in ("bends midway", "bends and twists"):
        at = [
            strain(boring_ring(replace(SIZE, pin_length=length), STEEL, SOFT, inward=True), word).per_load
            for length in (6.0, 16.0, 26.0)
        ]
        assert 0.0 < at[0] < at[1] < at[2]
        assert at[2] - at[1] == pytest.approx(at[1] - at[0], rel=0.15)


def test_a_ring_is_bent_flat_by_statics() -> None:
    """Pins longer by 10 mm load a ring 5 mm further beside its middle: 5 / (2 sin 60 deg) N mm over b h^2 / 6."""
    short, long = (
        strain(
            boring_ring(replace(SIZE, pin_length=length), STEEL, SOFT, inward=True), "bends midway"
        ).per_load
        for length in (6.0, 16.0)
    )
    assert long - short == pytest.approx(5.0 / (2.0 * math.sin(math.pi / 3.0)) / (32.0 * 14.0**2 / 6.0))


def test_pins_that_open_into_the_rings_bore() -> None:
    """Holes at 126 mm of a bore of 126 mm leave metal outside of them alone: its own inner edge is strained."""
    at_bore = replace(SIZE, pin_circle=146.0, pin_length=1e-6)
    found = strain(boring_ring(at_bore, STEEL, SOFT, inward=True), "bends and twists")
    inner, outer, height, t = 83.0, 95.0, 14.0, math.pi / 3.0
    area, radius, whole = height * (outer - inner), 0.5 * (inner + outer), 0.5 * (63.0 + outer)
    neutral = (outer - inner) / math.log(outer / inner)
    e, pull = radius - neutral, 0.5 / math.tan(t)
    moment = 0.5 * (1.0 / t - 1.0 / math.tan(t)) * whole - pull * (radius - whole)
    plane = max(abs(pull / area + moment * (r - neutral) / (area * e * r)) for r in (inner, outer))
    lever, half = 7.0, 0.5
    bent = plane + half / math.tan(t) * lever / ((outer - inner) * height**2 / 6.0)
    # Twisted by half the couple, all of the ring's section: (3 a + 1.8 b) / (8 a^2 b^2) of half its sides (Roark).
    sheared = half * lever * (3.0 * 16.0 + 1.8 * 7.0) / (8.0 * 16.0**2 * 7.0**2)
    assert found.per_load == pytest.approx(math.hypot(bent, math.sqrt(3.0) * sheared), rel=1e-6)


def test_only_a_ring_that_is_pressed_inward_buckles() -> None:
    words = [
        {s.what for s in boring_ring(SIZE, STEEL, SOFT, inward=inward).strength} for inward in (True, False)
    ]
    assert words[0] - words[1] == {"the ring buckles"}


@pytest.mark.parametrize("outer", [150.0, 200.0])
def test_an_outer_ring_is_opened_midway_between_the_jaws(outer: float) -> None:
    """Its bore is pulled there by the moment and by W / (2 sin 60 deg) alike: sigma = N/A + M (r_n - r) / (A e r)."""
    found = outer_ring(OuterRingSize(2.0 * outer, 240.0, 16.0, 48.0), STEEL, SOFT)
    inner, height, t = 120.0, 16.0, math.pi / 3.0
    area, radius = height * (outer - inner), 0.5 * (inner + outer)
    neutral = (outer - inner) / math.log(outer / inner)
    e = radius - neutral
    moment = 0.5 * radius * (1.0 / math.sin(t) - (1.0 - e / radius) / t)
    bore = 0.5 / math.sin(t) / area + moment * (neutral - inner) / (area * e * inner)
    midway = strain(found, "midway")
    assert midway.per_load == pytest.approx(bore)
    assert midway.allowed == pytest.approx(340.0 / FACTOR)
    # a rotating disc with a bore: rho / 4 ((3 + nu) b^2 + (1 - nu) a^2), kg/(mm s2) are 1e-3 MPa
    spun = 1e-3 * 7.85e-6 / 4.0 * (3.3 * outer**2 + 0.7 * inner**2)
    assert midway.per_speed == pytest.approx(spun)
    assert found.seat[0].allowed == pytest.approx(240.0 / FACTOR)
    assert found.seat[0].per_load == pytest.approx(1.0 / (16.0 * 48.0))


def test_a_plug_by_its_size() -> None:
    """A strut as wide as a jaw's seat, all across the plug: pi^2 E I / d^2; a softer side is what yields."""
    solid = plug(PlugSize(92.0, 0.0, 12.0, 40.0), STEEL, SOFT)
    strut = math.pi**2 * 210e3 * (40.0 * 12.0**3 / 12.0) / 92.0**2
    buckles = strain(solid, "buckles")
    assert 1.0 < strut / buckles.allowed < 10.0
    thin = strain(plug(PlugSize(92.0, 0.0, 6.0, 40.0), STEEL, SOFT), "buckles")
    assert buckles.allowed / thin.allowed == pytest.approx(8.0)
    assert solid.seat[0].allowed == pytest.approx(240.0 / FACTOR)
    # with a thin wall it is the ring around the bore that buckles first
    assert (
        strain(plug(PlugSize(92.0, 90.0, 12.0, 40.0), STEEL, SOFT), "buckles").allowed < 0.1 * buckles.allowed
    )
    # 3 F / (2 pi R t) across a disc; jaws as wide as the plug press no more than all of its edge
    whole = plug(PlugSize(92.0, 0.0, 12.0, 92.0), STEEL, SOFT)
    assert whole.strength[0].per_load == pytest.approx(3.0 / (2.0 * math.pi * 46.0 * 12.0))
    # pressed all around by F of three jaws it gives by F (1 - nu) / (E b) R, b = 2 pi R t / 3 (Lame); a bore adds some
    even = (1.0 - 0.3) / (210e3 * 2.0 * math.pi * 12.0 / 3.0)
    assert even < whole.give < 1.2 * even
    assert plug(PlugSize(92.0, 40.0, 12.0, 92.0), STEEL, SOFT).give > 1.3 * even


def test_a_plug_with_a_bore_is_squeezed_as_a_thick_tube() -> None:
    """Jaws whose seats meet press evenly, q = 3 F / (2 pi R t): around a bore 2 q R^2 / (R^2 - a^2) (Lame)."""
    wide = PlugSize(92.0, 40.0, 12.0, 92.0 * math.sin(math.pi / 3.0))
    squeezed = strain(plug(wide, STEEL, SOFT), "squeeze")
    even = 3.0 / (2.0 * math.pi * 46.0 * 12.0)
    assert squeezed.per_load == pytest.approx(2.0 * even * 46.0**2 / (46.0**2 - 20.0**2), rel=1e-3)
    assert squeezed.allowed == pytest.approx(340.0 / FACTOR)
    # its own mass pulls at the bore too: rho / 4 ((3 + nu) b^2 + (1 - nu) a^2)
    assert squeezed.per_speed == pytest.approx(1e-3 * 7.85e-6 / 4.0 * (3.3 * 46.0**2 + 0.7 * 20.0**2))


def test_a_plug_that_is_but_a_wall_bends_as_a_ring() -> None:
    """2 mm of wall: 0.189 W R and 0.289 W under a jaw (test_fixture_forms.py), by Winkler at the worse edge."""
    inner, outer, height = 44.0, 46.0, 12.0
    found = strain(plug(PlugSize(92.0, 88.0, height, 40.0), STEEL, SOFT), "squeeze")
    area, radius = height * (outer - inner), 0.5 * (inner + outer)
    neutral = (outer - inner) / math.log(outer / inner)
    edges = [
        0.2887 / area + 0.1888 * radius * (r - neutral) / (area * (radius - neutral) * r)
        for r in (inner, outer)
    ]
    assert found.per_load == pytest.approx(max(map(abs, edges)), rel=1e-3)
    assert abs(edges[0] + edges[1]) > 0.005 * found.per_load
