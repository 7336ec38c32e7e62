"""A part that bends: beams of the handbooks (Timoshenko; Roark) or by hand; derived again in test_derived_again.py."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.linalg import eigh

from sim.base.arrays import Floats
from sim.mechanics.part_bend import Beam, Root, Spring, gives, whip_speed

LENGTH, RIGIDITY = 300.0, 210e3 * np.pi / 64.0 * 30.0**4
BEAM = Beam(np.linspace(0.0, LENGTH, 7), np.full(6, RIGIDITY))
FIXED, STIFF = Root(1e15, 1e20), 1e12
HINGE = 10.0  # N mm/rad, nothing beside the beam and much beside rounding


def test_a_cantilever() -> None:
    assert gives(LENGTH, BEAM, FIXED, ()) == pytest.approx(LENGTH**3 / (3.0 * RIGIDITY), rel=1e-6)
    assert gives(170.0, BEAM, FIXED, ()) == pytest.approx(170.0**3 / (3.0 * RIGIDITY), rel=1e-6)


@pytest.mark.parametrize("share", [0.25, 0.5, 0.7])
def test_a_beam_fixed_at_one_end_and_propped_at_the_other(share: float) -> None:
    """Load at a from the fixed end, b = L - a: deflection a^3 b^2 (4 L - a) / (12 E I L^3) there."""
    a, b = share * LENGTH, (1.0 - share) * LENGTH
    wanted = a**3 * b**2 * (4.0 * LENGTH - a) / (12.0 * RIGIDITY * LENGTH**3)
    assert gives(a, BEAM, FIXED, (Spring(LENGTH, STIFF),)) == pytest.approx(wanted, rel=1e-6)


def test_midway_of_the_propped_beam() -> None:
    found = gives(0.5 * LENGTH, BEAM, FIXED, (Spring(LENGTH, STIFF),))
    assert found == pytest.approx(7.0 * LENGTH**3 / (768.0 * RIGIDITY), rel=1e-6)


def test_a_beam_on_two_hinges() -> None:
    """A root that tilts freely: F a^2 b^2 / (3 E I L)."""
    hinged, a = Root(1e15, HINGE), 120.0
    b = LENGTH - a
    wanted = a**2 * b**2 / (3.0 * RIGIDITY * LENGTH)
    assert gives(a, BEAM, hinged, (Spring(LENGTH, STIFF),)) == pytest.approx(wanted, rel=1e-4)


def test_beyond_a_steady_a_hinged_part_is_an_overhang() -> None:
    """Hinged at 0 and at l, load a beyond: F a^2 (l + a) / (3 E I)."""
    span, a = 200.0, 100.0
    found = gives(span + a, BEAM, Root(1e15, HINGE), (Spring(span, STIFF),))
    assert found == pytest.approx(a**2 * (span + a) / (3.0 * RIGIDITY), rel=1e-4)


def test_a_stiff_part_on_springs_by_the_lever_law() -> None:
    """Jaws that tilt freely and yield by 1/k, a centre by 1/c at L: at a the sum of both by their levers."""
    rigid = Beam(np.array([0.0, LENGTH]), np.array([1e20]))
    a, k, c = 90.0, 500e3, 20e3
    wanted = (1.0 - a / LENGTH) ** 2 / k + (a / LENGTH) ** 2 / c
    assert gives(a, rigid, Root(k, HINGE), (Spring(LENGTH, c),)) == pytest.approx(wanted, rel=1e-4)


def test_a_thinner_end_in_slices_of_its_own() -> None:
    """Cantilever of two parts, load at its end: the integral of (L - x)^2 / (E I) by hand."""
    stepped = Beam(np.array([0.0, 100.0, 300.0]), np.array([4.0 * RIGIDITY, RIGIDITY]))
    wanted = (300.0**3 - 200.0**3) / (3.0 * 4.0 * RIGIDITY) + 200.0**3 / (3.0 * RIGIDITY)
    assert gives(300.0, stepped, FIXED, ()) == pytest.approx(wanted, rel=1e-6)


def test_nothing_that_bears_makes_it_give_more() -> None:
    soft = Root(600e3, 9e9)
    for place in (50.0, 150.0, 290.0):
        alone = gives(place, BEAM, soft, ())
        propped = gives(place, BEAM, soft, (Spring(LENGTH, 20e3),))
        both = gives(place, BEAM, soft, (Spring(LENGTH, 20e3), Spring(150.0, 50e3)))
        assert 0.0 < both <= propped <= alone
    assert gives(-5.0, BEAM, soft, ()) == pytest.approx(1.0 / 600e3)


def test_what_is_no_beam() -> None:
    with pytest.raises(ValueError, match="rising edges"):
        Beam(np.array([0.0, 5.0, 5.0]), np.array([1.0, 1.0]))
    with pytest.raises(ValueError, match="must be stiff"):
        Beam(np.array([0.0, 5.0]), np.array([0.0]))


def lowest_swing(beam: Beam, masses: Floats, root: Root, springs: tuple[Spring, ...]) -> float:
    """Return the lowest bending speed of a beam, rad/s, by finite elements with cubics (Hermite): shares no formula.

    Mass is spread over each slice; supports must stand on edges. A rigid length joins the root to the first edge.
    """
    edges = beam.edges
    size = 2 * len(edges)
    stiff, mass = np.zeros((size, size)), np.zeros((size, size))
    for k, (rigidity, own) in enumerate(zip(beam.rigidity, masses, strict=True)):
        h, at = edges[k + 1] - edges[k], slice(2 * k, 2 * k + 4)
        stiff[at, at] += (
            rigidity
            / h**3
            * np.array(
                [
                    [12, 6 * h, -12, 6 * h],
                    [6 * h, 4 * h**2, -6 * h, 2 * h**2],
                    [-12, -6 * h, 12, -6 * h],
                    [6 * h, 2 * h**2, -6 * h, 4 * h**2],
                ]
            )
        )
        mass[at, at] += (
            own
            / 420.0
            * np.array(
                [
                    [156, 22 * h, 54, -13 * h],
                    [22 * h, 4 * h**2, 13 * h, -3 * h**2],
                    [54, 13 * h, 156, -22 * h],
                    [-13 * h, -3 * h**2, -22 * h, 4 * h**2],
                ]
            )
        )
    arm = edges[0]
    # Deflection of the root is that of the first edge less its slope times the arm.
    stiff[:2, :2] += root.across * np.array([[1.0, -arm], [-arm, arm**2]]) + root.tilt * np.diag([0.0, 1.0])
    for spring in springs:
        (node,) = np.flatnonzero(np.isclose(edges, spring.place))
        stiff[2 * node, 2 * node] += spring.stiffness
    return math.sqrt(1000.0 * float(eigh(stiff, mass, eigvals_only=True)[0]))


def test_a_free_bar_whips_at_its_own_frequency() -> None:
    """Steel, 20 mm thick, 400 mm free: 1.875^2 sqrt(E I / (m L^4)), any handbook of vibrations; 2 % below it."""
    rigidity, per_length = 210e3 * np.pi / 64.0 * 20.0**4, 7.85e-6 * np.pi / 4.0 * 20.0**2
    beam = Beam(np.linspace(0.0, 400.0, 101), np.full(100, rigidity))
    exact = 30.0 / math.pi * 1.8751**2 * math.sqrt(1000.0 * rigidity / (per_length * 400.0**4))
    found = whip_speed([(beam, np.full(100, 4.0 * per_length))], 0.0, FIXED, ())
    assert exact == pytest.approx(5427.0, abs=5.0)
    assert found == pytest.approx(math.sqrt(12.0) / 1.8751**2 * exact, rel=1e-3)


@pytest.mark.parametrize("springs", [(), (40.0,), (15.0, 70.0)], ids=["free", "steady rest", "two"])
def test_a_stepped_part_whips_no_slower_than_it_is_told(springs: tuple[float, ...]) -> None:
    """Thick, then thin, on jaws that yield, borne at some places: below finite elements, and by how much."""
    edges = np.linspace(20.0, 320.0, 121)
    middles = 0.5 * (edges[1:] + edges[:-1])
    thick = np.where(middles < 120.0, 50.0, 22.0)
    beam, root = Beam(edges, 210e3 * np.pi / 64.0 * thick**4), Root(600e3, 9e9)
    masses = 7.85e-6 * np.pi / 4.0 * thick**2 * np.diff(edges)
    held = tuple(Spring(20.0 + 3.0 * place, 20e3) for place in springs)
    told = whip_speed([(beam, masses)], 0.0, root, held)
    exact = 30.0 / math.pi * lowest_swing(beam, masses, root, held)
    assert 0.8 * exact < told < exact


def test_a_mass_in_the_jaws_and_an_end_behind_them_make_it_whip_sooner() -> None:
    root = Root(600e3, 9e9)
    masses = np.full(6, 2.0)
    alone = whip_speed([(BEAM, masses)], 0.0, root, ())
    heavy = whip_speed([(BEAM, masses)], 5.0, root, ())
    both = whip_speed([(BEAM, masses), (BEAM, masses)], 0.0, root, ())
    assert heavy < alone
    # The sums of both ends add up.
    assert both == pytest.approx(alone / math.sqrt(2.0))
    front = whip_speed([(BEAM, masses)], 0.0, root, (Spring(LENGTH, 20e3),))
    borne = whip_speed([(BEAM, masses), (BEAM, masses)], 0.0, root, (Spring(LENGTH, 20e3),))
    assert borne == pytest.approx((alone**-2 + front**-2) ** -0.5)
    # A mass on a spring: 30 / pi sqrt(k / m).
    stub = Beam(np.array([0.0, 1e-6]), np.array([1e20]))
    assert whip_speed([(stub, np.zeros(1))], 6.0, root, ()) == pytest.approx(
        30.0 / math.pi * math.sqrt(600e6 / 6.0)
    )


def test_a_cut_between_the_jaws_bends_nothing_but_them() -> None:
    """Before the beam's root there is no lever: what the jaws yield is left, and a support there bears no moment."""
    soft = Root(50e3, 1e3)
    assert gives(-5.0, BEAM, soft, ()) == pytest.approx(1.0 / 50e3, rel=1e-9)
    assert gives(0.0, BEAM, soft, ()) == pytest.approx(1.0 / 50e3, rel=1e-9)
    beside = gives(-5.0, BEAM, soft, (Spring(-20.0, 25e3),))
    assert beside == pytest.approx(1.0 / 75e3, rel=1e-9)  # two springs side by side


def test_jaws_that_yield_and_tilt_add_to_the_bend() -> None:
    """By hand: 1 / k + a^2 / k_tilt + a^3 / (3 E I), and the more the softer the jaws are."""
    a, soft = 180.0, Root(50e3, 4e7)
    by_hand = 1.0 / 50e3 + a**2 / 4e7 + a**3 / (3.0 * RIGIDITY)
    assert gives(a, BEAM, soft, ()) == pytest.approx(by_hand, rel=1e-6)
    # Borne at its end by a centre as stiff as k_c: the end's own give there is what it saves.
    at_end = 1.0 / 50e3 + a * LENGTH / 4e7 + a**2 * (3.0 * LENGTH - a) / (6.0 * RIGIDITY)
    end = 1.0 / 50e3 + LENGTH**2 / 4e7 + LENGTH**3 / (3.0 * RIGIDITY)
    found = gives(a, BEAM, soft, (Spring(LENGTH, 30e3),))
    assert found == pytest.approx(by_hand - at_end**2 / (end + 1.0 / 30e3), rel=1e-6)
