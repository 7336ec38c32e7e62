"""Run-out of a clamped part: contact model and `sim.mechanics.run_out` against closed forms derived for this project.

Derivation, not published: three frictionless jaws with radial and tangential stiffness (formulas in
`sim/mechanics/run_out.py`). The weights of a full face have the integrals A, B = sin((n-1) psi)/(n-1),
sin((n+1) psi)/(n+1); they are written out here anew.
The figures of the plain case come from that derivation's own record; a solution moves by 1 % with its grid.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import numpy as np
import pytest
from plain_case import STEEL, plain_setup

from sim.assessment.run_out import free_lobe_shift, lobe_shifts
from sim.contact import (
    ContactSetup,
    GripGeometry,
    GripLoad,
    JawBlock,
    JawGuide,
    Lobe,
    TurnedPart,
    prepare,
    press,
)
from sim.contact.elastic import Prepared
from sim.mechanics.run_out import ORDERS, jaw_shift, lobe_shift, lobe_weights

PSI, PHASE = math.radians(27.0), 0.3
UM = 1e-3  # mm


def full_face(n: int, psi: float) -> tuple[float, float]:
    """C_n and S_n of a face that carries evenly over +-psi, from the integrals."""
    a, b = math.sin((n - 1) * psi) / (n - 1), math.sin((n + 1) * psi) / (n + 1)
    sines = 0.5 * math.sin(2.0 * psi)
    return (a + b) / (psi + sines), (a - b) / (psi - sines)


def derived(n: int, rho: float, psi: float) -> complex:
    """Shift x + i y over the amplitude of a lobe at PHASE."""
    c, s = full_face(n, psi)
    if n % 3 == 0:
        return 0j
    if n % 3 == 2:
        return -(rho * c - (1.0 - rho) * s) * cmath.exp(-1j * n * PHASE)
    return -(rho * c + (1.0 - rho) * s) * cmath.exp(1j * n * PHASE)


@pytest.mark.parametrize(
    ("order", "c", "s"), [(2, 0.894, 1.87), (4, 0.537, 2.814), (5, 0.33, 2.791), (7, -0.025, 1.873)]
)
def test_weights_of_a_full_face(order: int, c: float, s: float) -> None:
    edges = np.linspace(-PSI, PSI, 2001)
    found = lobe_weights(order, 0.5 * (edges[1:] + edges[:-1]), np.ones(2000))
    assert found == pytest.approx(full_face(order, PSI), rel=1e-5)
    assert found == pytest.approx((c, s), abs=1e-3)


@pytest.mark.parametrize(("order", "expected"), [(2, 0.1564), (4, 0.1564), (5, 0.9511), (7, 0.9511)])
def test_weights_of_edges_and_middles(order: int, expected: float) -> None:
    """Edges: C = cos n psi / cos psi, S = sin n psi / sin psi; a middle on stiff drives follows the surface."""
    at = np.array([-PSI, PSI])
    c, s = lobe_weights(order, at, np.ones(2))
    assert c == pytest.approx(math.cos(order * PSI) / math.cos(PSI))
    assert s == pytest.approx(math.sin(order * PSI) / math.sin(PSI))
    # On stiff drives the springs of the edges lie along the normals: rho = cos^2 psi.
    assert lobe_shift(order, math.cos(PSI) ** 2, c, s) == pytest.approx(expected, abs=2e-4)
    middle = lobe_weights(order, np.zeros(1), np.ones(1))
    assert lobe_shift(order, 1.0, *middle) == pytest.approx(1.0)


def test_three_lobes_shift_nothing_and_jaws_by_two_thirds() -> None:
    assert lobe_shift(3, 0.7, 0.5, 2.0) == lobe_shift(6, 0.2, 0.5, 2.0) == 0.0
    assert jaw_shift((0.3, 0.0, 0.0), 1.0) == pytest.approx(0.2)
    assert jaw_shift((0.3, -0.3, -0.3), 1.0) == pytest.approx(0.4)  # the worst of +-d: 4/3 d
    assert jaw_shift((0.1, 0.1, 0.1), 1.0) == pytest.approx(0.0, abs=1e-15)


@pytest.fixture(scope="module")
def plain() -> tuple[ContactSetup, Prepared]:
    """The plain case with its springs: psi 27 deg, R 50 mm, solid, 20 kN a jaw."""
    setup = replace(plain_setup(0.0, 0.0, STEEL), guide=JawGuide(400e3, 6e9, -25.0))
    return setup, prepare(setup)


def shift(setup: ContactSetup, ready: Prepared, **grip: object) -> np.ndarray:
    found = press(replace(setup, grip=replace(setup.grip, **grip)), prepared=ready)  # type: ignore[arg-type]
    return 1e3 * found.part_shift_mm


def test_a_jaw_off_in_the_plain_case(plain: tuple[ContactSetup, Prepared]) -> None:
    one = shift(*plain, jaw_offsets_mm=(UM, 0.0, 0.0))
    assert one == pytest.approx([0.339, 0.0], abs=0.005)
    several = shift(*plain, jaw_offsets_mm=(10.0 * UM, -4.0 * UM, -9.0 * UM))
    assert several == pytest.approx([5.606, 1.472], rel=0.02)


@pytest.mark.parametrize(
    ("order", "expected"),
    [
        (2, (0.3803, -0.2593)),
        (3, (0.0, 0.0)),
        (4, (-0.591, -1.5176)),
        (5, (0.0867, -1.1475)),
        (7, (0.4101, -0.7007)),
    ],
)
def test_lobes_in_the_plain_case(
    plain: tuple[ContactSetup, Prepared], order: int, expected: tuple[float, float]
) -> None:
    """1 um of amplitude; the derived rule with rho from one solve gives the same within a tenth of the amplitude."""
    found = shift(*plain, lobes=(Lobe(order, UM, PHASE),))
    assert found == pytest.approx(expected, abs=0.02)
    rho = 1.5 * float(np.hypot(*shift(*plain, jaw_offsets_mm=(UM, 0.0, 0.0))))
    rule = derived(order, rho, PSI)
    assert math.hypot(found[0] - rule.real, found[1] - rule.imag) < 0.1
    half = lobe_shifts(plain[0], UM, plain[1])[0].reshape(-1, 2)
    if order in ORDERS:  # the shift does not depend on the phase while all faces are closed
        assert 1e3 * half[ORDERS.index(order)] == pytest.approx(math.hypot(*expected), abs=0.03)


def test_free_jaws_take_the_full_faces_weights(plain: tuple[ContactSetup, Prepared]) -> None:
    found = free_lobe_shift(press(plain[0], prepared=plain[1]))
    assert found == pytest.approx(max(abs(full_face(n, PSI)[0]) for n in ORDERS), rel=0.01)


KNOWN = {2: (0.237, -0.162), 4: (-0.547, -1.408), 5: (0.071, -1.001)}  # outside, rho 0.5727


@pytest.mark.parametrize("inside", [False, True], ids=["outside", "inside"])
def test_columns_follow_the_rule(inside: bool) -> None:
    """Columns of one stiffness over the face are what the rule describes: it is exact, outside and inside."""
    outer = 80.0 if inside else 50.0
    inner = 50.0 if inside else 0.0
    chamfer = 25.0 - 50.0 * math.sin(PSI)
    box = np.array([(inner, 10.0), (outer, 10.0), (outer, 40.0), (inner, 40.0)])
    setup = ContactSetup(
        GripGeometry(50.0, 50.0, 50.0, 10.0, 40.0, edge_chamfer_mm=chamfer, inside=inside),
        TurnedPart(box, 210e3, 0.3),
        JawBlock(10.0 if inside else 100.0, 40.0, 210e3, 0.3),
        GripLoad(60e3),
        JawGuide(400e3, 6e9, -25.0),
        hold_square=True,
        strips=96,
        bands=6,
        evenness=1.0,
    )
    ready = prepare(setup)
    found_rho = 1.5 * float(np.hypot(*shift(setup, ready, jaw_offsets_mm=(UM, 0.0, 0.0))))
    if not inside:
        assert found_rho == pytest.approx(0.5727, abs=0.005)
    for order, expected in KNOWN.items():
        found = shift(setup, ready, lobes=(Lobe(order, UM, PHASE),))
        rule = derived(order, found_rho, PSI)
        assert found == pytest.approx([rule.real, rule.imag], abs=0.01)
        if not inside:
            assert found == pytest.approx(expected, abs=0.01)
