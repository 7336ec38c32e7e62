"""Formulas that the contact model is held to, each from its book, quoted without the print at hand.

Persson: A. Persson, On the stress distribution of cylindrical elastic bodies in contact, Chalmers, 1964; closed form
as given by M. Ciavarella and P. Decuzzi, The state of stress induced by the plane frictionless cylindrical contact,
Int. J. Solids Struct. 38 (2001) 4507. Hertz: K. L. Johnson, Contact Mechanics, Cambridge 1985, ch. 4. Michell: J. R.
Barber, Elasticity, Kluwer 2002, tables of stresses and displacements of r^n, r^(n+2), r^-n, r^(2-n) cos n theta; Lame
for n = 0. Thin ring: S. Timoshenko, Strength of Materials II; Roark's Formulas for Stress and Strain. Pinched cylinder:
S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, shells that do not stretch; derived below.

Each is held to another computation: rings and annulus are worked out again (test_many_digits.py), Hertz is Persson's
limit (test_hertz.py), Persson's pressure adds up to its load (test_conformal_contact.py), a wrong entry of Michell's
tables does not satisfy equilibrium and Hooke's law together, and the finite elements know nothing of either.
Lengths in mm, forces in N, MPa, rad.
"""

import math

import numpy as np
from scipy.integrate import quad


def conformal_difference(half_angle):
    """Persson: x = E1 dR / Q with E1 = E/(1 - nu^2), equal materials, Q per mm of length."""
    b2 = math.tan(0.5 * half_angle) ** 2
    return (2.0 - math.log1p(b2) - 2.0 * b2**2) / (math.pi * b2 * (1.0 + b2))


def conformal_pressure(phi, half_angle):
    """Persson: p R / Q at angles phi within the contact."""
    b2, y2 = math.tan(0.5 * half_angle) ** 2, np.tan(0.5 * np.asarray(phi)) ** 2
    s, q = np.sqrt(np.maximum(b2 - y2, 0.0)), math.sqrt(1.0 + b2)
    log = np.log((q + s) / (q - s)) / (2.0 * math.pi * b2 * q**2)
    return 2.0 * s / (math.pi * q * (1.0 + y2)) + log


def conformal_strip(middle, width, half_angle):
    """Persson: mean of p R / Q over a strip."""
    low, high = np.clip((middle - 0.5 * width, middle + 0.5 * width), -half_angle, half_angle)
    return quad(conformal_pressure, low, high, args=(half_angle,), epsabs=1e-6, limit=200)[0] / width


def hertz_half_width(line_force, radius, difference, modulus, poisson):
    """Hertz: a = sqrt(4 P R / (pi E*)) with 1/R = 1/R1 - 1/R2 and E* = E/(2 (1 - nu^2)) for equal materials."""
    relative = radius * (radius + difference) / difference
    return math.sqrt(4.0 * line_force * relative / (math.pi * modulus / (2.0 * (1.0 - poisson**2))))


def michell(n, inner, outer, modulus, poisson, at, *, plane_stress=False):
    """Outward displacement (amplitude) at radius `at` of an annulus pulled outward by 1 MPa cos(n theta) outside."""
    kappa = (3.0 - poisson) / (1.0 + poisson) if plane_stress else 3.0 - 4.0 * poisson
    mu = modulus / (2.0 * (1.0 + poisson))
    if n == 0:
        # Lame: A/r^2 + 2 C with sigma(inner) = 0 and sigma(outer) = 1
        a = -1.0 / (1.0 / inner**2 - 1.0 / outer**2)
        c = -0.5 * a / inner**2
        return (-a / at + (kappa - 1.0) * c * at) / (2.0 * mu)
    # Powers scaled by the outer radius keep the system well conditioned.
    powers = np.array([n, n + 2, 2 - n, -n], dtype=float)
    radial = np.array([-n * (n - 1), -(n + 1) * (n - 2), -(n + 2) * (n - 1), -n * (n + 1)], dtype=float)
    shear = np.array([n * (n - 1), n * (n + 1), -n * (n - 1), -n * (n + 1)], dtype=float)
    move = np.array([-n, kappa - n - 1, kappa + n - 1, n], dtype=float)
    scale = np.array([outer, outer, inner, inner])
    rows, wanted = [], []
    for r, value in ((inner, 0.0), (outer, 1.0)):
        rho = (r / scale) ** (powers - 2.0)
        rows += [radial * rho, shear * rho]
        wanted += [value, 0.0]
    coefficient = np.linalg.solve(np.array(rows), np.array(wanted))
    return float(np.sum(move * coefficient * (at / scale) ** (powers - 2.0) * at) / (2.0 * mu))


def arc_motion(inner, outer, height, force, half_arc, modulus, poisson):
    """Mean outward motion of three arcs of +-half_arc, each pulled by `force` evenly (Michell, plane strain)."""
    total = last = 0.0
    for n in range(0, 3000, 3):
        wave = 1.0 if n == 0 else (math.sin(n * half_arc) / (n * half_arc)) ** 2
        weight = 3.0 * force / (2.0 * math.pi) if n == 0 else 3.0 * force / math.pi
        if n <= 150:
            last = michell(n, inner, outer, modulus, poisson, outer) / (outer * height) * max(n, 1)
        total += weight * wave * last / max(n, 1)  # n times the amplitude is constant beyond: a half plane
    return total


def thin_ring(force, radius, thickness, height, modulus):
    """Outward motion of a thin ring's middle line at three inward point loads and midway between them."""
    t = math.pi / 3.0
    s, c = math.sin(t), math.cos(t)
    cube = force * radius**3 / (modulus * height * thickness**3 / 12.0)
    at_load = -0.5 * cube * ((t + s * c) / (2.0 * s**2) - 1.0 / t)
    return at_load, 0.25 * cube * (2.0 / t - 1.0 / s - t * c / s**2)


def hertz_roller(line_force, relative_radius, first, second):
    """Hertz: half-width and largest pressure of a line contact of two metals, each (modulus, Poisson's ratio)."""
    softness = sum((1.0 - poisson**2) / modulus for modulus, poisson in (first, second))
    half = math.sqrt(4.0 * line_force * relative_radius * softness / math.pi)
    return half, 2.0 * line_force / (math.pi * half)


def inextensional_cylinder(force, radius, length, thickness, modulus, poisson):
    """Timoshenko and Woinowsky-Krieger: motion under one of two opposite forces at half the length of a free cylinder.

    The middle surface does not stretch and all heights move alike, w_n cos n theta for even n. Bending energy
    D/2 (w_n (n^2 - 1) / R^2)^2 pi R L against the work 2 P w_n: w_n = 2 P R^3 / (pi D L (n^2 - 1)^2), and the sum of
    1 / (n^2 - 1)^2 over n = 2, 4, ... is pi^2 / 16 - 1 / 2.
    """
    plate = modulus * thickness**3 / (12.0 * (1.0 - poisson**2))
    return 2.0 * force * radius**3 / (math.pi * plate * length) * (math.pi**2 / 16.0 - 0.5)
