"""Units that a scenario may use, against their legal definitions, against scipy's CODATA table and against pint.

Definitions: inch 25.4 mm and pound 0.45359237 kg (international yard and pound agreement, 1959), standard
gravity 9.80665 m/s2 (3rd CGPM, 1901), foot 12 in, bar 0.1 MPa, revolution 2 pi rad.
"""

from __future__ import annotations

import math

import pint  # noqa: TID251  the test's own reading, independent of sim.base.units
import pytest
from scipy import constants

from sim.base.units import KINDS, factor, read

POUND, GRAVITY, INCH = 0.45359237, 9.80665, 25.4
LBF = POUND * GRAVITY  # N

DEFINED = [
    ("length", "in", INCH),
    ("length", "um", 1e-3),
    ("length", "m", 1000.0),
    ("feed", "in/rev", INCH),
    ("angle", "deg", math.pi / 180.0),
    ("pressure", "bar", 0.1),
    ("pressure", "psi", LBF / INCH**2),
    ("pressure", "kPa", 1e-3),
    ("stress", "GPa", 1e3),
    ("stress", "ksi", 1e3 * LBF / INCH**2),
    ("force", "lbf", LBF),
    ("force", "kN", 1e3),
    ("torque", "lbf*ft", LBF * 12.0 * INCH),
    ("torque", "lbf*in", LBF * INCH),
    ("torque", "Nm", 1e3),
    ("speed", "rad/s", 30.0 / math.pi),
    ("speed", "1/min", 1.0),
    ("cutting speed", "ft/min", 0.3048),
    ("area", "cm2", 100.0),
    ("area", "in2", INCH**2),
    ("mass", "lb", POUND),
    ("mass", "g", 1e-3),
    ("stiffness", "N/um", 1e3),
    ("stiffness", "lbf/in", LBF / INCH),
    ("tilt stiffness", "kN*m/rad", 1e6),
]


@pytest.mark.parametrize(("kind", "unit", "defined"), DEFINED)
def test_against_the_definition(kind: str, unit: str, defined: float) -> None:
    assert factor(kind, unit) == pytest.approx(defined, rel=1e-12)
    assert read(f"2.5 {unit}", kind) == pytest.approx(2.5 * defined, rel=1e-12)


def test_against_codata_and_nist_as_scipy_has_them() -> None:
    assert factor("force", "lbf") == pytest.approx(constants.lbf, rel=1e-12)
    assert factor("pressure", "psi") * 1e6 == pytest.approx(constants.psi, rel=1e-12)
    assert factor("length", "in") * 1e-3 == pytest.approx(constants.inch, rel=1e-12)
    assert factor("mass", "lb") == pytest.approx(constants.pound, rel=1e-12)
    assert factor("angle", "deg") == pytest.approx(constants.degree, rel=1e-12)
    assert factor("pressure", "bar") * 1e6 == pytest.approx(constants.bar, rel=1e-12)


def test_every_unit_of_the_list_against_pint() -> None:
    """Each unit reads in pint as a quantity of the kind's own dimension, and the factor is pint's."""
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    count = 0
    for kind in KINDS.values():
        for unit, expression in kind.units.items():
            expected = (1.0 * registry(expression)).to(kind.inside_expression).magnitude
            assert factor(kind.name, unit) == pytest.approx(expected, rel=1e-12)
            count += 1
    assert count > 40


def test_formulas_keep_their_dimension() -> None:
    """Centrifugal force and torque recomputed with pint quantities: the factor 1e-3 of kg mm/s2 is there."""
    from sim.mechanics.cutting import cutting_power
    from sim.mechanics.grip import drawbar_pull
    from sim.mechanics.spin import centrifugal_force

    q = pint.UnitRegistry(cache_folder=None).Quantity
    force = q(1.4, "kg") * q(85.0, "mm") * q(3000.0, "rpm").to("rad/s") ** 2
    assert centrifugal_force(1.4 * 85.0, 3000.0) == pytest.approx(force.m_as("kg*m/s**2"), rel=1e-12)
    pull = q(25.0, "bar") * q(125.0, "cm**2")
    assert drawbar_pull(2.5, 12_500.0) == pytest.approx(pull.m_as("N"), rel=1e-12)
    power = q(1860.0, "N") * q(120.0, "m/min")
    assert cutting_power(1860.0, 120.0) == pytest.approx(power.m_as("kW"), rel=1e-12)
