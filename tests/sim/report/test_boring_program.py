"""The program that bores the jaws, read back by the reader of shop programs."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.boring_paths import ROOM_FOR_A_RING
from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.programs.path import Move
from sim.programs.program import read
from sim.programs.reading import Reading
from sim.report.boring_program import (
    UNPROVEN,
    Asked,
    as_stated_program,
    judged_otherwise,
    require_same_moves,
    written_programs,
)
from sim.scenario import Scenario

RING, PLUG, BLOCKED, OWN = (
    "cast_hub_on_ring",
    "cast_hub_on_plug",
    "cast_hub_ring_blocks",
    "cast_hub_by_program",
)
ASKED = Asked("G77 cycles")
Judged = Callable[[str], Assessment]


def comments(text: str) -> str:
    return " ".join(line[1:-1] for line in text.splitlines() if line.startswith("("))


def test_read_back_it_is_judged_the_same(
    quickly_judged: Judged, varied: Callable[..., Scenario], tmp_path: Path
) -> None:
    made = quickly_judged(RING)
    (written,) = written_programs(made, ASKED)
    require_same_moves(written)
    file = tmp_path / "jaws.nc"
    file.write_text(written.text, encoding="ascii")
    stated = as_stated_program(made, written, str(file), 1)
    again = assess(varied(RING, {"boring.program": stated}), contact_model="foundation")
    assert again.boring.file
    assert judged_otherwise(made, again) == []
    # With the zero point 2 mm lower in truth than the program says, the pocket is another.
    stated["zero"] = "48 mm"
    low = assess(varied(RING, {"boring.program": stated}), contact_model="foundation")
    assert any("cut below the pocket" in one for one in judged_otherwise(made, low))


def test_a_way_in_over_the_ring_is_no_other_path(varied: Callable[..., Scenario], tmp_path: Path) -> None:
    """At 2.5 mm over the ring the way in is nearer to it than any move of the path; at 1 mm it is too near."""
    high = {"boring.passes.rapid_clearance": "6 mm"}
    made = assess(varied(RING, high), contact_model="foundation")
    (written,) = written_programs(made, ASKED)
    first = next(line for line in written.text.splitlines() if line.startswith("N10 "))
    ring = float(first.removeprefix("N10 G0 Z")) - 6.0
    for above, told in ((2.5, False), (1.0, True)):
        file = tmp_path / "jaws.nc"
        file.write_text(written.text.replace(first, f"N10 G0 Z{ring + above:.3f}", 1), encoding="ascii")
        stated = as_stated_program(made, written, str(file), 1)
        again = assess(varied(RING, {**high, "boring.program": stated}), contact_model="foundation")
        assert any("tool clearance" in one for one in judged_otherwise(made, again)) == told


def test_the_head_says_what_is_to_be_set_up(quickly_judged: Judged) -> None:
    (written,) = written_programs(quickly_judged(RING), replace(ASKED, station=4, number=77))
    told = comments(written.text)
    for caution in (*UNPROVEN, *CAUTIONS):
        assert caution.upper().replace(";", ",") in told
    for figure in (
        "7 BAR",
        "TRAVEL OF 3 MM OF 6 MM",
        "400 RPM",
        "RING 190 / 126 X 14 MM",
        "118 MM, 23 MM DEEP",
        "T0404",
    ):
        assert figure in told
    assert "O0077" in written.text
    assert "\nT0404\n" in written.text


def test_a_plug_needs_its_seat_first(quickly_judged: Judged) -> None:
    """The seat of the 92 mm plug, 10 mm above the serrated plane, bored clear of any ring of 30 mm."""
    seat, pockets = written_programs(quickly_judged(PLUG), replace(ASKED, number=1))
    require_same_moves(seat)
    assert (seat.what, pockets.what) == ("seat", "pockets")
    assert "O0001" in seat.text
    assert "O0002" in pockets.text
    assert "AGAINST A FIXTURE OF THEIR OWN" in comments(seat.text)
    moves = read(seat.text, Reading(start=seat.moves[0].start, z_offset=seat.zero)).moves
    cuts = [move for move in moves if move.kind == "feed"]
    wall = max(
        (move for move in cuts if move.start[0] > 45.9), key=lambda move: math.dist(move.start, move.end)
    )
    assert (wall.start[0], wall.end[0]) == pytest.approx((46.0, 46.0), abs=1e-3)  # between lead-in and groove
    assert min(move.end[1] for move in cuts) == pytest.approx(10.0, abs=0.05)
    across = [move for move in moves if move.kind == "rapid" and move.start[0] != move.end[0]]
    assert min(move.end[1] for move in across) == pytest.approx(50.0 + ROOM_FOR_A_RING)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (BLOCKED, "no program is written of a setup whose boring fails: tool contact"),
        (OWN, "the shop's own program"),
    ],
)
def test_what_must_not_be_written_is_refused(name: str, said: str, quickly_judged: Judged) -> None:
    with pytest.raises(ScenarioError, match=said):
        written_programs(quickly_judged(name), ASKED)


def test_text_that_runs_elsewhere_is_not_given_out(quickly_judged: Judged) -> None:
    (written,) = written_programs(quickly_judged(RING), ASKED)
    for text in (
        written.text.replace("G1 Z-22.7 F", "G1 Z-22.6 F", 1),
        written.text.replace("G1 Z", "G0 Z", 1),
        written.text.replace("N760 ", "N760 G91 ", 1),
    ):
        assert text != written.text
        with pytest.raises(ScenarioError, match="program as written"):
            require_same_moves(replace(written, text=text))
    longer = (*written.moves, Move("rapid", written.moves[-1].end, (0.0, 400.0)))
    with pytest.raises(ScenarioError, match="does not run its path"):
        require_same_moves(replace(written, moves=longer))


def test_a_verdict_that_turns_or_moves_is_told(quickly_judged: Judged) -> None:
    """A value may move by what is shown of it, here a hundredth of a millimetre, in the same status."""
    made = quickly_judged(RING)

    def told(**changes: Any) -> list[str]:
        verdicts = [replace(v, **changes) if v.key == "boring_travel" else v for v in made.verdicts]
        return judged_otherwise(made, replace(made, verdicts=tuple(verdicts)))

    travel = next(v for v in made.verdicts if v.key == "boring_travel")
    assert travel.value == 3.0
    assert told(value=3.004) == told(value=2.996) == []
    for changes in ({"status": "fail"}, {"value": 3.2}, {"value": 2.8}):
        (said,) = told(**changes)
        assert said.startswith("boring travel (boring)")
    (lost,) = judged_otherwise(made, replace(made, verdicts=made.verdicts[1:]))
    assert lost.endswith("is not judged")
    # One that only the program has counts where it fails.
    assert judged_otherwise(replace(made, verdicts=made.verdicts[1:]), made) == []
    failing = replace(made, verdicts=(replace(made.verdicts[0], status="fail"), *made.verdicts[1:]))
    (new,) = judged_otherwise(replace(made, verdicts=made.verdicts[1:]), failing)
    assert new.endswith("fails")


def test_the_head_of_a_setup_that_fails_says_so(quickly_judged: Judged) -> None:
    made = quickly_judged(RING)
    assert "THE SETUP FAILS" not in comments(written_programs(made, ASKED)[0].text)
    worst = next(v for v in made.verdicts if v.key == "grip_at_rest")
    failing = replace(
        made, verdicts=(*(v for v in made.verdicts if v is not worst), replace(worst, status="fail"))
    )
    (written,) = written_programs(failing, ASKED)
    assert "THE SETUP FAILS: GRIP AT REST" in comments(written.text)
