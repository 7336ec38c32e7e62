"""What boring fixtures bear, against published values and models that share no code with `sim.mechanics.fixtures`."""

from __future__ import annotations

import math

import numpy as np
import pytest
from frame import Bar, end_forces, rigid, solved
from frame import ring as frame_ring
from scipy.linalg import eigh, null_space

from sim.base.tables import Material, material
from sim.mechanics.distortion import annulus
from sim.mechanics.fixtures import bar, outer_ring, plug
from sim.mechanics.fixtures.bar import Section
from sim.mechanics.fixtures.outer_ring import OuterRingSize
from sim.mechanics.fixtures.plug import PlugSize
from sim.mechanics.fixtures.ring import RingSize, boring_ring, hertz_in_bore

STEEL = material("steel C45")
COUNT = 240  # beams to the ring; loads stand on nodes 0, 80 and 160
RADIUS, WIDE, HIGH = 300.0, 6.0, 10.0
SECTION = Section(((RADIUS - 0.5 * WIDE, RADIUS + 0.5 * WIDE),), HIGH)
SHEAR = STEEL.modulus / (2.0 * (1.0 + STEEL.poisson))
FRAME = Bar(
    STEEL.modulus, SHEAR, WIDE * HIGH, HIGH * WIDE**3 / 12.0, WIDE * HIGH**3 / 12.0, SECTION.torsion[0]
)


def _three(component: int, value: float) -> np.ndarray:
    """Return a load on the three nodes: 0 outward, 1 a couple about the tangent."""
    load = np.zeros((COUNT, 6))
    for n in (0, COUNT // 3, 2 * COUNT // 3):
        angle = 2.0 * math.pi * n / COUNT
        out, along = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
        load[n, 3 * component : 3 * component + 2] = value * np.array(along if component else out)
    return load.ravel()


def test_ring_under_three_loads() -> None:
    """Roark, rings under equal radial loads, and the frame.

    Worked out here: 0.189 W R and 0.289 W at a load, 0.100 W R and 0.577 W
    midway. By statics with half the angle t between loads: pull cot t / 2 and 1 / (2 sin t); no turn of the
    section from a load to midway gives the moments (1/t - cot t) / 2 and (1/sin t - 1/t) / 2.
    """
    t = math.pi / 3.0
    assert pytest.approx(0.5 * (1.0 / t - 1.0 / math.tan(t)), rel=1e-9) == bar.MOMENT_AT_LOAD
    assert bar.moment_midway(0.0) == pytest.approx(0.5 * (1.0 / math.sin(t) - 1.0 / t), rel=1e-9)
    assert pytest.approx((0.5 / math.tan(t), 0.5 / math.sin(t)), rel=1e-9) == (
        bar.PULL_AT_LOAD,
        bar.PULL_MIDWAY,
    )
    assert pytest.approx(0.1888, abs=1e-4) == bar.MOMENT_AT_LOAD
    assert bar.moment_midway(0.0) == pytest.approx(0.0999, abs=1e-4)
    assert pytest.approx((0.2887, 0.5774), abs=1e-4) == (bar.PULL_AT_LOAD, bar.PULL_MIDWAY)
    stiffness, _ = frame_ring(FRAME, RADIUS, COUNT)
    moved = solved(stiffness, _three(0, 1.0))
    at_load = end_forces(FRAME, RADIUS, COUNT, moved, 0)
    midway = end_forces(FRAME, RADIUS, COUNT, moved, COUNT // 6)
    assert abs(at_load[5]) == pytest.approx(bar.MOMENT_AT_LOAD * RADIUS, rel=5e-3)
    assert abs(midway[5]) == pytest.approx(bar.moment_midway(0.0) * RADIUS, rel=5e-3)
    assert at_load[5] * midway[5] < 0.0
    assert -at_load[0] == pytest.approx(bar.PULL_AT_LOAD, rel=0.03)
    assert -midway[0] == pytest.approx(bar.PULL_MIDWAY, rel=5e-3)
    assert moved[0, 0] == pytest.approx(bar.radial_give(SECTION, STEEL.modulus, STEEL.poisson), rel=5e-3)


def test_ring_turned_out_of_its_plane() -> None:
    stiffness, _ = frame_ring(FRAME, RADIUS, COUNT)
    moved = solved(stiffness, _three(1, 1.0))
    at_couple = end_forces(FRAME, RADIUS, COUNT, moved, 0)
    midway = end_forces(FRAME, RADIUS, COUNT, moved, COUNT // 6)
    assert abs(midway[4]) == pytest.approx(bar.BEND_MIDWAY, rel=5e-3)
    assert abs(at_couple[4]) == pytest.approx(bar.BEND_AT_COUPLE, rel=0.03)
    assert abs(at_couple[3]) == pytest.approx(bar.TWIST_AT_COUPLE, rel=0.03)
    assert moved[0, 4] == pytest.approx(bar.turn(SECTION, STEEL.modulus, STEEL.poisson), rel=5e-3)


def test_a_stocky_ring_gives_by_shear_too() -> None:
    """Castigliano: all strain energy of bending, pull and shear (1.2 of a rectangle), summed along the ring.

    At an angle from midway: pull cos / (2 sin t), shear sin / (2 sin t), moment R / 2 (cos / sin t - 1 / t).
    """
    inner, outer, height, t = 60.0, 100.0, 20.0, math.pi / 3.0
    area, radius = height * (outer - inner), 80.0
    inertia = area * radius * (radius - (outer - inner) / math.log(outer / inner))
    at = np.linspace(0.0, t, 20001)
    pull, shear = np.cos(at) / (2.0 * math.sin(t)), np.sin(at) / (2.0 * math.sin(t))
    moment = 0.5 * radius * (np.cos(at) / math.sin(t) - 1.0 / t)
    energy = (
        moment**2 / (STEEL.modulus * inertia)
        + pull**2 / (STEEL.modulus * area)
        + 1.2 * shear**2 / (SHEAR * area)
    )
    found = bar.radial_give(Section(((inner, outer),), height), STEEL.modulus, STEEL.poisson)
    assert found == pytest.approx(2.0 * radius * np.trapezoid(energy, at), rel=1e-6)


@pytest.mark.parametrize(
    ("long", "short", "stiffness", "strength"),
    [(1.0, 1.0, 0.141, 0.208), (2.0, 1.0, 0.229, 0.246), (1.0, 4.0, 0.281, 0.282), (10.0, 1.0, 0.312, 0.312)],
)
def test_torsion_of_a_rectangle(long: float, short: float, stiffness: float, strength: float) -> None:
    """J = beta b t^3, shear T / (alpha b t^2) (Timoshenko; as in test_derived_again.py)."""
    b, t = 5.0 * max(long, short), 5.0 * min(long, short)
    j, shear = Section(((200.0, 200.0 + 5.0 * long),), 5.0 * short).torsion
    assert j == pytest.approx(stiffness * b * t**3, rel=5e-3)
    # Roark's form of the shear is within 5 % of the table, to either side.
    assert shear == pytest.approx(1.0 / (strength * b * t**2), rel=0.05)


@pytest.mark.parametrize(("width", "height"), [(20.0, 2.0), (10.0, 8.0)])
def test_ring_buckles_out_of_its_plane(width: float, height: float) -> None:
    """A frame under an even pressure whose direction stays: its least eigenvalue, rigid motions being held."""
    flat = Section(((RADIUS - 0.5 * width, RADIUS + 0.5 * width),), height)
    own = Bar(STEEL.modulus, SHEAR, width * height, 1e9, width * height**3 / 12.0, flat.torsion[0])
    count = 90
    stiffness, pulled = frame_ring(own, RADIUS, count, pull=-1.0)
    out = np.r_[[[6 * n + 2, 6 * n + 3, 6 * n + 4] for n in range(count)]].ravel()
    k, g = stiffness[np.ix_(out, out)], pulled[np.ix_(out, out)]
    free = null_space(rigid(RADIUS, count)[out].T)
    share = float(eigh(-free.T @ g @ free, free.T @ k @ free, eigvals_only=True).max())
    # A thrust q R goes with loads of 2 pi R q / 3.
    in_all = 2.0 * math.pi / 3.0 / share
    assert bar.critical_load(flat, STEEL.modulus, STEEL.poisson) == pytest.approx(in_all, rel=0.02)


@pytest.mark.parametrize("wall", [4.0, 15.5, 38.0])
def test_outer_ring_against_the_annulus(wall: float) -> None:
    """Michell's series under short arcs, around the outer circle, where a jaw presses; the bar says more."""
    inner, half = 122.0, 0.02
    size = OuterRingSize(2.0 * (inner + wall), 2.0 * inner, 16.0, 49.0)
    found = outer_ring(size, STEEL, STEEL).strength[0]
    whole = annulus(1.0, inner, inner + wall, 16.0, STEEL.modulus, STEEL.poisson, 3, "inside", half)
    assert whole.free_stress <= found.per_load * 1.01
    if wall < 10.0:
        assert found.per_load == pytest.approx(whole.free_stress, rel=0.08)


def test_thick_curved_bar() -> None:
    """A bar from radius a to b under a pure moment (Golovin; test_derived_again.py): Winkler is near it.

    sigma = 4 M / N (b^2 - a^2 - (a b / r)^2 ln(b/a) + b^2 ln(r/b) + a^2 ln(a/r)), N = (b^2 - a^2)^2 - (2 a b ln(b/a))^2
    """
    a, b = 50.0, 100.0
    n = (b * b - a * a) ** 2 - 4.0 * a * a * b * b * math.log(b / a) ** 2
    exact = [
        4.0 / n * (b * b - a * a - (a * b / r) ** 2 * math.log(b / a) + b * b * math.log(r / b)
                   + a * a * math.log(a / r))
        for r in (a, b)
    ]  # fmt: skip
    found = Section(((a, b),), 1.0).stresses(1.0, 0.0)
    assert [abs(s) for s in found] == pytest.approx([abs(s) for s in exact], rel=0.05)


def test_section_of_a_hole_and_of_a_thin_wall() -> None:
    """A hole in the middle of a slender bar: (b^3 - d^3) / (6 b); a thin wall: e = b^2 / (12 R)."""
    pierced = Section(((990.0, 1000.0 - 3.0), (1000.0 + 3.0, 1010.0)), 5.0)
    modulus = 5.0 * (20.0**3 - 6.0**3) / (6.0 * 20.0)
    assert pierced.stresses(1.0, 0.0)[1] == pytest.approx(1.0 / modulus, rel=0.02)
    for width in (2.0, 0.9, 0.1, 1e-3):
        thin = Section(((1000.0 - 0.5 * width, 1000.0 + 0.5 * width),), 5.0)
        assert thin.eccentricity == pytest.approx(width**2 / 12000.0, rel=1e-3)


def test_spinning_discs() -> None:
    """A thin ring: rho v^2. A disc with a tiny hole: twice the stress of one without (Timoshenko & Goodier)."""
    density = 7.85e-6
    thin = bar.spun(99.999, 100.0, density, 0.3)
    assert thin == pytest.approx(1e-3 * density * 100.0**2, rel=1e-3)
    assert bar.spun(1e-6, 80.0, density, 0.3) == pytest.approx(2.0 * bar.spun(0.0, 80.0, density, 0.3))


def test_hertz_of_a_pin() -> None:
    """A roller of steel, R 50, on a flat of aluminium under 35 kN/mm: 3585 MPa (NAFEMS, contact benchmark 1; see
    roller_in_bore.py). In a bore: 0.591 sqrt(E F (d0 - d) / (d d0 t)), as EN 1993-1-8, 3.15 has it but for d^2."""
    steel = Material("", 210000.0, 0.3, 7.85e-6, 340.0, 0.0, "1", "")
    aluminium = Material("", 70000.0, 0.3, 2.7e-6, 255.0, 0.0, "1", "")
    assert hertz_in_bore(35000.0, 100.0, 1e9, steel, aluminium) == pytest.approx(3585.0, rel=0.01)
    code = 0.591 * math.sqrt(210000.0 * 5800.0 * 6.0 / (16.0 * 22.0 * 8.0))
    assert hertz_in_bore(5800.0 / 8.0, 16.0, 22.0, steel, steel) == pytest.approx(code, rel=2e-3)


def test_pin_in_the_edge_of_its_hole() -> None:
    """A pressure linear along the hole whose sum is the load and whose moment about the face is that of the load."""
    size = RingSize(190.0, 126.0, 14.0, 20.0, 8.0, 150.0, 22.0, 28.0, 3.0)
    found = next(s for s in boring_ring(size, STEEL, STEEL, inward=True).strength if "holes" in s.what)
    depth = np.linspace(0.0, 14.0, 20001)
    slope = np.array([[14.0, 0.5 * 14.0**2], [0.5 * 14.0**2, 14.0**3 / 3.0]])
    # Forces into the ring: sum 1; moment about the face: - 4 mm, since the load acts outside of the hole.
    first, second = np.linalg.solve(slope, [1.0 / 20.0, -4.0 / 20.0])
    assert found.per_load == pytest.approx(np.abs(first + second * depth).max(), rel=1e-9)


def test_thin_plug_buckles_below_a_plate_held_all_around() -> None:
    """Timoshenko & Gere: a plate supported all around bears 4.20 D / R^2 along its edge; three jaws hold less."""
    size = PlugSize(92.0, 0.0, 2.0, 48.0)
    found = next(s for s in plug(size, STEEL, STEEL).strength if "buckles" in s.what)
    stiffness = STEEL.modulus * 2.0**3 / (12.0 * (1.0 - STEEL.poisson**2))
    held = 4.20 * stiffness / 46.0**2 * 2.0 * math.pi * 46.0 / 3.0
    assert 0.0 < found.allowed * 3.0 < held


def test_a_plug_is_squeezed_as_a_disc_and_as_a_ring() -> None:
    """Solid: 3 F / (2 pi R t) everywhere; with a tiny bore about twice that around it (Lame)."""
    solid = plug(PlugSize(92.0, 0.0, 12.0, 48.0), STEEL, STEEL).strength[0].per_load
    assert solid == pytest.approx(3.0 / (math.pi * 92.0 * 12.0))
    pierced = plug(PlugSize(92.0, 0.5, 12.0, 48.0), STEEL, STEEL).strength[0].per_load
    assert pierced == pytest.approx(2.0 * solid, rel=0.05)
