"""Run-out of a clamped part: contact model and `sim.mechanics.run_out` against closed forms derived for this project.

Derivation, not published: three frictionless jaws with radial and tangential stiffness (formulas in
`sim/mechanics/run_out.py`). The weights of a full face have the integrals A, B = sin((n-1) psi)/(n-1),
sin((n+1) psi)/(n+1); they are written out here anew.
The figures of the plain case come from that derivation's own record; a solution moves by 1 % with its grid.
"""

from __future__ import annotations

import cmath
import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from plain_case import STEEL, plain_setup
from scipy.optimize import linprog

from sim.assessment.run_out import alike, free_lobe_shift, lobe_shifts
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
from sim.contact.prepared import Prepared
from sim.mechanics.run_out import (
    ORDERS,
    by_seats,
    by_walls,
    chip_tilt,
    edge_weights,
    friction_moment,
    full_weights,
    jaw_shift,
    jaws_vector,
    lobe_shift,
    lobe_vector,
    lobe_weights,
    middle_weights,
    of_each_jaw,
    of_one_jaw,
    rho_of,
    seats_vector,
)

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
    ("order", "c", "s"),
    [(2, 0.894, 1.87), (4, 0.537, 2.814), (5, 0.33, 2.791), (7, -0.025, 1.873), (8, -0.139, 1.149)],
)
def test_weights_of_a_full_face(order: int, c: float, s: float) -> None:
    edges = np.linspace(-PSI, PSI, 2001)
    found = lobe_weights(order, 0.5 * (edges[1:] + edges[:-1]), np.ones(2000))
    assert found == pytest.approx(full_face(order, PSI), rel=1e-5)
    assert found == pytest.approx((c, s), abs=1e-3)
    assert full_weights(order, PSI) == pytest.approx(found, rel=1e-5)


@pytest.mark.parametrize(("order", "expected"), [(2, 0.1564), (4, 0.1564), (5, 0.9511), (7, 0.9511)])
def test_weights_of_edges_and_middles(order: int, expected: float) -> None:
    """Edges: C = cos n psi / cos psi, S = sin n psi / sin psi; a middle on stiff drives follows the surface."""
    at = np.array([-PSI, PSI])
    c, s = lobe_weights(order, at, np.ones(2))
    assert c == pytest.approx(math.cos(order * PSI) / math.cos(PSI))
    assert s == pytest.approx(math.sin(order * PSI) / math.sin(PSI))
    # On stiff drives the springs of the edges lie along the normals: rho = cos^2 psi.
    assert lobe_shift(order, math.cos(PSI) ** 2, c, s) == pytest.approx(expected, abs=2e-4)
    assert edge_weights(order, PSI) == pytest.approx((c, s))
    middle = lobe_weights(order, np.zeros(1), np.ones(1))
    assert middle == middle_weights(order)
    assert lobe_shift(order, 1.0, *middle) == pytest.approx(1.0)


def test_rigid_edges_leave_one_direction_free() -> None:
    """Two lobes on rigid edges at 30 deg, lightly gripped: up to 1.73 of their amplitude, whatever rho may be."""
    worst = max(lobe_shift(2, rho, *edge_weights(2, math.radians(30.0))) for rho in np.linspace(0.0, 1.0, 11))
    assert worst == pytest.approx(1.732, abs=1e-3)


def test_three_lobes_shift_nothing_and_jaws_by_two_thirds() -> None:
    assert lobe_shift(3, 0.7, 0.5, 2.0) == lobe_shift(6, 0.2, 0.5, 2.0) == 0.0
    assert jaw_shift((0.3, 0.0, 0.0), 1.0) == pytest.approx(0.2)
    assert jaw_shift((0.3, -0.3, -0.3), 1.0) == pytest.approx(0.4)  # the worst of +-d: 4/3 d
    assert jaw_shift((0.1, 0.1, 0.1), 1.0) == pytest.approx(0.0, abs=1e-15)


def test_errors_of_each_jaw_at_their_worst_and_by_chance() -> None:
    """Every corner of +-d, +-q is tried; the mean square is that of all of them, each as likely."""
    along, across, rho = 10.0, 20.0, 0.508
    signs = list(itertools.product((-1.0, 1.0), repeat=3))

    def sizes(d: float, q: float) -> list[float]:
        return [
            math.hypot(*jaws_vector([d * one for one in first], rho, [q * one for one in second]))
            for first in signs
            for second in signs
        ]

    for d, q in ((along, 0.0), (0.0, across), (along, across)):
        found = of_each_jaw(d, rho, q)
        assert found.worst == pytest.approx(max(sizes(d, q)), rel=1e-12)
        assert found.root == pytest.approx(math.sqrt(np.mean(np.square(sizes(d, q)))), rel=1e-12)
    assert of_each_jaw(1.0, 1.0).worst == pytest.approx(1.3333, abs=1e-4)
    assert of_one_jaw(10.0, 1.0) == pytest.approx(6.7, abs=0.05)
    many = of_each_jaw(np.array([1.0, 2.0]), np.array([0.5, 1.0]))
    assert many.worst == pytest.approx([2.0 / 3.0, 8.0 / 3.0])


def test_chip_on_a_seat() -> None:
    """10 um under one of three seats at radius 45 mm: 148 urad, 15 um over 100 mm; arcs and rings tilt less."""
    tilt = chip_tilt(0.01, 45.0)
    assert 1e6 * tilt == pytest.approx(148.15, abs=0.01)
    assert 1e3 * tilt * 100.0 == pytest.approx(14.81, abs=0.01)
    assert math.hypot(*seats_vector((0.01, 0.0, 0.0), 45.0)) == pytest.approx(tilt)
    assert chip_tilt(1.0, 1.0, PSI) == pytest.approx(0.5439, abs=1e-4)
    assert chip_tilt(1.0, 1.0, math.radians(60.0)) == pytest.approx(0.5)


@pytest.mark.parametrize("place", [0.0, 0.5, 1.0])
def test_no_chip_on_a_ledge_tilts_more_than_one_under_three_points(place: float) -> None:
    """A part pressed down on three arcs and a chip anywhere on one: its lowest place is a linear program.

    On the middle of a ledge it is the closed form; at its end 6 % more (found by this program), still less than on
    three points, which is what counts.
    """
    arcs = np.concatenate([np.radians(120.0 * k) + np.linspace(-PSI, PSI, 201) for k in range(3)])
    points = np.column_stack([np.ones(arcs.size), np.cos(arcs), np.sin(arcs)])
    chip = np.array([[1.0, math.cos(place * PSI), math.sin(place * PSI)]])
    found = linprog(
        [1.0, 0.0, 0.0],
        A_ub=-np.vstack([points, chip]),
        b_ub=np.concatenate([np.zeros(arcs.size), [-1.0]]),
        bounds=[(None, None)] * 3,
    )
    tilt = math.hypot(*found.x[1:])
    if place == 0.0:
        assert tilt == pytest.approx(chip_tilt(1.0, 1.0, PSI), rel=1e-3)
    assert chip_tilt(1.0, 1.0, PSI) <= tilt * 1.001
    assert tilt < chip_tilt(1.0, 1.0)


def test_seats_and_walls_off_each_other() -> None:
    """Seats +-0.3 um at 45 mm: 9 urad; walls +-10 urad at rho 1: 13 urad."""
    assert 1e6 * by_seats(0.3e-3, 45.0).worst == pytest.approx(9.0, abs=0.2)
    worst = max(
        math.hypot(*seats_vector(signs, 45.0)) for signs in itertools.product((-0.3e-3, 0.3e-3), repeat=3)
    )
    assert by_seats(0.3e-3, 45.0).worst == pytest.approx(worst)
    assert 1e6 * by_walls(10e-6, 1.0).worst == pytest.approx(13.3, abs=0.1)
    assert by_walls(10e-6, 0.5).root == pytest.approx(10e-6 / math.sqrt(3.0))


def test_friction_along_the_spindle_resists_one_and_a_half() -> None:
    """Forces of up to mu F along the spindle at three points, in balance: the largest moment, where it is least."""
    at = np.radians([0.0, 120.0, 240.0])
    moments = []
    for turn in np.radians(np.arange(0.0, 360.0, 5.0)):
        lever = np.cos(at - turn)
        best = linprog(-lever, A_eq=[[1.0, 1.0, 1.0]], b_eq=[0.0], bounds=[(-1.0, 1.0)] * 3)
        moments.append(-best.fun)
    assert friction_moment(0.1, 20e3, 50.0) == pytest.approx(min(moments) * 0.1 * 20e3 * 50.0)
    assert min(moments) == pytest.approx(1.5)


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
    rho = rho_of(float(np.hypot(*one)), 1.0)
    assert rho == pytest.approx(0.508, abs=0.007)
    several = shift(*plain, jaw_offsets_mm=(10.0 * UM, -4.0 * UM, -9.0 * UM))
    assert several == pytest.approx([5.606, 1.472], rel=0.02)
    assert several == pytest.approx(jaws_vector((10.0, -4.0, -9.0), rho), rel=0.01)
    # What the model's jaws cannot do, shift across their guideways, by its rho.
    assert jaws_vector((0.0, 0.0, 0.0), rho, (10.0, 0.0, -10.0)) == pytest.approx([-2.828, 4.898], rel=0.015)


def test_loads_in_the_plain_case(plain: tuple[ContactSetup, Prepared]) -> None:
    """2 kN across shift it by (2/3) Q/(K_r + K_t); one jaw pulled by 1 kN is one that stands 1 kN/400e3 off."""
    setup, ready = plain
    side = press(replace(setup, load=GripLoad(60e3, (2e3, 0.0))), prepared=ready).part_shift_mm
    assert 1e3 * side == pytest.approx([2.074, 0.0], abs=0.01)
    pulled = press(replace(setup, load=GripLoad(60e3, jaw_outward_force_n=(1e3, 0.0, 0.0))), prepared=ready)
    assert 1e3 * pulled.part_shift_mm == pytest.approx([0.847, 0.0], abs=0.01)
    one = shift(setup, ready, jaw_offsets_mm=(2.5 * UM, 0.0, 0.0))
    assert 1e3 * pulled.part_shift_mm == pytest.approx(one, rel=1e-5, abs=1e-9)


@pytest.mark.parametrize(("across", "rho"), [(400e3, 0.64), (100e3, 0.81)])
def test_a_jaw_that_yields_across_its_guideway(
    plain: tuple[ContactSetup, Prepared], across: float, rho: float
) -> None:
    """The part then follows an offset further and two lobes more; what loads all jaws alike does not change."""
    setup = replace(plain[0], guide=replace(plain[0].guide, tangential_stiffness_n_per_mm=across))
    ready = prepare(setup)
    one = shift(setup, ready, jaw_offsets_mm=(UM, 0.0, 0.0))
    assert rho_of(float(np.hypot(*one)), 1.0) == pytest.approx(rho, abs=0.01)
    found = shift(setup, ready, lobes=(Lobe(2, UM, PHASE),))
    rule = lobe_vector(2, PHASE, rho, *full_weights(2, PSI))
    assert math.hypot(found[0] - rule[0], found[1] - rule[1]) < 0.1
    alike, before = press(setup, prepared=ready), press(plain[0], prepared=plain[1])
    assert alike.pressure_mpa == pytest.approx(before.pressure_mpa, rel=1e-6, abs=1e-9)


def test_unlike_springs_in_the_plain_case(plain: tuple[ContactSetup, Prepared]) -> None:
    """Springs of +10, +10, -10 % beyond 1/400e3, bored under 7 kN, gripped with 20 kN: as jaws (F - Fb) c eps off.

    The jaws are as true as bored while they are loaded as then; here each has its own spring in the model.
    """
    setup, ready = plain
    yields = np.array([0.1, 0.1, -0.1]) / 400e3  # mm/N beyond the common spring
    springs = np.outer(along := np.tile(np.cos(ready.grid.angles_rad), ready.grid.shape[0]), along)
    total = ready.total_mm_n + np.kron(np.diag(yields), springs)
    unlike = replace(ready, total_mm_n=total, stiffness_n_mm=np.linalg.inv(total))

    def gripped(force: float) -> np.ndarray:
        first, second, third = -yields * 7e3  # stood nearer while bored by what they gave then
        grip = replace(setup.grip, jaw_offsets_mm=(first, second, third))
        found = press(replace(setup, grip=grip, load=GripLoad(3.0 * force)), prepared=unlike)
        return 1e3 * found.part_shift_mm

    assert gripped(20e3) == pytest.approx([1.116, 1.933], rel=0.01)
    assert gripped(7e3) == pytest.approx([0.0, 0.0], abs=0.002)
    rho = rho_of(float(np.hypot(*shift(setup, ready, jaw_offsets_mm=(UM, 0.0, 0.0)))), 1.0)
    assert gripped(20e3) == pytest.approx(jaws_vector(1e3 * 13e3 * yields, rho), rel=0.02)


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
    assert lobe_vector(order, PHASE, rho, *full_weights(order, PSI)) == pytest.approx((rule.real, rule.imag))
    half = lobe_shifts(alike(*plain), UM, plain[1])[0].reshape(-1, 2)
    if order in ORDERS:  # the shift does not depend on the phase while all faces are closed
        assert 1e3 * half[ORDERS.index(order)] == pytest.approx(math.hypot(*expected), abs=0.03)


def test_free_jaws_take_the_full_faces_weights(plain: tuple[ContactSetup, Prepared]) -> None:
    found = free_lobe_shift(press(plain[0], prepared=plain[1]))
    assert found == pytest.approx(max(abs(full_face(n, PSI)[0]) for n in ORDERS), rel=0.01)


# Outside rho 0.5727, inside 0.4568.
KNOWN = {2: (0.237, -0.162), 4: (-0.547, -1.408), 5: (0.071, -1.001)}
KNOWN_INSIDE = {2: (0.501, -0.343), 4: (-0.643, -1.654), 5: (0.097, -1.362)}


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
        JawBlock(20.0 if inside else 100.0, 40.0, 210e3, 0.3),
        GripLoad(60e3),
        JawGuide(400e3, 6e9, -25.0),
        hold_square=True,
        strips=96,
        bands=6,
        evenness=1.0,
    )
    ready = prepare(setup)
    found_rho = 1.5 * float(np.hypot(*shift(setup, ready, jaw_offsets_mm=(UM, 0.0, 0.0))))
    assert found_rho == pytest.approx(0.4568 if inside else 0.5727, abs=0.005)
    for order, expected in (KNOWN_INSIDE if inside else KNOWN).items():
        found = shift(setup, ready, lobes=(Lobe(order, UM, PHASE),))
        rule = derived(order, found_rho, PSI)
        assert found == pytest.approx([rule.real, rule.imag], abs=0.01)
        assert found == pytest.approx(expected, abs=0.015)
