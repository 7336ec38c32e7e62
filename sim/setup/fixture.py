"""The boring fixture's dimensions, its seat in the jaws, its height and its pins; back stops. Lengths in mm."""

from __future__ import annotations

from meshes.boring_ring import BoringRing
from meshes.outer_ring import OuterRing
from meshes.plug import Plug
from meshes.pocket import Pocket
from sim.base.errors import in_field
from sim.scenario import BackStop, Scenario
from sim.scenario import OuterRing as OuterRingTable
from sim.scenario import Plug as PlugTable
from sim.scenario import Ring as RingTable
from sim.setup.jaw_place import JawPlace


def fixture_height(scenario: Scenario) -> float:
    """Return the height (mm) above the serrated plane at which the jaws are loaded while boring; 0 without fixture."""
    fixture = scenario.boring.fixture
    if fixture.kind == "none":
        return 0.0
    if fixture.kind == "ring":
        return scenario.soft_jaw.height - 0.5 * fixture.pin_length
    return fixture.height + 0.5 * fixture.thickness


def fixture_lever(scenario: Scenario) -> float:
    """Return the height of the load on the fixture above the guideway's middle, mm."""
    return fixture_height(scenario) + scenario.chuck.guideway_depth


def pin_circle(scenario: Scenario, place: JawPlace, screw: int, pin_diameter: float) -> float:
    """Return the diameter (mm) on which a ring's pins stand: at the boring travel each touches its counterbore's wall.

    Jaws that close press the outer side of a counterbore against its pin, jaws that open the inner side.
    """
    axis = place.bored + scenario.soft_jaw.screws.positions[screw]
    play = 0.5 * (scenario.soft_jaw.screws.counterbore_diameter - pin_diameter)
    return 2.0 * (axis + play if place.outside else axis - play)


def ring_dimensions(scenario: Scenario, place: JawPlace) -> BoringRing:
    """Return a boring ring's dimensions, its pins where they touch their counterbores."""
    fixture, screws = scenario.boring.fixture, scenario.soft_jaw.screws.positions
    if not isinstance(fixture, RingTable):
        raise TypeError("only a boring ring has pins")
    if fixture.screw >= len(screws):
        raise ValueError(
            f"boring.fixture.screw must be 0 to {len(screws) - 1} (there are {len(screws)} screws), "
            f"found {fixture.screw}"
        )
    circle = pin_circle(scenario, place, fixture.screw, fixture.pin_diameter)
    with in_field("boring.fixture"):
        return BoringRing(
            fixture.outer_diameter,
            fixture.inner_diameter,
            fixture.thickness,
            fixture.pin_diameter,
            fixture.pin_length,
            circle,
        )


def plug_dimensions(stated: PlugTable) -> Plug:
    """Return a plug's dimensions."""
    with in_field("boring.fixture"):
        return Plug(stated.diameter, stated.thickness, stated.bore_diameter)


def outer_ring_dimensions(stated: OuterRingTable) -> OuterRing:
    """Return an outer ring's dimensions."""
    with in_field("boring.fixture"):
        return OuterRing(stated.outer_diameter, stated.inner_diameter, stated.thickness)


def fixture_seat(scenario: Scenario) -> Pocket | None:
    """Return the seat that a plug or an outer ring has in the jaws, turned before the pockets."""
    fixture, height = scenario.boring.fixture, scenario.soft_jaw.height
    if isinstance(fixture, PlugTable):
        diameter, low = fixture.diameter, fixture.height
    elif isinstance(fixture, OuterRingTable):
        diameter, low = fixture.inner_diameter, fixture.height
    else:
        return None
    if not low < height:
        raise ValueError(
            f"boring.fixture.height must lie below the jaws' top face, {height:g} mm, found {low:g} mm"
        )
    return Pocket(diameter, height - low)


def stop_dimensions(stated: BackStop | None, number: int) -> Plug | None:
    """Return the dimensions of the back stop of an operation, a disc; None without one."""
    if stated is None:
        return None
    with in_field(f"operations[{number}].back_stop"):
        return Plug(stated.outer_diameter, stated.thickness, stated.inner_diameter)
