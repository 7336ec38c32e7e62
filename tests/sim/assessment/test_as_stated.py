"""Jaws and parts that their paths do not cut as stated: the path fails, and what is judged of them does not pass."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from sim.assessment.as_stated import APART, OF_JAWS, depends, doubts, without_passes
from sim.assessment.gripped_again import judged_at as judged_state
from sim.assessment.gripped_again import with_gripping
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.assessment.verdict import Verdict
from sim.clearance.left_over import CORNER, face_layer
from sim.scenario import Scenario
from sim.variants import judged, variants
from sim.variants.result import WORDS

BY_PROGRAM = "cast_hub_by_program"
PROGRAMS = Path(__file__).parents[3] / "scenarios" / "programs"
Made = Callable[..., Assessment]


@pytest.fixture
def made(varied: Callable[..., Scenario], tmp_path: Path) -> Made:
    """Judge the shipped job with some text of one of its programs replaced."""

    def make(name: str, *replaced: tuple[str, str], changes: dict[str, Any] | None = None) -> Assessment:
        text = (PROGRAMS / name).read_text(encoding="utf-8")
        for old, new in replaced:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        file = tmp_path / name
        file.write_text(text, encoding="utf-8")
        field = "boring.program.file" if name == JAWS else "operations.0.program.file"
        return assess(varied(BY_PROGRAM, {field: str(file), **(changes or {})}), contact_model="foundation")

    return make


JAWS, PART = "cast_hub_jaws.nc", "cast_hub_first_side.nc"
EARLY = ("N70 G1 Z-22.8 F0.2", "N65 G0 Z20.\nN66 M30\nN70 G1 Z-22.8 F0.2")


def one(found: Assessment, name: str) -> Verdict:
    (verdict,) = (v for v in found.verdicts if v.name == name)
    return verdict


def wall(diameter: float) -> tuple[tuple[str, str], ...]:
    """Finish the pocket of 118 mm to another diameter, lead-in chamfer and all."""
    return (
        ("X122. Z1. F0.15", f"X{diameter + 4.0:.3f} Z1. F0.15"),
        ("N440 X118. Z-1.", f"N440 X{diameter:.3f} Z-1."),
    )


def test_jaws_that_the_program_does_not_bore(made: Made) -> None:
    """M30 before the first cut leaves the pocket full: 17 mm from its wall to the blank's inner end."""
    found = made(JAWS, EARLY)
    verdict = one(found, "stock left in the pocket")
    assert verdict.status == "fail"
    assert verdict.value > 10.0
    for other in found.verdicts:
        if other.stage == "first side" and other.key not in APART:
            assert other.status != "pass", other.name
            if other.status == "warn" and other.advice.startswith("Correct what cuts it"):
                assert (
                    "judged as if the pockets were bored as stated, which the path does not do"
                    in other.message
                )
    assert one(found, "loading clearance").status == "warn"
    assert one(found, "marking").status == "warn"
    assert {v.status for v in found.verdicts if v.key in OF_JAWS[:2]} == {"warn"}
    # The screws do not ask for the pocket.
    assert one(found, "screw torque").status == "pass"
    # Neither does another pressure make it pass: not on the page, not in a search, not in a study.
    ready = states(found)
    assert "pass" not in {v.status for v in judged_state(ready, 0, 2.0, 900.0).verdicts if v.key not in APART}
    again = with_gripping(ready, {0: (2.0, 900.0)})
    assert {v.key for v in again.verdicts if v.status == "pass" and v.stage == "first side"} <= set(APART)
    rows = judged(variants(found), {"operations.0.gripping.pressure": np.array([2.2, 1.9])})
    for column, (key, stage) in enumerate(zip(rows.keys, rows.stages, strict=True)):
        if stage == "first side" and key not in APART:
            assert "pass" not in {WORDS[code] for code in rows.status[:, column]}, key


@pytest.mark.parametrize(
    ("diameter", "verdict", "status"),
    [
        # 0.3 mm left all along the wall used to pass as if it were a fillet.
        (117.4, "stock left in the pocket", "fail"),
        (117.88, "stock left in the pocket", "fail"),
        (117.92, "stock left in the pocket", "warn"),
        (117.98, "stock left in the pocket", "pass"),
        (118.02, "cut below the pocket", "pass"),
        (118.06, "cut below the pocket", "fail"),
    ],
)
def test_a_wall_that_is_bored_to_another_diameter(
    made: Made, diameter: float, verdict: str, status: str
) -> None:
    found = made(JAWS, *wall(diameter))
    assert one(found, verdict).status == status
    if status != "pass" and verdict.startswith("stock"):
        assert one(found, verdict).value == pytest.approx(0.5 * (118.0 - diameter), abs=0.006)
    assert one(found, "loading clearance").status == ("warn" if status == "fail" else "pass")


def test_a_part_that_its_program_does_not_turn(made: Made) -> None:
    """The collar of 80 mm left at 81 mm: half a millimetre all along it, beyond a few tenths."""
    found = made(
        PART, ("N190 X80. Z-1.", "N190 X81. Z-1."), ("N180 G42 G1 X76. Z1.", "N180 G42 G1 X77. Z1."),
        ("N210 G2 X81.6 Z-32. R0.8", "N210 G2 X82.6 Z-32. R0.8"),
    )  # fmt: skip
    verdict = one(found, "stock left on the part")
    assert verdict.status == "fail"
    assert one(made(PART), "stock left on the part").status == "pass"


def test_a_part_with_a_layer_of_some_hundredths_warns(made: Made) -> None:
    found = made(
        PART, ("N190 X80. Z-1.", "N190 X80.2 Z-1."), ("N180 G42 G1 X76. Z1.", "N180 G42 G1 X76.2 Z1."),
    )  # fmt: skip
    verdict = one(found, "stock left on the part")
    assert verdict.status == "warn"
    assert verdict.value == pytest.approx(0.1, abs=0.01)
    assert "layer" in verdict.message


def verdict_of(name: str, stage: str, status: str = "pass") -> Verdict:
    key = name.replace(" ", "_")
    return Verdict(key, name, stage, status, 2.0, 1.0, "", "common practice", "good.")  # type: ignore[arg-type]


def test_a_later_operation_does_not_pass_on_a_part_that_was_not_turned() -> None:
    names = ["first", "second", "third"]
    verdicts = [verdict_of("stock left on the part", "second", "fail")]
    verdicts += [verdict_of("marking", stage) for stage in names]
    told = {v.stage: v for v in without_passes(verdicts, doubts(verdicts, names)) if v.name == "marking"}
    assert {stage: v.status for stage, v in told.items()} == {
        "first": "pass",
        "second": "pass",
        "third": "warn",
    }
    assert "which the program of 'second' does not leave" in told["third"].message
    assert told["third"].advice
    # Both reasons are told.
    verdicts.append(verdict_of("cut below the pocket", "boring", "fail"))
    both = doubts(verdicts, names)
    assert "bored as stated" in both["third"]
    assert "does not leave" in both["third"]
    assert depends("marking", "first", both)
    assert not depends("steady_pressure", "first", both)
    assert not depends("screw_torque", "jaws", both)


def test_what_fails_already_stays_as_it_is() -> None:
    verdicts = [verdict_of("cut below the pocket", "boring", "fail"), verdict_of("marking", "first", "fail")]
    assert without_passes(verdicts, doubts(verdicts, ["first"])) == verdicts


@pytest.mark.parametrize("radius", [0.4, 0.8, 1.6])
def test_a_fillet_is_no_layer(radius: float) -> None:
    """What a nose leaves in a square corner is its radius long along both walls."""
    fillet = shapely.box(0.0, 0.0, radius, radius).difference(
        shapely.Point(radius, radius).buffer(radius, quad_segs=64)
    )
    assert face_layer(fillet, radius) == 0.0
    # Beside a layer along the wall it adds nothing to it.
    beside = shapely.union_all([fillet, shapely.box(-0.04, 0.0, 0.0, 20.0)])
    assert face_layer(beside, radius) == pytest.approx(0.04, abs=1e-3)


@pytest.mark.parametrize(
    ("thickness", "length"), [(0.02, 20.0), (0.3, 23.0), (12.0, 17.0), (0.1, CORNER - 0.1)]
)
def test_the_thickness_of_a_layer(thickness: float, length: float) -> None:
    """A rectangle along a slanting face: its shorter side, unless it is as short as a corner."""
    layer = shapely.affinity.rotate(shapely.box(0.0, 0.0, thickness, length), 30.0)
    wanted = thickness if math.hypot(thickness, length) > CORNER else 0.0
    assert face_layer(layer, 20.0) == pytest.approx(wanted, abs=2e-4)
