"""Threads in a program: what each pass takes, what drags through crests, and the grip that they ask for.

The hub's collar of 85 mm gets a thread of 2 mm; its tool is a V of 60 deg. Depths and forces by hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.threads import SAME_START, groove_width, threads_of
from sim.clearance.runs import Run
from sim.clearance.tool import Tool, ToolPart
from sim.mechanics import cutting, kienzle
from sim.mechanics.threading import thread_forces
from sim.programs.cycles.threads import phase
from sim.programs.path import Move
from sim.scenario import Scenario

RISE = 4.0 * math.tan(math.radians(30.0))
V_TOOL: dict[str, Any] = {
    "number": 4, "name": "threading tool",
    "cutter": {"outline": [["0 mm", "0 mm"], ["4 mm", f"{RISE:.6f} mm"], ["4 mm", f"{-RISE:.6f} mm"]]},
    "plate": {
        "outline": [["4.5 mm", "-4 mm"], ["4.5 mm", "20 mm"], ["120 mm", "20 mm"], ["120 mm", "-4 mm"]],
        "thickness": "25 mm",
    },
}  # fmt: skip
HEAD = "T0404\nG97 S300 M3\nG0 X90. Z6.\n"
CYCLE = "G76 P010060 Q50 R0\nG76 X82.546 Z-15. P1227 Q350 F2.\n"
END = "G0 X200.\nZ100.\nM30\n"
Judged = Callable[[str], Assessment]


@pytest.fixture
def judged(varied: Callable[..., Scenario], tmp_path: Path) -> Judged:
    def judge(text: str) -> Assessment:
        file = tmp_path / "part.nc"
        file.write_text(HEAD + text + END, encoding="utf-8")
        changes = {
            "operations.0.program.file": str(file),
            "operations.0.program.tools": [V_TOOL],
            "operations.0.program.finished_outline": None,
        }
        return assess(varied("cast_hub_by_program", changes), contact_model="foundation")

    return judge


def path_of(found: Assessment) -> MachiningFigures:
    path = found.machining[0]
    assert path is not None
    return path


def verdict(found: Assessment, key: str) -> str:
    return next(one.status for one in found.verdicts if one.key == key and one.stage == "first side")


def test_a_thread_cycle_is_judged_pass_by_pass(judged: Judged) -> None:
    """Depths 0.35 sqrt(n): 0.35, 0.145, 0.1112, ... to 1.227, then one at full depth that takes nothing."""
    found = judged(CYCLE)
    path = path_of(found)
    cuts = [n for n, move in enumerate(path.moves) if move.thread is not None]
    depths = path.clearance.depth_of_cut[cuts]
    reached = [min(0.35 * math.sqrt(n), 1.227) for n in range(1, 14)]
    steps = np.diff([0.0, *reached])
    assert len(cuts) == len(reached) + 1
    assert depths[:-1] == pytest.approx(steps, abs=2e-3)
    assert depths[-1] == pytest.approx(0.0, abs=1e-6)
    assert {path.moves[n].stage for n in cuts} == {f"thread pass {n} (G76)" for n in range(1, len(cuts) + 1)}
    assert path.clearance.touches == ()
    assert verdict(found, "tool_contact") == "pass"


def test_the_force_of_a_pass_by_hand(judged: Judged) -> None:
    """First pass: 0.35 mm deep, 2 x 0.35 x tan(30 deg) wide."""
    found = judged(CYCLE)
    path, figures = path_of(found), found.operations[0]
    number = next(n for n, move in enumerate(path.moves) if move.thread is not None)
    cuts = figures.operation.cuts
    forces = thread_forces(
        kienzle.cut_metal("cast iron GJL-250"), cutting.cutting_speed(85.0, 300.0),
        pitch=2.0, infeed=0.35, width=0.7 * math.tan(math.radians(30.0)),
        rake_angle=min(cut.rake_angle for cut in cuts), wear_factor=max(cut.wear_factor for cut in cuts),
        diameter=85.0, height=58.0, feed_towards="chuck", inside=False,
    )  # fmt: skip
    assert path.grip is not None
    plain = cutting.part_load(forces)
    # Grip needed grows with the force: torque alone is a lower bound of it.
    mu = figures.grip.friction
    least = plain.torque / (mu * 59.0)
    assert least < path.grip.needed[number] < 6.0 * least


def test_a_higher_lead_never_asks_for_less(judged: Judged) -> None:
    least = [path_of(judged(CYCLE.replace("F2.", f"F{lead}"))).grip for lead in (1.3, 2.0, 4.0)]
    worst = [min(one.factor[np.isfinite(one.factor)]) for one in least if one is not None]
    assert worst[0] >= worst[1] >= worst[2]


def test_a_second_start_in_one_pass_is_judged_at_its_full_depth(judged: Judged) -> None:
    """Between the turns of the first start stands what the half plane takes to be gone."""
    again = "G0 Z{z}\nG0 X82.546\nG32 Z-15. F2.\nG0 X90.\n"
    same, other = (path_of(judged(CYCLE + again.format(z=z))) for z in (8.0, 7.0))
    for path, depth in ((same, 0.0), (other, 1.227)):
        last = max(n for n, move in enumerate(path.moves) if move.thread is not None)
        assert path.clearance.depth_of_cut[last] == pytest.approx(depth, abs=2e-3)
    assert other.grip is not None
    assert same.grip is not None
    worst = [min(one.factor[np.isfinite(one.factor)]) for one in (same.grip, other.grip)]
    assert worst[1] < 0.7 * worst[0]


def test_a_tool_that_goes_back_between_the_crests_touches(judged: Judged) -> None:
    """84 mm lies below the crests of 85; 86 mm is beyond them. The half plane finds both free."""
    one = "G0 X84.\nG32 Z-15. F2.\nG0 X{x}\nG0 Z6.\n"
    assert verdict(judged(one.format(x="86.")), "tool_contact") == "pass"
    found = judged("G0 X83.\nG32 Z-15. F2.\nG0 X84.\nG0 Z6.\n")
    assert verdict(found, "tool_contact") == "fail"
    touch = next(one for one in path_of(found).clearance.touches)
    assert (touch.kind, touch.line, touch.body) == ("rapid contact", 7, "workpiece")
    assert touch.depth == pytest.approx(0.5, abs=0.01)


def test_what_the_control_keeps_is_stated(varied: Callable[..., Scenario], tmp_path: Path) -> None:
    """Pulled out one lead of 2 mm before -15, in each of two passes; without it in full to the end, and told so."""
    file = tmp_path / "part.nc"
    file.write_text(HEAD + "G76 X82.546 Z-15. K1.227 D1. F2.\n" + END, encoding="utf-8")
    changes: dict[str, Any] = {
        "operations.0.program.file": str(file),
        "operations.0.program.tools": [V_TOOL],
        "operations.0.program.finished_outline": None,
    }
    plain = path_of(assess(varied("cast_hub_by_program", changes), contact_model="foundation"))
    changes["operations.0.program.cycle_amounts.thread_pull_out"] = 1.0
    changes["operations.0.program.cycle_amounts.thread_finish_allowance"] = "0.1 mm"
    stated = path_of(assess(varied("cast_hub_by_program", changes), contact_model="foundation"))
    zero = plain.zero
    ends = [
        [round(m.end[1] - zero, 6) for m in path.moves if m.thread is not None] for path in (plain, stated)
    ]
    assert ends == [[-15.0] * 3, [-13.0, -15.0] * 3]
    roots = [round(2.0 * m.end[0], 3) for m in stated.moves if m.thread is not None][::2]
    assert roots == [83.0, 82.746, 82.546]
    assert any("thread_pull_out" in note for note in plain.notes)


TIP = Tool("V", (ToolPart("insert", "insert", np.array([[0.0, 0.0], [4.0, -RISE], [4.0, RISE]])),), 0.0)


def thread(x: float, begin: float = 5.0, end: float = -10.0, lead: float = 2.0, turned: float = 0.0) -> Move:
    return Move("feed", (x, begin), (x, end), feed=lead, thread=phase((x, begin), (x, end), lead, turned))


def looked_at(*moves: tuple[Move, float]) -> Any:
    run = Run(TIP, tuple(move for move, _ in moves))
    left = shapely.box(0.0, -30.0, 14.0, 0.0)
    return threads_of([run], [False], np.array([taken for _, taken in moves]), left, "workpiece")


def test_width_of_a_groove() -> None:
    assert groove_width(TIP, 1.0) == pytest.approx(2.0 * math.tan(math.radians(30.0)))
    assert groove_width(TIP, 9.0) == pytest.approx(2.0 * RISE)


def test_passes_fed_in_along_a_flank_are_of_one_start() -> None:
    """Each begins a little nearer: 0.1 mm of 2 mm is a twentieth of a turn. None beyond a flank of 60 deg."""
    found = looked_at(
        (thread(14.7), 0.3), (thread(14.5, 4.9), 0.2), (thread(14.4, 4.85), 0.1), (thread(14.4, 4.85), 0.0)
    )
    steps = [(round(p.infeed, 6), round(p.depth, 6)) for p in found.passes.values()]
    assert steps == [(0.3, 0.3), (0.2, 0.5), (0.1, 0.6), (0.0, 0.6)]


def test_a_pass_that_widens_its_groove_takes_what_stands_aside() -> None:
    """0.2 mm aside at a depth of 1 mm: 0.2 mm2 of section, whatever the width of the tool; half a hundredth is none."""
    found = looked_at((thread(14.0), 1.0), (thread(14.0, 5.205), 0.0), (thread(14.0, 5.205), 0.0)).passes
    assert found[1].infeed > 0.0
    assert found[2].infeed == 0.0
    for width in (0.5, 1.0, 2.0 * math.tan(math.radians(30.0))):
        assert found[1].over_a_width(width) * width == pytest.approx(0.2, rel=1e-3)
    assert found[1].over_a_width(2.0) * 2.0 > 0.2
    # Down a flank of 60 deg by hand: no more than going straight in.
    down = looked_at(
        (thread(14.5), 0.5), (thread(14.4, 5.0 - 0.1 * math.tan(math.radians(30.0))), 0.1)
    ).passes
    assert down[1].infeed == pytest.approx(0.1)


@pytest.mark.parametrize("starts", range(2, 9))
def test_starts_are_told_apart(starts: int) -> None:
    assert 1.0 / starts > SAME_START
    moves = [(thread(14.0, turned=n / starts), 1.0 if n == 0 else 0.0) for n in range(starts)]
    assert [round(p.infeed, 6) for p in looked_at(*moves).passes.values()] == [1.0] * starts


def test_what_is_turned_below_the_root_is_forgotten() -> None:
    """A thread turned off, and another one 4 mm deeper: its first pass takes what its groove takes."""
    off = Move("feed", (13.0, 5.0), (13.0, -10.0), feed=0.2)
    found = looked_at((thread(14.0), 1.0), (off, 1.0), (thread(12.5), 0.5))
    assert round(found.passes[2].infeed, 6) == 0.5
    # A cut along the crests leaves the thread what it is.
    deburr = Move("feed", (14.95, 5.0), (14.95, -10.0), feed=0.2)
    found = looked_at((thread(14.0), 1.0), (deburr, 0.0), (thread(14.0, turned=0.5), 0.0))
    assert round(found.passes[2].infeed, 6) == 1.0
    assert found.turned[1] == pytest.approx(0.05)


def test_only_moves_along_a_thread_drag() -> None:
    out = Move("rapid", (14.0, -10.0), (16.0, -10.0))
    assert looked_at((thread(14.0), 1.0), (out, 0.0)).dragged == ()
    aslant = Move("rapid", (14.0, -10.0), (16.0, 5.0))
    touches = looked_at((thread(14.0), 1.0), (aslant, 0.0)).dragged
    assert [(touch.move, touch.kind) for touch in touches] == [(1, "rapid contact")]
    beyond = Move("rapid", (15.1, -10.0), (15.1, 5.0))
    assert looked_at((thread(14.0), 1.0), (beyond, 0.0)).dragged == ()
    # On the way in, before the face, there are no crests.
    aside = Move("rapid", (16.0, 5.0), (14.0, 3.0))
    assert looked_at((thread(14.0), 1.0), (aside, 0.0)).dragged == ()
    assert looked_at((beyond, 0.0)).passes == {}
