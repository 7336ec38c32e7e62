"""Does the part bear the grip: what is judged of tough and of brittle metal, and where."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from sim import assess
from sim.assessment.part_wall import PartWall
from sim.assessment.stress import annulus_roundness, share_of_yield, strained, worst_of
from sim.base import tables
from sim.base.gripping import Direction
from sim.contact import ClampedShape, ClampedStress
from sim.scenario import Scenario

HUB = "cast_hub_on_ring"
Varied = Callable[..., Scenario]


def wall(material: str = "steel C45") -> PartWall:
    return PartWall(40.0, 50.0, 30.0, 0.5, "outside", tables.material(material), 100.0)


def aluminium(inner: float = 50.0, outer: float = 60.0, direction: Direction = "outside") -> PartWall:
    return PartWall(inner, outer, 20.0, 0.4, direction, tables.material("aluminium EN AW-6082-T6"), 200.0)


def made_up(*tensor: float) -> tuple[ClampedShape, ClampedStress]:
    """One band with a stress (MPa) beside one without, and a shape that is not moved."""
    nil = np.zeros((2, 1))
    places = np.array([[40.0, 25.0], [50.0, 25.0]])
    shape = ClampedShape(places, np.zeros(1), np.zeros((2, 3, 1)), nil, nil[:, 0], np.zeros((2, 2)))
    stress = np.array([np.zeros(6), tensor])[:, :, None]
    return shape, ClampedStress(places, np.zeros(1), stress, 2.0)


def test_tough_metal_yields_by_von_mises() -> None:
    """Tension and pressure across it, 100 MPa each: von Mises is the root of three times one alone."""
    found = strained(wall(), 1e3, 0.0, *made_up(100.0, -100.0, 0.0, 0.0, 0.0, 0.0))
    assert found.kind == "equivalent"
    assert found.decisive == pytest.approx(3.0**0.5 * 100.0)
    assert found.place == (50.0, 25.0)
    assert found.share == pytest.approx(found.decisive / wall().material.yield_strength)


def test_grey_iron_cracks_where_it_is_pulled() -> None:
    found = strained(wall("cast iron GJL-250"), 1e3, 0.0, *made_up(100.0, -300.0, 0.0, 0.0, 0.0, 0.0))
    assert (found.kind, found.decisive) == ("tension", pytest.approx(100.0))
    pressed = strained(wall("cast iron GJL-250"), 1e3, 0.0, *made_up(-50.0, -300.0, -20.0, 0.0, 0.0, 0.0))
    assert pressed.decisive == 0.0  # the other band bears nothing
    sheared = strained(wall("cast iron GJL-250"), 1e3, 0.0, *made_up(0.0, 0.0, 0.0, 80.0, 0.0, 0.0))
    assert sheared.decisive == pytest.approx(80.0)


def test_the_pressure_under_a_jaw_counts_too() -> None:
    found = strained(wall(), 1e3, 500.0, *made_up(10.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    assert found.share == pytest.approx(0.6 * 500.0 / 100.0)


def test_the_worst_of_several_states() -> None:
    one = strained(wall(), 1e3, 0.0, *made_up(100.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    other = replace(
        one, decisive=50.0, place=(1.0, 2.0), hoop=70.0, bending=30.0, share=0.9, displacement=1.0
    )
    for states in ([one, other], [other, one]):
        found = worst_of(states)
        assert (found.decisive, found.place) == (one.decisive, one.place)
        assert (found.hoop, found.bending, found.share, found.displacement) == (
            max(one.hoop, 70.0),
            max(one.bending, 30.0),
            0.9,
            1.0,
        )


def test_a_collar_behind_the_grip_bears_what_the_wall_does(varied: Varied) -> None:
    """A thin ring of grey iron gripped inside by far too much cracks; of steel, which bears more, it does not."""
    ring = [["58 mm", "0 mm"], ["63 mm", "0 mm"], ["63 mm", "30 mm"], ["58 mm", "30 mm"]]
    thin = "thin_ring_distorts"
    shares = {}
    for material in ("cast iron GJL-250", "steel 42CrMo4, quenched and tempered"):
        changes = {"operations.0.workpiece.outline": ring, "operations.0.workpiece.material": material}
        found = assess(varied(thin, changes), advised=False).operations[0].clamping
        shares[material] = found.decisive_stress
        assert found.decisive_kind == ("tension" if "GJL" in material else "equivalent")
        assert found.decisive_place is not None
        assert 57.9 < found.decisive_place[0] < 63.1
        assert 0.0 < found.bending_stress <= found.hoop_stress
    # Both bear the same bending, whose tension between the jaws is about half of its pressure under them.
    iron, steel = shares.values()
    assert 0.2 * steel < iron < 0.9 * steel


def test_without_finite_elements_the_annulus_counts(varied: Varied) -> None:
    found = (
        assess(varied("thin_ring_distorts"), contact_model="foundation", advised=False).operations[0].clamping
    )
    assert found.decisive_kind == "around the wall"
    assert found.decisive_stress == found.hoop_stress > 0.0
    assert found.decisive_place is None


def test_bore_and_outside_move_and_nothing_else_counts() -> None:
    """Of a hollow part both circles at the gripped height, outward; of a solid one the outside alone."""
    shape, stress = made_up(10.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    moved = np.array([[[0.01], [9.0], [9.0]], [[-0.03], [9.0], [9.0]]])
    shape = replace(shape, moved_mm=moved)
    assert strained(wall(), 1e3, 0.0, shape, stress).displacement == pytest.approx(0.03)
    assert strained(replace(wall(), inner=0.0), 1e3, 0.0, shape, stress).displacement == pytest.approx(0.01)


def test_a_solid_part_has_no_wall() -> None:
    found = strained(replace(wall(), inner=0.0), 1e3, 0.0, *made_up(10.0, 20.0, 0.0, 0.0, 0.0, 0.0))
    assert found.hoop == 0.0
    assert found.bending != found.bending
    assert found.decisive > 0.0


@pytest.mark.parametrize(
    ("hoop", "part", "peak", "softer", "share"),
    [(120.0, 240.0, 100.0, 200.0, 0.5), (60.0, 240.0, 100.0, 200.0, 0.3), (0.0, 240.0, 500.0, 200.0, 1.5)],
)
def test_the_larger_share_of_a_yield_strength(
    hoop: float, part: float, peak: float, softer: float, share: float
) -> None:
    """Tresca under a line contact is 0.60 p0 (Johnson, Contact Mechanics; tests/reference/test_many_digits.py)."""
    assert share_of_yield(hoop, part, peak, softer) == pytest.approx(share)


def test_without_a_shape_the_even_annulus_is_asked() -> None:
    """A thin ring under three forces P bends by 0.1888 P R / (L t2 / 6) at most; wide jaws spread the load."""
    found = strained(aluminium(), 1e3, 10.0, None, None)
    bent = 0.1888 * 1e3 * 55.0 / (20.0 * 10.0**2 / 6.0)
    assert 0.3 * bent < found.hoop < bent
    assert strained(aluminium(), 2e3, 10.0, None, None).hoop == pytest.approx(2.0 * found.hoop)
    assert strained(aluminium(inner=0.0), 1e3, 10.0, None, None).hoop == 0.0


def test_the_bore_is_judged_gripped_outside_and_the_outside_otherwise() -> None:
    """Of a thick wall the loaded circle is squeezed out of round more than the other, so they can be told apart."""
    for direction in ("outside", "inside"):
        thick = aluminium(inner=20.0, direction=direction)
        thin = aluminium(inner=50.0, direction=direction)
        assert 0.0 < annulus_roundness(thick, 1e3) < annulus_roundness(thin, 1e3)
    # A solid part's bore does not exist: its outside is judged, pressed under the jaws themselves.
    assert annulus_roundness(aluminium(inner=0.0), 1e3) > annulus_roundness(aluminium(inner=3.0), 1e3)
