"""A part that bends: beams of the handbooks (Timoshenko, Strength of Materials; Roark), from memory, or by hand."""

from __future__ import annotations

import numpy as np
import pytest

from sim.mechanics.part_bend import Beam, Root, Spring, gives

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
