"""A boring fixture where the jaws press it and the path leaves it room. Lengths in mm."""

from __future__ import annotations

from sim.scenario import OuterRing, Plug, Ring, Scenario
from sim.setup.jaw_place import JawPlace
from sim.setup.refusal import refuse


def require_fixture_side(scenario: Scenario, place: JawPlace) -> None:
    """Refuse a fixture that the jaws move away from when they press as they will grip."""
    fixture, direction = scenario.boring.fixture, place.direction
    if isinstance(fixture, Plug) and direction == "inside":
        refuse("boring.fixture.kind", 'must not be "plug" for jaws that grip inside: they open away from it')
    if isinstance(fixture, OuterRing) and direction == "outside":
        refuse(
            "boring.fixture.kind",
            'must not be "outer ring" for jaws that grip outside: they close away from it',
        )


def require_fixture(scenario: Scenario, place: JawPlace) -> None:
    """Refuse a fixture that the jaws do not reach, or that stands in the boring path."""
    fixture, jaw = scenario.boring.fixture, scenario.soft_jaw
    inner = place.bored
    if isinstance(fixture, OuterRing):
        _outer_ring(scenario, fixture, inner)
    if isinstance(fixture, Plug):
        if not inner < 0.5 * fixture.diameter < inner + jaw.length:
            refuse(
                "boring.fixture.diameter",
                f"must be over {2 * inner:g} mm, the opening between the jaws at the boring travel, found "
                f"{fixture.diameter:g} mm",
            )
        narrowest = min(p.diameter for p in scenario.pockets)
        seat = jaw.height - max(p.depth for p in scenario.pockets)
        if place.outside and fixture.diameter >= narrowest:
            refuse(
                "boring.fixture.diameter",
                f"must be under {narrowest:g} mm, the narrowest pocket, found {fixture.diameter:g} mm",
            )
        if place.outside and fixture.height >= seat:
            refuse(
                "boring.fixture.height",
                f"must be under {seat:g} mm, the back face of the deepest pocket, found {fixture.height:g} mm",
            )
        if fixture.height + fixture.thickness > jaw.height:
            refuse(
                "boring.fixture.height",
                f"must keep the plug below the jaws' top face, {jaw.height:g} mm, found its upper face at "
                f"{fixture.height + fixture.thickness:g} mm",
            )
    if isinstance(fixture, Ring) and fixture.pin_diameter >= jaw.screws.counterbore_diameter:
        refuse(
            "boring.fixture.pin_diameter",
            f"must be under the counterbore's diameter, {jaw.screws.counterbore_diameter:g} mm, found "
            f"{fixture.pin_diameter:g} mm",
        )


def _outer_ring(scenario: Scenario, fixture: OuterRing, inner: float) -> None:
    """Refuse an outer ring that the jaws do not reach, or that stands only where their steps are turned."""
    farthest = inner + scenario.soft_jaw.length
    if not 2.0 * inner < fixture.inner_diameter <= 2.0 * farthest:
        refuse(
            "boring.fixture.inner_diameter",
            f"must lie between {2.0 * inner:g} and {2.0 * farthest:g} mm, the jaws' inner and outer ends at the "
            f"boring travel, so that they press against it, found {fixture.inner_diameter:g} mm",
        )
    seat = scenario.soft_jaw.height - max(p.depth for p in scenario.pockets)
    if fixture.height >= seat:
        refuse(
            "boring.fixture.height",
            f"must be under {seat:g} mm, the back face of the deepest step, above which the ring's seat is turned "
            f"away, found {fixture.height:g} mm",
        )
