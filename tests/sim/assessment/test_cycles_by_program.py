"""Pecks and holes of a program on the hub: nothing touches on the way, and the metal is what the cycle takes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.assessment.demand import demand_of
from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.stages import assess
from sim.mechanics import cutting, drilling, kienzle
from sim.scenario import Scenario

BLADE: dict[str, Any] = {
    "number": 5, "name": "grooving tool",
    "cutter": {"outline": [["0 mm", "0 mm"], ["0 mm", "3 mm"], ["20 mm", "2.8 mm"], ["20 mm", "0.2 mm"]]},
    "plate": {
        "outline": [["20 mm", "0.2 mm"], ["20 mm", "2.8 mm"], ["120 mm", "20 mm"], ["120 mm", "0.2 mm"]],
        "thickness": "25 mm",
    },
}  # fmt: skip
DRILL: dict[str, Any] = {
    "number": 6, "name": "drill of 50",
    "cutter": {
        "outline": [["0 mm", "0 mm"], ["25 mm", "15 mm"], ["25 mm", "90 mm"], ["-25 mm", "90 mm"], ["-25 mm", "15 mm"]]
    },
    "plate": {
        "outline": [["-25 mm", "90 mm"], ["25 mm", "90 mm"], ["25 mm", "140 mm"], ["-25 mm", "140 mm"]],
        "thickness": "25 mm",
    },
}  # fmt: skip
Machined = Callable[..., MachiningFigures]


@pytest.fixture
def machined(varied: Callable[..., Scenario], tmp_path: Path) -> Machined:
    def judge(text: str, tool: dict[str, Any], **fields: Any) -> MachiningFigures:
        file = tmp_path / "part.nc"
        file.write_text(text, encoding="utf-8")
        changes = {
            "operations.0.program.file": str(file),
            "operations.0.program.tools": [tool],
            "operations.0.program.finished_outline": None,
        } | {f"operations.0.program.{name}": value for name, value in fields.items()}
        path = assess(varied("cast_hub_by_program", changes), contact_model="foundation").machining[0]
        assert path is not None
        return path

    return judge


def test_a_groove_in_pecks(machined: Machined) -> None:
    """From 85 to 75 mm in diameter, 3 + 2 + 2 mm wide: 7 x 5 = 35 mm2 of section; nothing touches."""
    head = "T0505\nG97 S400 M3 F.1\nG0 X90. Z-6.\n"
    path = machined(head + "G75 R.5\nG75 X75. Z-10. P2000 Q2000\nG0 X200.\nZ100.\nM30", BLADE)
    assert path.clearance.touches == ()
    assert path.clearance.removed.sum() == pytest.approx(35.0, rel=1e-3)
    cuts = [
        n for n, move in enumerate(path.moves) if move.kind == "feed" and path.clearance.depth_of_cut[n] > 0.0
    ]
    assert {path.moves[n].line for n in cuts} == {5}
    assert path.moves[cuts[0]].stage == "peck 2 at place 1 (G75)"


def test_opening_a_hole_asks_for_the_torque_far_out(
    machined: Machined, varied: Callable[..., Scenario]
) -> None:
    """Its lips cut from 20 to 25 mm with the forces of a drill of 10 mm, whose torque they have 9 times over."""
    text = "T0606\nG97 S200 M3 F.2\nG0 X0 Z5.\nG81 Z-35.\nG80\nG0 Z100.\nM30"
    path = machined(text, DRILL)
    assert path.grip is not None
    figures = assess(varied("cast_hub_by_program", {}), contact_model="foundation").operations[0]
    wear = max(cut.wear_factor for cut in figures.operation.cuts)
    small = drilling.drill_forces(
        kienzle.cut_metal("cast iron GJL-250"), cutting.cutting_speed(10.0, 200.0),
        feed=0.2, rake_angle=min(cut.rake_angle for cut in figures.operation.cuts), wear_factor=wear, diameter=10.0,
        height=23.0, feed_towards="chuck",
    )  # fmt: skip
    wide = drilling.opening(small, 50.0)
    assert cutting.part_load(wide).torque == pytest.approx(2.0 * small.tangential * 22.5)
    assert cutting.part_load(wide).torque == pytest.approx(9.0 * cutting.part_load(small).torque)
    assert drilling.opening(small, 10.0) == small
    pulls = [drilling.breaking_through(one) for one in (small, wide)]
    needed = [
        demand_of(one, "", 200.0, figures.operation, figures.zone, figures.grip.friction).needed
        for one in pulls
    ]
    assert max(path.grip.needed) == pytest.approx(needed[1], rel=0.02)
    assert needed[1] > 1.03 * needed[0]


@pytest.mark.parametrize("way", ["out", "back off"])
def test_a_hole_in_pecks(machined: Machined, way: str) -> None:
    """The bore of 40 mm drilled out to 50 mm down to -20, from the raw face at 1.5: nothing touches on the way in."""
    head = "T0606\nG97 S200 M3 F.2\nG0 X0 Z5.\n"
    path = machined(head + "G83 Z-35. Q8000\nG80\nG0 Z100.\nM30", DRILL, **{"cycle_amounts.peck_return": way})
    assert path.clearance.touches == ()
    # A point of 15 mm: full diameter down to -20, then the cone to where it meets the bore of 40, 3 mm deeper.
    assert path.clearance.removed.sum() == pytest.approx(5.0 * 21.5 + 0.5 * 5.0 * 3.0, rel=1e-3)
    assert path.grip is not None
    cuts = [n for n, move in enumerate(path.moves) if move.kind == "feed"]
    assert all(0.0 < path.grip.factor[n] < 1e3 for n in cuts if path.clearance.depth_of_cut[n] > 0.0)
