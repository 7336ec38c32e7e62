"""The part between the jaws as an operation has it: size limits, one turn, ledges, taper, misplaced jaws."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.bodies import ContactModel, jaw_block, jaw_offsets, off_first_jaw, reported_surfaces
from sim.assessment.figures.clamping import ClampingFigures
from sim.assessment.operation import boring_grip
from sim.assessment.part_wall import part_wall
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.contact import band_means, side_load_change, taper_to_bore
from sim.scenario import Scenario
from sim.setup.held import held_zone
from sim.setup.parts import build

HUB, BONNET, HOUSING = "cast_hub_on_ring", "valve_bonnet_two_steps", "housing_gripped_inside"
WORK = "operations.0.workpiece"


def test_the_jaw_block_has_its_ledge_and_the_pocket_in_front(varied: Callable[..., Scenario]) -> None:
    """Bonnet: 60 mm high jaws, steps 16 mm (150 mm) and 34 mm (100 mm) deep, inner ends at 36 mm when bored."""
    parts = build(varied(BONNET))
    wide, narrow = (jaw_block(parts, index, held_zone(parts.scenario, index)) for index in (0, 1))
    assert (wide.ledge_z_mm, wide.ledge_radius_mm, wide.front_z_mm) == (44.0, 50.0, None)
    assert (narrow.ledge_z_mm, narrow.front_z_mm, narrow.front_radius_mm) == (26.0, 44.0, 75.0)
    assert narrow.ledge_radius_mm == pytest.approx(39.0 - 3.0)
    assert wide.back_radius_mm == pytest.approx(39.0 - 3.0 + 87.0)


def test_a_ledge_stiffens_the_jaw(
    varied: Callable[..., Scenario],
    assessment: Callable[[str], Assessment],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Metal added in front of the root can only take yield away (a stiffer body under the same forces)."""
    from dataclasses import replace

    from sim.assessment import bodies

    whole = assessment(HUB).operations[0].clamping
    own = bodies.jaw_block
    monkeypatch.setattr(
        bodies, "jaw_block", lambda *a: replace(own(*a), ledge_z_mm=0.0, ledge_radius_mm=None)
    )
    bare = assess(varied(HUB), advised=False).operations[0].clamping
    assert whole.contact.approach_mm < bare.contact.approach_mm


SIZES = [("117 mm", "119 mm", "high"), ("117 mm", "118.1 mm", "low")]


def of_sizes(varied: Callable[..., Scenario], low: str, high: str, model: ContactModel) -> ClampingFigures:
    sizes = {f"{WORK}.gripped_diameter_low": low, f"{WORK}.gripped_diameter_high": high}
    return assess(varied(HUB, sizes), contact_model=model, advised=False).operations[0].clamping


@pytest.mark.parametrize(("low", "high", "worst"), SIZES)
def test_the_worst_size_counts(varied: Callable[..., Scenario], low: str, high: str, worst: str) -> None:
    """A tolerance has the pressure of its worst end: that of parts that all have this size, far over the other two.

    Jaws bored to 118 mm press a part of 119 mm at their edges and one of 117 mm at their middles.
    """
    found = of_sizes(varied, low, high, "foundation")
    alone = {
        name: of_sizes(varied, size, size, "foundation") for name, size in (("low", low), ("high", high))
    }
    middle = float(band_means(found.contact).max())
    other = alone["low" if worst == "high" else "high"]
    assert alone[worst].band_peak > 1.2 * max(middle, other.band_peak)
    assert found.band_peak == pytest.approx(alone[worst].band_peak, rel=0.02)


def test_the_roundness_of_the_worst_size_counts(varied: Callable[..., Scenario]) -> None:
    """Of parts of 117 to 119 mm in jaws bored to 118 mm, each held at other places around."""
    found = of_sizes(varied, "117 mm", "119 mm", "elastic")
    alone = of_sizes(varied, "117 mm", "117 mm", "elastic").roundness
    assert found.shape is not None
    assert alone > 1.05 * float(found.shape.roundness_um[0])
    assert found.roundness == pytest.approx(alone, rel=0.03)


@pytest.mark.parametrize("name", [HUB, HOUSING])
def test_grip_over_a_turn(name: str, assessment: Callable[[str], Assessment]) -> None:
    """A closed contact of equal jaws on a round part keeps to the (2/3) Q cos rule; it comes again every third."""
    clamping = assessment(name).operations[0].clamping
    turn = clamping.revolution
    assert turn is not None
    assert turn.worst_rad == pytest.approx(0.0)
    assert turn.grip_n[0, 0] == pytest.approx(turn.least_n)
    total = turn.grip_n.sum(axis=1)
    assert total == pytest.approx(np.full(total.size, total[0]), rel=1e-9)
    third = len(turn.angles_rad) // 3
    assert np.roll(turn.grip_n[0], -1) == pytest.approx(turn.grip_n[third])
    parts = assessment(name).parts
    x, y = off_first_jaw(parts.direction, clamping.side)
    push = math.atan2(y, x) if parts.direction == "outside" else math.atan2(-y, -x)
    expected = total[0] / 3.0 + side_load_change(clamping.side, push)
    assert turn.grip_n[0] == pytest.approx(expected, rel=0.05)


def test_reported_surfaces_lie_on_the_part(varied: Callable[..., Scenario]) -> None:
    parts = build(varied(HUB))
    zone = held_zone(parts.scenario, 0)
    outline = parts.scenario.operations[0].workpiece.outline
    named = reported_surfaces(part_wall(parts, 0, zone), outline, zone)
    assert named[0][0] == "bore at the gripped height"
    assert named[0][1][0] == 20.0
    assert [name for name, _ in named].count("free face") == 3


def test_boring_force_tilts_alike_at_another_height(varied: Callable[..., Scenario]) -> None:
    """Force times lever about the guideway's middle is what tilts the jaw; none without a fixture."""
    parts = build(varied(HUB))
    low, high = boring_grip(parts, 20.0), boring_grip(parts, 45.0)
    depth = parts.scenario.chuck.guideway_depth
    assert low * (20.0 + depth) == pytest.approx(high * (45.0 + depth))
    assert boring_grip(build(varied(HUB, {"boring.fixture": {"kind": "none"}})), 20.0) == 0.0


def test_same_force_in_boring_needs_no_taper(
    varied: Callable[..., Scenario], quickly_judged: Callable[[str], Assessment]
) -> None:
    """Bored with the moment that grips, the jaws stand as they were turned."""
    parts = build(varied(HUB))
    figures = quickly_judged(HUB).operations[0]
    wanted = figures.grip.rest_per_jaw / boring_grip(parts, figures.zone.middle)
    pressure = 10.0 * parts.scenario.boring.pressure * wanted
    same = assess(
        varied(HUB, {"boring.pressure": f"{pressure:.6f} bar"}), contact_model="foundation", advised=False
    )
    clamping, bored = same.operations[0].clamping, boring_grip(build(same.scenario), figures.zone.middle)
    (grip, opening), (left, _) = clamping.openings
    assert abs(taper_to_bore(opening, grip, bored, figures.zone.length).diameter_um) < 1e-3
    # What speed takes away lets the jaws close again: the worst of both states is what is left of that.
    share = (figures.grip.rest_per_jaw - left) / figures.grip.rest_per_jaw
    expected = 2.0 * share * opening.over_height_um
    assert abs(clamping.taper.diameter_um) == pytest.approx(expected, rel=0.05)
    assert not same.operations[0].clamping.taper.matters


def test_a_jaw_one_serration_off_shifts_the_part(varied: Callable[..., Scenario]) -> None:
    """One jaw d further out: narrow jaws let the part move (2/3) d towards it (sum of cos^2 is 3/2), none more than d.

    Wide jaws touch it at the edge far from that jaw, so that it moves further than with narrow ones.
    """
    found = assess(
        varied(HUB, {"soft_jaw.serrations_off": [1, 0, 0]}), contact_model="foundation", advised=False
    )
    contact = found.operations[0].contact
    assert 2.0 / 3.0 * 1.5 < contact.part_shift_mm[0] < 1.5
    assert abs(contact.part_shift_mm[1]) < 0.02
    assert jaw_offsets(found.parts) == (1.5, 0.0, 0.0)
    assert jaw_offsets(build(varied(HOUSING, {"soft_jaw.serrations_off": [0, -1, 0]})))[1] == pytest.approx(
        1.5
    )


def test_a_lighter_jaw_is_lost_less_grip(
    varied: Callable[..., Scenario], quickly_judged: Callable[[str], Assessment]
) -> None:
    """Its drive spring carries the difference of pull, so a heavier jaw loses grip and the part moves towards it."""
    changes = {"soft_jaw.mass_differences": ["500 g", "0 g", "0 g"]}
    found = assess(varied(HUB, changes), contact_model="foundation", advised=False).operations[0]
    even = quickly_judged(HUB).operations[0]
    assert found.contact_at_speed is not None
    assert even.contact_at_speed is not None
    assert found.contact_at_speed.part_shift_mm[0] > even.contact_at_speed.part_shift_mm[0]


@pytest.mark.parametrize("jaw", [0, 1, 2])
def test_the_part_goes_with_the_heavier_jaw(varied: Callable[..., Scenario], jaw: int) -> None:
    """Jaws stand at 0, 120 and 240 deg, counter-clockwise; inside, the heavy one presses the part outward at speed."""
    masses = ["0 g", "0 g", "0 g"]
    masses[jaw] = "500 g"
    found = assess(
        varied(HOUSING, {"soft_jaw.mass_differences": masses}), contact_model="foundation", advised=False
    )
    contact = found.operations[0].contact
    x, y = contact.part_shift_mm
    off = (math.degrees(math.atan2(y, x)) - 120.0 * jaw + 180.0) % 360.0 - 180.0
    assert off == pytest.approx(0.0, abs=1.0)
    assert int(contact.grip_n.argmax()) == jaw


@pytest.mark.parametrize("name", [HUB, HOUSING])
def test_loss_of_grip_by_stiffness(varied: Callable[..., Scenario], name: str) -> None:
    """Two springs in parallel: share = k / (k + k_chuck), k of part and jaw the same whatever chuck they are on.

    It is a ratio of stiffnesses: a speed that would pull the jaws off the part outside does not change it, nor does it
    where one jaw presses less than the others.
    """
    fast = {"operations.0.gripping.speed_high": "3000 rpm"}

    def share(changes: dict[str, object]) -> float:
        clamping = (
            assess(varied(name, changes), contact_model="foundation", advised=False).operations[0].clamping
        )
        return clamping.loss_share_by_stiffness

    def of_part(found: float, chuck: float) -> float:
        return chuck * found / (1.0 - found)

    soft, stiff = (share({"chuck.radial_stiffness": f"{k} N/um"}) for k in (100, 1000))
    assert 0.0 < stiff < soft < 1.0
    assert of_part(soft, 100.0) == pytest.approx(of_part(stiff, 1000.0), rel=1e-3)
    pulled = share({"chuck.radial_stiffness": "100 N/um", **fast, "operations.0.gripping.pressure": "8 bar"})
    assert pulled == pytest.approx(soft, rel=1e-6)
    off = {"soft_jaw.serrations_off": [1, 0, 0]}
    uneven = share({**off, **fast, "operations.0.gripping.pressure": "14 bar"})
    # A face that is pressed less closes less: with 128 strips to a face 11 % of the hub's share and 4 % of the
    # housing's; strips so wide that none more opened had hidden it.
    assert 0.86 * share(off) < uneven < share(off)


def test_without_grip_at_speed_there_is_no_turn(varied: Callable[..., Scenario]) -> None:
    """Outside nothing is left where jaws are pulled off; what clamping at rest does is still said."""
    changes = {"operations.0.gripping.speed_high": "3400 rpm", "operations.0.gripping.pressure": "8 bar"}
    found = assess(varied(HUB, changes), contact_model="foundation", advised=False).operations[0]
    assert found.grip.high_speed_total <= 0.0
    assert found.clamping.revolution is None
    assert found.clamping.unsupported_least is None
    assert [one.state for one in found.clamping.run_outs] == ["at rest"]
    assert len(found.clamping.openings) == 1
    held = assess(varied(HUB), contact_model="foundation", advised=False).operations[0].clamping
    assert held.revolution is not None
    assert held.state == "at rest"
    assert [grip for grip, _ in held.openings] == sorted((grip for grip, _ in held.openings), reverse=True)


def test_the_change_of_the_largest_pressure_with_a_micrometre_of_bore(
    varied: Callable[..., Scenario],
) -> None:
    """The largest band mean of parts that are 2 um smaller or larger in diameter, one by one: the larger step counts.

    To the jaws a part that is 1 um smaller in radius is a bore that is 1 um larger, but for a hundredth of its size.
    """
    found = of_sizes(varied, "117.98 mm", "117.98 mm", "foundation")
    steps = [
        abs(of_sizes(varied, size, size, "foundation").band_peak - found.band_peak)
        for size in ("117.978 mm", "117.982 mm")
    ]
    assert found.band_peak_per_um == pytest.approx(max(steps), rel=0.02)
    assert found.band_peak_per_um > 0.0


def test_the_verdict_on_marking_says_what_a_micrometre_changes(
    assessment: Callable[[str], Assessment],
) -> None:
    judged = assessment(HUB)
    (marking,) = [one for one in judged.verdicts if one.key == "marking"][:1]
    per_um = judged.operations[0].clamping.band_peak_per_um
    assert f"{per_um:.2g} MPa more or less for 1 µm of bore radius" in marking.message


def test_a_loss_that_an_unstated_stiffness_decides_has_its_range(varied: Callable[..., Scenario]) -> None:
    """Two springs in parallel: what is solved at either end of the range, and no range where the chuck's is stated."""
    unstated = assess(varied(HUB), contact_model="foundation", advised=False).operations[0].clamping
    assert unstated.loss_share_range is not None
    low, high = unstated.loss_share_range
    assert low == pytest.approx(unstated.loss_share_by_stiffness)
    assert low < high < 1.0
    soft = varied(HUB, {"chuck.radial_stiffness": "66 kN/mm"})
    stated = assess(soft, contact_model="foundation", advised=False).operations[0].clamping
    assert stated.loss_share_range is None
    assert stated.loss_share_by_stiffness == pytest.approx(high, rel=0.02)


def test_the_strips_of_a_judged_part_are_divided_where_its_contact_ends(
    assessment: Callable[[str], Assessment],
) -> None:
    """The largest pressure is that of the divided face; what holding, shape and the edge's force go on from is not."""
    clamping = assessment(HUB).operations[0].clamping
    assert clamping.rest.grid.shape[1] == 48
    closed = clamping.rest.pressure_mpa > 0.0
    ends_inside = bool(np.any(closed[..., 1:] != closed[..., :-1]))
    assert clamping.contact.grid.shape[1] == 48
    assert (clamping.pressure.grid.shape[1] > 48) == ends_inside
    assert float(band_means(clamping.pressure).max()) <= clamping.band_peak
