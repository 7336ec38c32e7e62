"""The closed forms again in 40 digits and by other ways: roots, integrals, balances solved as they stand.

mpmath computes with as many digits as asked (its own sines, roots, sums to infinity, integrals). What is compared is
arithmetic and algebra: a slip of a formula, or digits lost where nearly equal numbers are subtracted. Sources of the
formulas are those of the modules. Every figure is first turned from a float into mpmath without rounding.
"""

from __future__ import annotations

import math

import closed_forms
import mpmath as mp
import numpy as np
import pytest

from sim.base.tables import thread
from sim.mechanics.distortion import annulus, displacement, thin_ring
from sim.mechanics.drilling import drilling_forces
from sim.mechanics.grip import Wedge, falling_jaw_force, jaw_force
from sim.mechanics.hold import needed_grip, overhang_lever
from sim.mechanics.kienzle import chip_section, cutting_force, specific_force
from sim.mechanics.screws import equivalent_stress, torque_per_preload
from sim.mechanics.spin import centrifugal_force, permissible_speed
from sim.mechanics.stroke import loading_clearance, touch_offset, wall_distance

DIGITS = 40
DRAWS = np.random.default_rng(14).uniform(0.0, 1.0, (6, 6))


@pytest.fixture(autouse=True)
def _many_digits():
    with mp.workdps(DIGITS):
        yield


def close(found, wanted, rel=1e-13):
    assert abs(mp.mpf(float(found)) - wanted) <= rel * abs(wanted), (found, mp.nstr(wanted, 18))


# Stroke: a bore of radius Rb whose centre stands e off the axis


@pytest.mark.parametrize("draw", DRAWS)
def test_wall_of_the_bore(draw):
    """The ray at phi meets the circle |r exp(i phi) - e| = Rb: found as a root, not by the formula."""
    bored, e, phi = 20.0 + 80.0 * draw[0], 5.0 * (draw[1] - 0.5), 2.0 * draw[2] - 1.0
    root = mp.findroot(
        lambda r: (r * mp.cos(phi) - e) ** 2 + (r * mp.sin(phi)) ** 2 - mp.mpf(bored) ** 2, mp.mpf(bored)
    )
    close(wall_distance(phi, e, bored), root)


@pytest.mark.parametrize("difference", [1e-1, 1e-3, 1e-6])
@pytest.mark.parametrize("direction", ["outside", "inside"])
def test_touch_on_the_edges(difference, direction):
    """Both edges of the face lie on the part, (chord + e, half) at its radius. Digits are lost, none that count.

    Outside the part is larger than the bore, inside it is smaller; the offset is good to 1e-12 mm.
    """
    bored, half = 50.0, 25.0
    part = bored + difference if direction == "outside" else bored - difference
    chord = mp.sqrt(mp.mpf(bored) ** 2 - half**2)
    wanted = mp.findroot(lambda e: (chord + e) ** 2 + half**2 - mp.mpf(part) ** 2, 0.0)
    assert abs(mp.mpf(touch_offset(part, bored, 2.0 * half, direction)) - wanted) < 1e-12


@pytest.mark.parametrize("direction", ["outside", "inside"])
@pytest.mark.parametrize("travel", [0.3, 2.5])
def test_least_clearance_for_loading(direction, travel):
    """Nowhere on the open face does the part come nearer: the face followed in 400 places, each in 40 digits."""
    bored, half = 50.0, 25.0
    e = travel if direction == "outside" else -travel
    reach = mp.asin(mp.mpf(half) / bored)
    angles = [reach * k / 200 for k in range(-200, 201)]
    distances = [mp.hypot(bored * mp.cos(a) + e, bored * mp.sin(a)) for a in angles]
    part = 49.0 if direction == "outside" else 51.0
    wanted = min(distances) - part if direction == "outside" else part - max(distances)
    close(loading_clearance(part, bored, 2.0 * half, travel, direction), wanted, 1e-12)


# Grip: one jaw as a free body, its balances solved together


def balance(pull, height, angle, depth, length, friction, *, rising):
    """Solve one jaw for N (wedge flank), T (its thrust), M (moment on the guideway), the grip; pressure linear.

    Along the spindle: pull = N sin a + s mu N cos a; across: the thrust T = N cos a - s mu N sin a. On the guideway
    the pressure that takes the moment M = G h + T depth has forces P on an arm 2 L / 3 at both ends, friction mu each.
    The pull presses the jaw on its seat. s is 1 while the pull rises and -1 while it falls.
    """
    s = 1 if rising else -1
    mu, a = mp.mpf(friction), mp.mpf(angle)
    # unknowns: N, T, P, G
    rows = mp.matrix(
        [
            [mp.sin(a) + s * mu * mp.cos(a), 0, 0, 0],
            [mp.cos(a) - s * mu * mp.sin(a), -1, 0, 0],
            [0, mp.mpf(depth), -mp.mpf(2) * length / 3, mp.mpf(height)],
            [0, 1, -2 * s * mu, -1],
        ]
    )
    return mp.lu_solve(rows, mp.matrix([pull, 0, 0, s * mu * pull]))[3]


@pytest.mark.parametrize("draw", DRAWS)
def test_free_body_of_a_jaw(draw):
    angle, depth, length = 0.2 + 0.3 * draw[0], 20.0 * draw[1], 60.0 + 60.0 * draw[2]
    friction, height, pull = 0.02 + 0.1 * draw[3], 20.0 + 60.0 * draw[4], 1e4 * (1.0 + draw[5])
    wedge = Wedge(angle, depth, length, friction)
    close(
        jaw_force(pull, height, wedge),
        balance(pull, height, angle, depth, length, friction, rising=True),
        1e-12,
    )
    close(
        falling_jaw_force(pull, height, wedge),
        balance(pull, height, angle, depth, length, friction, rising=False),
        1e-12,
    )


# Cutting


@pytest.mark.parametrize("draw", DRAWS)
def test_kienzle(draw):
    """The force is the specific force over the chip's section, and the section is feed times depth at any kappa."""
    feed, depth, kappa = 0.05 + 0.5 * draw[0], 0.5 + 4.0 * draw[1], 0.5 + draw[2]
    kc, mc = 1000.0 + 1500.0 * draw[3], 0.1 + 0.2 * draw[4]
    h, b = chip_section(feed, depth, kappa)
    close(h * b, mp.mpf(feed) * depth)
    thickness = mp.mpf(feed) * mp.sin(kappa)
    close(specific_force(h, kc, mc), kc * mp.exp(-mc * mp.log(thickness)))
    close(cutting_force(feed, depth, kappa, kc, mc), kc * mp.mpf(feed) * depth * thickness ** (-mp.mpf(mc)))


def test_drill_as_two_lips():
    """Each lip from the axis to D/2 bears b h^(1-mc) kc evenly: torque and thrust by integrals along the lips."""
    feed, diameter, kc, mc, point = 0.2, 12.0, 1500.0, 0.25, math.radians(118.0)
    kappa = mp.mpf(point) / 2
    per_length = kc * (mp.mpf(feed) / 2 * mp.sin(kappa)) ** (1 - mp.mpf(mc))
    lip = mp.mpf(diameter) / 2 / mp.sin(kappa)
    torque = 2 * mp.quad(lambda s: per_length * s * mp.sin(kappa), [0, lip])
    found = drilling_forces(feed, diameter, kc, mc, 0.0)
    close(0.5 * found.tangential * found.diameter, torque)
    close(found.feed, 2 * per_length * lip * mp.sin(kappa))


# Hold


@pytest.mark.parametrize("draw", DRAWS)
def test_needed_grip(draw):
    """Friction turned against torque and axial force at once: the grip at which the circle of friction is reached."""
    fc, ff, fp = 500.0 + 2e3 * draw[0], 200.0 + 1e3 * draw[1], 100.0 + 1e3 * draw[2]
    cut, held, mu = 40.0 + 60.0 * draw[3], 50.0 + 60.0 * draw[4], 0.1 + 0.1 * draw[5]
    found = needed_grip(fc, ff, fp, cut, held, mu, 30.0, 20.0)
    around = mp.mpf(fc) * cut / held
    close(
        found.combined,
        mp.findroot(lambda f: (mp.mpf(mu) * f) ** 2 - around**2 - mp.mpf(ff) ** 2, 2e4 + fc / mu),
    )
    moment = mp.hypot(mp.mpf(fc) * 30, mp.mpf(fp) * 30 + mp.mpf(ff) * cut / 2)
    close(found.overhang, moment / (mp.mpf(mu) * held / 4 + mp.mpf(20) / 12))


@pytest.mark.parametrize("turn", [0.0, 0.3, 1.0])
def test_lever_of_three_jaws_by_any_plane(turn):
    """Three jaws with F / 3 each resist with mu F/3 d/2 and F/3 l/6, both times the cosine of their angle."""
    mu, d, held = 0.15, 80.0, 24.0
    cosines = [mp.cos(turn + 2 * mp.pi * k / 3) for k in range(3)]
    lever = sum(c * c for c in cosines) / 3 * (mp.mpf(mu) * d / 2 + mp.mpf(held) / 6)
    close(overhang_lever(mu, d, held), lever)


# Screws


@pytest.mark.parametrize("name", ["M8", "M12", "M16"])
@pytest.mark.parametrize("mu", [0.08, 0.14])
def test_torque_of_a_screw(name, mu):
    """The nut on its thread is a wedge: d2/2 tan(lead + friction on 30 deg flanks), and the head's friction.

    VDI 2230 has the tangent of the sum opened, 0.159 P + 0.577 d2 mu: lower by what the product of both tangents
    gives, under 0.7 % of the torque, and by the rounding of its constants.
    """
    screw, hole = thread(name), thread(name).hole_medium
    lead = mp.atan(mp.mpf(screw.pitch) / (mp.pi * screw.pitch_diameter))
    friction = mp.atan(mp.mpf(mu) / mp.cos(mp.pi / 6))
    exact = (
        screw.pitch_diameter / 2 * mp.tan(lead + friction) + mp.mpf(mu) * (screw.bearing_diameter + hole) / 4
    )
    assert 0 < 1 - torque_per_preload(screw, hole, mu, mu) / exact < 0.007
    opened = mp.mpf(screw.pitch) / (2 * mp.pi) + screw.pitch_diameter * mp.mpf(mu) / (2 * mp.cos(mp.pi / 6))
    head = mp.mpf(mu) * (screw.bearing_diameter + hole) / 4
    close(torque_per_preload(screw, hole, mu, mu), opened + head, 1e-3)
    # Tension and torsion of the whole section at shear yield: an even shear over the circle of the stress area.
    root = (mp.mpf(screw.pitch_diameter) + screw.root_diameter) / 2
    shear = (opened) / (mp.quad(lambda r: 2 * mp.pi * r * r, [0, root / 2]))
    tension = 1 / (mp.pi / 4 * root**2)
    close(equivalent_stress(1.0, screw, mu), mp.sqrt(tension**2 + 3 * shear**2), 1e-3)


# Spin


@pytest.mark.parametrize("draw", DRAWS)
def test_speed_at_which_the_grip_is_lost(draw):
    """m r omega^2; VDI 3106's speed is the root of F_sp0 = S_sp (S_z F_spz + F_c), EN 1550's of F_c = 2/3 F_sp0."""
    rest, needed, moment = 4e4 * (1.0 + draw[0]), 8e3 * draw[1], 200.0 * (1.0 + draw[2])

    def pulled(n):
        return mp.mpf(moment) / 1000 * (2 * mp.pi * n / 60) ** 2

    close(centrifugal_force(moment, 2500.0), pulled(2500))
    found = permissible_speed(rest, needed, moment, 9999.0, "outside", 1.6, 1.4)
    close(found.by_cutting, mp.findroot(lambda n: 1.4 * (1.6 * mp.mpf(needed) + pulled(n)) - rest, 2000))
    close(found.by_loss, mp.findroot(lambda n: pulled(n) - mp.mpf(2) / 3 * rest, 3000))


# Rings


@pytest.mark.parametrize("loads", [2, 3, 4])
def test_thin_ring_is_its_series_summed_to_infinity(loads):
    """u = -sum of N cos(n theta) / (pi (n^2 - 1)^2) over n = N, 2 N, ... to infinity; R = 1 and E I = 1."""
    ring = thin_ring(1.0, 1.0, 1e-2, 12e6, 1.0, loads)
    at = mp.nsum(lambda k: 1 / ((loads * k) ** 2 - 1) ** 2, [1, mp.inf]) * loads / mp.pi
    between = mp.nsum(lambda k: (-1) ** int(k) / ((loads * k) ** 2 - 1) ** 2, [1, mp.inf]) * loads / mp.pi
    close(ring.at_load, -at, 1e-11)
    close(ring.at_middle, -between, 1e-11)


def michell(n, inner, outer, modulus, poisson, at):
    """Michell's four functions of harmonic n, solved in many digits without any scaling: -1 cos n theta outside.

    phi = (A r^n + B r^(n+2) + C r^-n + D r^(2-n)) cos n theta; sigma_rr = phi'/r - n^2 phi/r^2, sigma_rt = n (phi/r)'.
    Displacements come from Hooke's law integrated term by term: 2 G u_r of r^m is -m for the harmonic functions and
    kappa - 1 -+ n with r^(n+2), r^(2-n) (Barber, Elasticity, tables), plane stress.
    """
    n, kappa = mp.mpf(n), (3 - mp.mpf(poisson)) / (1 + mp.mpf(poisson))
    powers = [n, n + 2, -n, 2 - n]
    rows, wanted = [], []
    for r, pressure in ((mp.mpf(inner), 0), (mp.mpf(outer), -1)):
        rows.append([(m - n * n) * r ** (m - 2) for m in powers])
        rows.append([n * (m - 1) * r ** (m - 2) for m in powers])
        wanted += [pressure, 0]
    found = mp.lu_solve(mp.matrix(rows), mp.matrix(wanted))
    move = [-n, kappa - n - 1, n, kappa + n - 1]
    shear = mp.mpf(modulus) / (2 * (1 + mp.mpf(poisson)))
    return sum(c * f * mp.mpf(at) ** (m - 1) for c, f, m in zip(found, move, powers, strict=True)) / (
        2 * shear
    )


@pytest.mark.parametrize("inner", [5.0, 30.0, 44.0, 49.0])
def test_harmonics_of_an_annulus(inner):
    """Orders up to 60 of walls from thick to a fiftieth: the solves in floats lose five digits at the worst."""
    outer, modulus, poisson, width = 50.0, 210e3, 0.3, 20.0
    with mp.workdps(400):  # r^n and r^-n side by side, at n = 60 of a thick wall
        for loads in (2, 3):
            found = annulus(1000.0, inner, outer, width, modulus, poisson, loads, terms=60 // loads)
            line = mp.mpf(loads) * 1000 / (mp.pi * outer * width)  # amplitude of each harmonic, MPa
            for n, bore, outside in zip(found.harmonics.tolist(), found.bore, found.outside, strict=True):
                at_bore, at_outside = (
                    line * michell(n, inner, outer, modulus, poisson, r) for r in (inner, outer)
                )
                close(outside, at_outside, 1e-10)
                assert abs(bore - at_bore) <= 1e-10 * abs(at_outside)


def test_reference_annulus_of_the_other_tests():
    """`closed_forms.michell`, to which the finite elements are held, in plane stress: the same numbers."""
    with mp.workdps(300):
        for n in (2, 3, 12, 48):
            wanted = -michell(n, 44.0, 50.0, 210e3, 0.3, 50.0)
            close(closed_forms.michell(n, 44.0, 50.0, 210e3, 0.3, 50.0, plane_stress=True), wanted, 1e-9)


def test_shape_of_a_ring_as_a_sum():
    """The sum of 20 harmonics under arcs, at the places asked."""
    half = 0.2
    found = annulus(1000.0, 44.0, 50.0, 20.0, 210e3, 0.3, 3, half_angle=half, terms=20)
    line = mp.mpf(3) * 1000 / (mp.pi * 50 * 20)
    with mp.workdps(400):
        orders = {n: michell(n, 44.0, 50.0, 210e3, 0.3, 44.0) for n in range(3, 61, 3)}
    for angle in (0.0, 0.4, math.pi / 3.0):
        waves = sum(
            line * mp.sin(n * half) / (n * mp.mpf(half)) * amplitude * mp.cos(n * angle)
            for n, amplitude in orders.items()
        )
        got = float(displacement(found, np.array([angle]), "bore")[0]) - found.bore_mean
        assert abs(got - waves) < 1e-10 * abs(found.bore).sum()


# Contact


def test_shear_under_a_line_contact():
    """Hertz: tau / p0 under the middle is 0.300 at most, at 0.786 a, so that Tresca yields from 1.67 Y on.

    Stresses in the middle of a half plane under p0 sqrt(1 - x^2), from Flamant's point load integrated; Johnson prints
    0.30 at 0.78 a and 1.67.
    """

    def shear(z):
        def stress(part):
            return mp.quad(lambda t: part(mp.sin(t)) * mp.cos(t) ** 2, [-mp.pi / 2, 0, mp.pi / 2])

        across = stress(lambda x: 2 / mp.pi * z * x * x / (x * x + z * z) ** 2)
        down = stress(lambda x: 2 / mp.pi * z**3 / (x * x + z * z) ** 2)
        return (down - across) / 2

    with mp.workdps(15):
        before, largest, behind = (shear(mp.mpf(z)) for z in ("0.776", "0.786", "0.796"))
    assert before < largest > behind
    assert float(2 * largest) == pytest.approx(0.600, abs=1e-3)
    assert float(1 / (2 * largest)) == pytest.approx(1.67, abs=5e-3)


@pytest.mark.parametrize("degrees", [9.0, 27.0, 60.0])
def test_persson_carries_his_load(degrees):
    """The pressure's share along the load, integrated in many digits, is the load: the closed form has no slip."""
    half = mp.radians(degrees)
    b = mp.tan(half / 2)

    def pressure(phi):
        y = mp.tan(phi / 2)
        s, q = mp.sqrt(b * b - y * y), mp.sqrt(1 + b * b)
        return 2 * s / (mp.pi * q * (1 + y * y)) + mp.log((q + s) / (q - s)) / (2 * mp.pi * b * b * q * q)

    whole = mp.quad(lambda t: pressure(half * mp.sin(t)) * mp.cos(half * mp.sin(t)) * half * mp.cos(t),
                    mp.linspace(-mp.pi / 2, mp.pi / 2, 9))  # fmt: skip
    assert abs(whole - 1) < mp.mpf(10) ** -8
    close(closed_forms.conformal_pressure(0.0, float(half)), pressure(mp.mpf(0)), 1e-12)


def test_pinched_cylinder_without_stretch():
    wanted = mp.nsum(lambda k: 1 / ((2 * k) ** 2 - 1) ** 2, [1, mp.inf])
    close(math.pi**2 / 16.0 - 0.5, wanted)
