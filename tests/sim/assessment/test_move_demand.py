"""The heaviest moves of a program load the jaws as stated cuts do: in side force, grip at rest and permitted speed.

What they must come to is asked of the same cut stated beside the program, and of forces worked out by hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sim.assessment import move_demand
from sim.assessment.gripped_again import judged_at, with_pressures
from sim.assessment.operation import grip_part
from sim.assessment.results import Assessment
from sim.assessment.side import weight_load
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.base import tables
from sim.mechanics import cutting, kienzle
from sim.scenario import Scenario
from sim.variants import judged as many
from sim.variants import variants

BY_PROGRAM = "cast_hub_by_program"
START = "T0303\nG97 S600 M3\nG0 X100. Z5.\n"
LIGHT = START + "G0 X84. Z3.\nG1 Z-20. F.1\nG0 X100.\n"  # 0.5 mm off the collar of 85 mm
HEAVY = START + "G0 X77. Z3.\nG1 Z-20. F.6\nG0 X100.\n"  # 4 mm off it
SLOW = {"operations.0.cuts.0.depth_of_cut": "0.5 mm", "operations.0.cuts.1.depth_of_cut": "0.5 mm"}
DECIDED = ("grip_at_rest", "spindle_speed", "least_grip_of_a_jaw")
Judged = Callable[..., Assessment]


@pytest.fixture
def judged(varied: Callable[..., Scenario], tmp_path: Path) -> Judged:
    """Judge the hub with light stated cuts and a text of its program, contact by columns."""

    def judge(text: str, changes: dict[str, Any] | None = None) -> Assessment:
        file = tmp_path / "part.nc"
        file.write_text(text, encoding="utf-8")
        fields = {"operations.0.program.file": str(file), **SLOW, **(changes or {})}
        return assess(varied(BY_PROGRAM, fields), contact_model="foundation")

    return judge


def by_key(found: Assessment) -> dict[str, Any]:
    return {
        v.key: v for v in found.verdicts if v.key in (*DECIDED, "program_speed", "holding_factor_each_move")
    }


def test_a_heavy_move_fails_what_the_stated_cuts_pass(judged: Judged) -> None:
    """The program takes 4 mm at 0.6 mm/rev where the scenario states 0.5 mm: too little grip at rest, too fast."""
    light, heavy = by_key(judged(LIGHT)), by_key(judged(HEAVY))
    assert {light[key].status for key in DECIDED} == {"pass"}
    assert heavy["grip_at_rest"].status == heavy["spindle_speed"].status == "fail"
    assert heavy["least_grip_of_a_jaw"].value < light["least_grip_of_a_jaw"].value
    for key in DECIDED:
        assert "line 5 of the program" in heavy[key].message
        assert "of the program" not in light[key].message


def test_a_jaw_is_pushed_open_by_a_move_alone(judged: Judged) -> None:
    """At a grip that light cuts need, a heavy move takes more than its share off one jaw."""
    weak = {"operations.0.gripping.pressure": "4.5 bar", "machine.lowest_pressure": "2 bar"}
    assert by_key(judged(LIGHT, weak))["least_grip_of_a_jaw"].status == "pass"
    assert by_key(judged(HEAVY, weak))["least_grip_of_a_jaw"].status == "fail"


def test_the_side_force_is_that_of_the_move(judged: Judged) -> None:
    """Kienzle by hand: cutting force, half of it as passive force, and the part's weight on top (level spindle)."""
    found = judged(HEAVY)
    figures = found.operations[0]
    kappa = math.radians(95.0)
    h, _ = kienzle.chip_section(0.6, 4.0, kappa)
    kc11, mc = tables.kienzle(tables.material("cast iron GJL-250").kienzle).unfavourable(h)
    factor = kienzle.correction(
        min(c.rake_angle for c in figures.operation.cuts),
        max(c.wear_factor for c in figures.operation.cuts),
        cutting.cutting_speed(85.0, 600.0),
        "turning",
        math.radians(2.0),
    )
    force = kienzle.cutting_force(0.6, 4.0, kappa, kc11, mc, factor)
    weight = weight_load(found.parts, 0, figures.zone).across
    assert figures.clamping.side == pytest.approx(math.hypot(1.0, 0.5) * force + weight, rel=2e-3)


def test_a_move_counts_as_the_same_cut_stated(judged: Judged) -> None:
    """The heavy move stated as a cut beside a program that is light: the same load, the same need, the same limits."""
    by_move = judged(HEAVY).operations[0]
    ((_, demand),) = [(m.move, m.demand) for m in by_move.moves[0].held][:1]
    forces = demand.forces
    cut = {
        "operations.0.cuts.0.depth_of_cut": "4 mm",
        "operations.0.cuts.0.feed": "0.6 mm/rev",
        "operations.0.cuts.0.diameter": f"{forces.diameter} mm",
        "operations.0.cuts.0.height": f"{forces.height} mm",
        "operations.0.cuts.0.speed": "600 rpm",
        "operations.0.cuts.0.cutting_speed": None,
        "operations.0.cuts.0.approach_angle": "95 deg",
        "operations.0.cuts.0.forces": {
            name: f"{getattr(forces, name)} N" for name in ("tangential", "feed", "passive")
        },
    }
    stated = judged(LIGHT, {**SLOW, **cut}).operations[0]
    assert by_move.clamping.side == pytest.approx(stated.clamping.side, rel=1e-6)
    assert by_move.grip.needed_total == pytest.approx(stated.grip.needed_total, rel=1e-6)
    assert by_move.grip.permissible.by_cutting == pytest.approx(stated.grip.permissible.by_cutting, rel=1e-6)


def test_the_heaviest_move_counts_although_a_faster_one_is_held_less(
    judged: Judged, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 2500 rev/min little grip is left: those light moves are held least, and the slow heavy one needs most."""
    monkeypatch.setattr(move_demand, "LOOKED_AT", 1)
    monkeypatch.setattr(move_demand, "LOOKED_AT_EACH_WAY", 0)
    alone = judged(HEAVY).operations[0]
    fast = "G97 S2500\n" + "".join(f"G0 X{77 - k}. Z3.\nG1 Z-20. F.1\nG0 X100.\n" for k in (1, 2, 3))
    both = judged(HEAVY + fast).operations[0]
    (way,) = both.moves
    least = min(way.asked.worst, key=lambda one: one.factor)
    assert least.demand.needed < max(one.demand.needed for one in way.asked.worst)
    assert both.grip.needed_total == pytest.approx(alone.grip.needed_total, rel=1e-9)
    assert both.clamping.side == alone.clamping.side


def test_blocks_that_may_be_skipped_count(judged: Judged) -> None:
    """The heavy move behind a slash runs or not, as the switch stands: it counts."""
    slashed = HEAVY.replace("G0 X77.", "/G0 X77.").replace("G1 Z-20.", "/G1 Z-20.")
    skipped = {"operations.0.program.optional_blocks": "skip"}
    heavy = judged(HEAVY).operations[0]
    found = judged(LIGHT + slashed.removeprefix(START), skipped).operations[0]
    assert len(found.moves) == 2
    assert found.clamping.side > 0.8 * heavy.clamping.side
    assert found.grip.needed_total > 0.8 * heavy.grip.needed_total


def test_other_states_know_the_moves(judged: Judged) -> None:
    """At the stated pressure both quick ways give what `assess` gives, at less pressure the margins fall."""
    found = judged(HEAVY)
    ready = states(found)
    grip = found.operations[0].operation.gripping
    mine = by_key(found)
    for verdicts in (
        judged_at(ready, 0, grip.pressure, grip.speed_high).verdicts,
        with_pressures(ready, {0: grip.pressure}).verdicts,
    ):
        theirs = {v.key: v for v in verdicts if v.key in mine}
        assert {key: (v.value, v.limit, v.status) for key, v in theirs.items()} == {
            key: (v.value, v.limit, v.status) for key, v in mine.items()
        }
    less = {v.key: v for v in judged_at(ready, 0, 0.8 * grip.pressure, grip.speed_high).verdicts}
    assert all(less[key].margin <= mine[key].margin for key in DECIDED)
    assert less["least_grip_of_a_jaw"].margin < mine["least_grip_of_a_jaw"].margin
    path, again = found.machining[0], with_pressures(ready, {0: grip.pressure}).machining[0]
    assert path is not None
    assert again is not None
    assert path.notes == again.notes


def test_quick_variants_know_the_moves(judged: Judged) -> None:
    found = judged(HEAVY)
    ready = variants(found)
    batch = many(ready, {"operations.0.gripping.pressure": np.array([1.95, 1.5])})
    for key, verdict in by_key(found).items():
        column = batch.column(key, "first side")
        assert batch.value[0, column] == pytest.approx(verdict.value, rel=5e-3)
        assert batch.limit[0, column] == pytest.approx(verdict.limit, rel=5e-3)
        assert batch.margin[1, column] <= batch.margin[0, column]


def test_a_program_may_not_be_left_out(judged: Judged) -> None:
    found = judged(LIGHT)
    with pytest.raises(ValueError, match=r"operations\[0\] has a program"):
        grip_part(found.parts, 0, "foundation")
