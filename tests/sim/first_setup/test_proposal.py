"""Where blanks are bolted and what is bored: the jaws stay apart, the screws whole, the ring on its pins."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.base import tables, units
from sim.base.errors import ScenarioError
from sim.first_setup.classes import class_tables
from sim.first_setup.known import CLASSES, HeaviestCut, Known, Part, Plate
from sim.first_setup.proposal import Proposal, RingOnPins, coverable, proposed, takes
from sim.first_setup.writing import not_read_off, pairing_of, scenario_text, speed_of
from sim.setup.loading import load


def known(size_class: int, size: float, depth: float = 10.0, **changes: object) -> Known:
    part = {
        "low": size - 0.05, "high": size, "length": 3.0 * depth, "material": "steel C45", "surface": "turned",
        "gripped": depth, "beyond": size - 2.0, **changes,
    }  # fmt: skip
    return Known(size_class, Plate(), Part(**part), HeaviestCut("turning", size - 2.0, 1.0, 0.2, 150.0))  # type: ignore[arg-type]


def mm(text: str) -> float:
    return units.read(text, "length")


def found(size_class: int, size: float, depth: float) -> Proposal | None:
    try:
        return proposed(known(size_class, size, depth), class_tables(size_class))
    except ScenarioError:
        return None


@given(st.sampled_from(CLASSES), st.floats(0.05, 1.0), st.floats(4.0, 30.0))
@settings(max_examples=80, deadline=None)
def test_what_is_proposed_can_be_made(size_class: int, share: float, depth: float) -> None:
    """Of every size that is taken; distances by hand from the blank's drawing, not by the code that chooses."""
    given_ = class_tables(size_class)
    size, proposal = share * size_class, found(size_class, share * size_class, depth)
    if proposal is None:
        return
    jaw, screws, master = given_["soft_jaw"], given_["soft_jaw"]["screws"], given_["master_jaw"]
    radius, stroke = 0.5 * size, mm(given_["chuck"]["stroke"])
    opened = mm(jaw["mounting_radius"]) + 1.5 * proposal.serrations
    bored = opened - proposal.travel
    assert bored < radius - 3.0  # metal is there to bore
    # Corners of neighbouring tips, closed: they stand on either side of a plane at 60 deg to the jaw's own.
    tip = proposal.tip_width or mm(jaw["width"])
    assert (opened - stroke) * math.sin(math.radians(60)) > 0.5 * tip * math.cos(math.radians(60))
    thread = tables.thread(screws["thread"])
    for text in screws["positions"]:
        place = bored + mm(text)
        assert abs(place - radius) >= 0.5 * thread.counterbore + 3.0  # nothing breaks into the wall
        if place < radius:  # the head lies below the pocket's floor
            top = mm(jaw["height"]) - mm(screws["counterbore_depth"]) + thread.head_height
            assert top < mm(jaw["height"]) - depth
        nut = 0.5 * mm(master["t_nut"]["length"])
        inner = mm(master["inner_radius"])
        assert inner <= opened + mm(text) - nut
        assert opened + mm(text) + nut <= inner + mm(master["length"])
    fixture = proposal.fixture
    if isinstance(fixture, RingOnPins):
        pin = mm(given_["boring"]["fixture"]["pin_diameter"])
        circle = bored + mm(screws["positions"][fixture.screw])
        assert 0.5 * fixture.inner > radius + 1.5
        assert 0.5 * fixture.inner < circle - 0.5 * pin
        assert 0.5 * fixture.outer > circle + 0.5 * pin
    else:
        seat, floor = 0.5 * fixture.diameter, mm(jaw["height"]) - depth
        assert bored + 3.0 < seat < radius - 2.0  # metal is there to seat it, and the pocket clears it
        assert fixture.height > 3.0
        assert fixture.height + fixture.thickness < floor
        assert all(bored + mm(text) - 0.5 * thread.counterbore >= seat + 3.0 for text in screws["positions"])
    assert proposal.functional_offset + 0.5 * proposal.bar_diameter < 2.0 * bored  # the bar goes in
    assert proposal.diameter > size - 1e-9


@pytest.mark.parametrize("size_class", CLASSES)
def test_a_class_takes_a_range_and_a_scenario_of_each_loads(size_class: int, tmp_path: Path) -> None:
    low, high = takes(size_class, 10.0, class_tables(size_class))
    assert 20 < low < 0.3 * size_class
    assert high > 0.6 * size_class
    for size in (low, high):
        file = tmp_path / f"{size}.toml"
        text = scenario_text(known(size_class, float(size)), gripping=12.0, boring=5.0)
        file.write_text(text, encoding="utf-8")
        scenario = load(file)
        assert scenario.typical == (
            "machine",
            "chuck",
            "master_jaw",
            "soft_jaw",
            "boring.fixture",
            "boring.tool",
        )
        assert scenario.operations[0].workpiece.gripped_diameter_high == size


def test_what_is_too_small_or_too_large_is_refused_with_the_sizes_that_are_taken() -> None:
    low, high = takes(210, 10.0, class_tables(210))
    for size in (low - 1.0, high + 1.0):
        with pytest.raises(
            ScenarioError, match=f"210 mm chuck .* covered over 10 mm it takes {low} to {high} mm"
        ):
            proposed(known(210, size), class_tables(210))


def test_as_much_is_covered_as_the_screw_heads_leave() -> None:
    tables_ = class_tables(210)
    deep = coverable(100.0, 25.0, tables_)
    assert 10.0 < deep < 25.0  # over the inner screws
    assert coverable(40.0, 25.0, tables_) == 25.0  # inside of them
    with pytest.raises(ScenarioError, match="screws' heads"):
        proposed(known(210, 100.0, 25.0), tables_)


@pytest.mark.parametrize(
    ("size_class", "size", "depth"),
    [(165, 45.0, 20.0), (210, 60.0, 24.0), (254, 180.0, 16.0), (315, 230.0, 15.0)],
)
def test_a_usual_size_of_a_class_is_taken(size_class: int, size: float, depth: float) -> None:
    """A counterbore in the wall is dodged outward; where none is left for pins, a plug stands below the pocket."""
    proposal = found(size_class, size, depth)
    assert proposal is not None
    assert isinstance(proposal.fixture, RingOnPins) == (size < 200.0)


def test_a_setup_on_a_plug_loads(tmp_path: Path) -> None:
    file = tmp_path / "one.toml"
    file.write_text(scenario_text(known(315, 230.0, 15.0), gripping=12.0, boring=5.0), encoding="utf-8")
    assert load(file).boring.fixture.kind == "plug"


def test_a_raw_part_is_not_asked_to_run_truer_than_it_is(tmp_path: Path) -> None:
    raw = known(254, 118.0, low=115.0, surface="raw", material="cast iron GJL-250")
    file = tmp_path / "one.toml"
    file.write_text(scenario_text(raw, gripping=12.0, boring=5.0), encoding="utf-8")
    operation = load(file).operations[0]
    assert operation.runout_limit == pytest.approx(2.0 * operation.workpiece.out_of_round)


def test_the_plate_takes_the_place_of_what_is_typical(tmp_path: Path) -> None:
    told = Known(
        254,
        Plate(largest_pull=40000.0, largest_grip=95000.0, stroke=6.5, speed=3600.0, pressure=2.7),
        known(254, 120.0).part,
        known(254, 120.0).cut,
    )
    file = tmp_path / "one.toml"
    file.write_text(scenario_text(told, gripping=12.0, boring=5.0), encoding="utf-8")
    chuck = load(file).chuck
    assert (chuck.largest_pull, chuck.largest_grip, chuck.stroke) == (40000.0, 95000.0, 6.5)
    assert chuck.marked_speed == 3600.0
    assert chuck.pressure_limit == pytest.approx(2.7, rel=1e-12)
    left = not_read_off(told)
    assert "chuck.marked_speed" not in left
    assert "chuck.moment_limit" in left
    assert "chuck" not in left


def test_the_speed_is_that_of_the_cut() -> None:
    # n = v / (pi d): 150 m/min at 98 mm are 487.2 rev/min; the next ten.
    assert speed_of(known(210, 100.0)) == 490.0


def test_friction_follows_the_part_the_jaw_and_what_is_gripped() -> None:
    assert pairing_of("cast iron GJL-250", "steel C45", "raw") == "cast iron on steel, smooth jaw, raw part"
    assert (
        pairing_of("stainless steel 1.4301", "steel C45", "turned")
        == "steel on steel, smooth jaw, turned part"
    )
    with pytest.raises(ScenarioError, match="no friction is known for titanium"):
        pairing_of("titanium Ti-6Al-4V", "steel C45", "turned")


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"low": 91.0, "high": 90.0}, "must rise from low to high"),
        ({"bore": 95.0}, "bore must be less"),
        ({"gripped": 40.0, "length": 30.0}, "less than the part's length"),
    ],
)
def test_an_impossible_part_is_refused(wrong: dict[str, float], words: str) -> None:
    with pytest.raises(ScenarioError, match=words):
        known(210, 90.0, **wrong)
