"""Part and jaws under the grip: held to the shape that is judged, to the stroke's geometry and to Pappus."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.deformed import Deformed, clamped_mm, deformed, on_cells, outline_places, released_mm
from sim.assessment.results import Assessment
from sim.assessment.state import States, at, states

NAMES = ("thin_ring_distorts", "housing_gripped_inside")


@pytest.fixture(scope="module")
def ready(assessment: Callable[[str], Assessment]) -> Callable[[str], States]:
    return lambda name: states(assessment(name))


def _shape(ready: States, **state: float) -> Deformed:
    found = deformed(ready, at(ready, 0, **state))
    assert found is not None
    return found


@pytest.mark.parametrize("name", NAMES)
def test_the_ring_is_the_one_that_is_judged(ready: Callable[[str], States], name: str) -> None:
    """The same circle, worked out with the places that `check` reports, from a contact whose strips are not divided."""
    shape = _shape(ready(name))
    judged = ready(name).assessment.operations[0].clamping.shape
    assert judged is not None
    assert shape.ring_mm == pytest.approx(judged.places_mm[0])
    assert shape.roundness_um == pytest.approx(float(judged.roundness_um[0]), rel=2e-3)
    every = judged.angles_rad.size // shape.angles_rad.size
    assert shape.moved_mm[-1] == pytest.approx(judged.moved_mm[0, :, ::every], abs=2e-3 * shape.largest_mm)


@pytest.mark.parametrize("name", NAMES)
def test_where_a_jaw_touches_it_follows_the_part(ready: Callable[[str], States], name: str) -> None:
    """Of a closed cell the gap of the first touch is gone: the jaw's face has moved by that much more than the part.

    The gap of the first touch by the stroke's geometry alone: the wall of a bore of radius Rb that stands e outward
    lies at e cos phi + sqrt(Rb^2 - e^2 sin^2 phi). Faces are taken as rigid, so cells differ by what a face dents.
    """
    own = ready(name)
    state = at(own, 0)
    shape = _shape(own)
    contact = state.contact
    assert contact is not None
    sign = contact.grid.sign
    scenario = own.assessment.scenario
    bore, part = 0.5 * scenario.pockets[0].diameter, 0.5 * state.gripped_diameter
    e = sign * (scenario.boring.travel - state.touch_travel)
    clamped, middle = clamped_mm(shape), shape.jaws[0].middle_mm
    row = int(np.argmin(np.abs(shape.places_mm[:, 1] - middle) + 1e3 * ~shape.held))
    band = contact.grid.shape[0] // 2
    closed = np.flatnonzero(contact.pressure_mpa[0, band] > 0.0)
    assert closed.size
    differ = []
    for cell in closed:
        phi = float(contact.grid.angles_rad[cell])
        wall = e * math.cos(phi) + math.sqrt(bore**2 - (e * math.sin(phi)) ** 2)
        first = sign * (wall - part)
        outward = np.interp(phi % (2.0 * math.pi), shape.angles_rad, clamped[row, 0], period=2.0 * math.pi)
        z = shape.places_mm[row, 1] - middle
        face = (shape.jaws[0].face_mm + shape.jaws[0].face_slope * z) * math.cos(phi)
        differ.append(first + sign * (face - outward))
    moved = float(np.abs(clamped[row, 0]).max())
    assert abs(float(np.mean(differ))) < 0.3 * moved, (differ, moved)


@pytest.mark.parametrize("name", NAMES)
def test_the_master_jaw_follows_its_face(ready: Callable[[str], States], name: str) -> None:
    """Drive and guideway yield more than a soft jaw bends: at the face's height both stand within half the movement."""
    for jaw in _shape(ready(name)).jaws:
        carried = jaw.master_mm + jaw.master_slope * (jaw.middle_mm - jaw.pivot_mm)
        assert abs(carried - jaw.face_mm) < 0.5 * abs(jaw.face_mm)
        assert carried * jaw.face_mm > 0.0
        # The mouth opens further than the guideway tilts, the same way.
        assert abs(jaw.face_slope) > abs(jaw.master_slope)
        assert jaw.face_slope * jaw.master_slope > 0.0


def test_three_equal_jaws_move_alike_and_a_side_force_moves_them_apart(
    ready: Callable[[str], States],
) -> None:
    own = ready(NAMES[0])
    even, pushed = _shape(own), _shape(own, side_force=1000.0)
    assert [jaw.face_mm for jaw in even.jaws] == pytest.approx(3 * [even.jaws[0].face_mm], rel=1e-9)
    # The force pushes the part off jaw 1, so jaw 1 comes further in and the part goes away from it.
    assert pushed.jaws[0].face_mm < even.jaws[0].face_mm < pushed.jaws[1].face_mm
    assert pushed.shift_mm[0] < 0.0
    assert clamped_mm(pushed)[:, 0, 0].mean() < clamped_mm(even)[:, 0, 0].mean()


def test_a_release_turns_over_what_was_cut_and_leaves_what_was_pressed(
    ready: Callable[[str], States],
) -> None:
    shape = _shape(ready(NAMES[0]))
    freed = released_mm(shape)
    assert shape.held.any()
    assert not freed[:-1][shape.held].any()
    cut = np.append(~shape.held, True)
    assert freed[cut] == pytest.approx(-shape.moved_mm[cut])


def test_more_pressure_moves_more(ready: Callable[[str], States]) -> None:
    own = ready(NAMES[0])
    stated = own.assessment.operations[0].operation.gripping.pressure
    low, high = (_shape(own, pressure=share * stated).largest_mm for share in (1.0, 1.5))
    assert high == pytest.approx(1.5 * low, rel=0.2)
    assert high > low


def test_no_shape_of_open_jaws_nor_of_columns(
    ready: Callable[[str], States], quickly_judged: Callable[[str], Assessment]
) -> None:
    own = ready(NAMES[0])
    assert deformed(own, at(own, 0, travel=0.0)) is None
    columns = states(quickly_judged(NAMES[0]))
    assert deformed(columns, at(columns, 0)) is None


def test_places_run_round_the_outline_with_both_ends_of_each_edge() -> None:
    outline = np.array([[10.0, 0.0], [20.0, 0.0], [20.0, 50.0], [10.0, 50.0]])
    places, edges = outline_places(outline, 12)
    for edge in range(4):
        own = places[edges == edge]
        assert own[0] == pytest.approx(outline[edge])
        assert own[-1] == pytest.approx(outline[(edge + 1) % 4])
        assert np.ptp(np.linalg.norm(np.diff(own, axis=0), axis=1)) < 1e-9
    assert np.count_nonzero(edges == 1) > np.count_nonzero(edges == 0)


def test_forces_on_cells_keep_their_sum(ready: Callable[[str], States]) -> None:
    own = ready(NAMES[0])
    contact = at(own, 0).contact
    assert contact is not None
    force = on_cells(contact, own.prepared[0].grid)
    assert force.shape == (3, *own.prepared[0].grid.shape)
    assert (force * np.cos(own.prepared[0].grid.angles_rad)).sum(axis=(1, 2)) == pytest.approx(
        contact.grip_n, rel=2e-3
    )
