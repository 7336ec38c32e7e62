"""A path: which touch, move and depth is judged, and where a warning ends; made-up paths, none is cut."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely

from meshes.insert import parse
from meshes.tool_holder import ToolHolder
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.path import cut_below_the_part_and_limit, path_verdicts, place, where
from sim.clearance.result import Touch
from sim.clearance.tool_carried import CARRIER
from sim.programs.path import Move

CLEARANCE, PLANE = 1.5, 60.0
REMEDY = "Change the path."
FAR_OFF = np.full(4, 40.0)
INSERT = parse("CNMG 120408")  # edge 12.9 mm, two thirds of which cut, half as much again is all of it
EDGE = 12.7 / math.sin(math.radians(80.0)) * math.sin(math.radians(95.0))


def moves() -> tuple[Move, ...]:
    """In over the jaws, down, a cut, and away: rapid, rapid, feed, rapid."""
    return (
        Move("rapid", (90.0, 80.0), (50.0, 80.0), block=10, line=1),
        Move("rapid", (50.0, 80.0), (50.0, 52.0), block=20, line=2),
        Move("feed", (50.0, 52.0), (50.0, 40.0), block=30, line=3),
        Move("rapid", (50.0, 40.0), (48.0, 40.0)),
    )


def touch(kind: Any = "rapid contact", move: int = 1, part: str = "insert", *, astray: bool = False) -> Touch:
    return Touch(
        kind, move, None, None, part, "jaw", (50.04, 51.96), (50.0, 52.0), 1.26, (1.0, 1.0), 1, astray
    )


def tool(name: str = "T1", assumed: frozenset[str] = frozenset()) -> Any:
    return SimpleNamespace(name=name, assumed=assumed)


def judged(**changes: Any) -> dict[str, Verdict]:
    result = {
        "clearance": FAR_OFF, "part": ("insert",) * 4, "body": ("jaw",) * 4, "approach": np.full(4, math.inf),
        "astray": np.zeros(4, dtype=bool), "depth_of_cut": np.array([0.0, 0.0, 2.0, 0.0]), "touches": (),
        "gouge_depth": 0.0, "leftover_depth": 0.0, "leftover": shapely.Polygon(),
    }  # fmt: skip
    path = {
        "file": "", "moves": moves(), "wanted": None, "safe_plane": PLANE, "stated": None, "head": frozenset(),
        "angle": 0.5 * math.pi, "cutter": None, "carrier": None,
    }  # fmt: skip
    shape = changes.pop("shape", "pocket")
    for name, value in changes.items():
        assert name in {**result, **path}
        (result if name in result else path)[name] = value
    found: Any = SimpleNamespace(**result)
    found.least_clearance = float(found.clearance.min(initial=math.inf))
    found.least_move = int(found.clearance.argmin()) if len(found.clearance) else -1
    of = path["moves"]
    run = SimpleNamespace(moves=of, tool=tool(assumed=path["head"]), depth_limit=path["stated"])
    drawn = SimpleNamespace(carrier=path["carrier"], cutter=path["cutter"], approach_angle=path["angle"])
    figures: Any = SimpleNamespace(
        **path, clearance=found, runs=(run,), drawn=(drawn,), run_of=lambda _: 0, tool_of=lambda _: run.tool
    )
    parts: Any = SimpleNamespace(scenario=SimpleNamespace(limits=SimpleNamespace(clearance=CLEARANCE)))
    return {v.key: v for v in path_verdicts(parts, figures, "boring", shape, REMEDY)}


def test_a_path_that_touches_nothing_passes() -> None:
    found = judged()
    assert {v.status for v in found.values()} == {"pass"}
    assert (found["tool_contact"].value, found["tool_contact"].limit) == (0.0, 0.0)
    assert (found["tool_clearance"].value, found["tool_clearance"].limit) == (40.0, CLEARANCE)
    assert "in 4 moves" in found["tool_contact"].message


def test_any_touch_fails_and_is_counted_by_its_kind() -> None:
    """What is certain is told before what may be; a gouge and a depth have verdicts of their own."""
    touches = (touch(astray=True), touch(), touch("shank contact"), touch("gouge"), touch("depth of cut"))
    found = judged(touches=touches)["tool_contact"]
    assert (found.status, found.value, found.limit) == ("fail", 3.0, 0.0)
    assert "2 rapid contacts, 1 shank contact" in found.message
    assert "1 of them off the line" in found.message
    assert found.message.startswith(
        "insert touches jaw in move 2 at radius 50.0 mm, z 52.0 mm, 1.3 mm deep ("
    )
    assert judged(touches=touches[3:])["tool_contact"].status == "pass"
    maybe = judged(touches=touches[:1])["tool_contact"]
    assert maybe.status == "fail"
    assert "of them off the line" not in maybe.message


@pytest.mark.parametrize(("least", "status"), [(1.49, "warn"), (0.01, "warn"), (0.0, "fail"), (1.5, "pass")])
def test_too_near_warns_and_touching_fails(least: float, status: str) -> None:
    found = judged(clearance=np.array([9.0, least, 7.0, 8.0]))["tool_clearance"]
    assert (found.status, found.value, found.limit) == (status, least, CLEARANCE)
    assert "move 2" in found.message


def test_where_nothing_is_near_a_number_is_shown() -> None:
    assert judged(clearance=np.full(4, math.inf))["tool_clearance"].value == 1e6


def test_a_path_without_moves_is_no_danger() -> None:
    none = np.zeros(0)
    found = judged(moves=(), clearance=none, depth_of_cut=none, approach=none)
    assert found["tool_clearance"].status == "pass"
    assert found["tool_clearance"].value == found["tool_clearance"].limit == CLEARANCE
    assert "rapid_plane" not in found


@pytest.mark.parametrize(
    ("clearance", "parts_near", "touches", "said"),
    [
        ([9.0, 0.5, 9.0, 9.0], ("x", "head", "x", "x"), (), True),
        ([9.0, 0.5, 9.0, 9.0], ("head", "insert", "head", "head"), (), False),
        # two moves touch, one of them with more than the head
        ([0.0, 0.0, 9.0, 9.0], ("head", "insert", "x", "x"), (), False),
        ([0.0, 0.0, 9.0, 9.0], ("head", "head", "x", "x"), (), True),
        ([9.0, 0.5, 9.0, 9.0], ("x", "head", "x", "x"), (touch(),), False),
        ([9.0, 1.6, 9.0, 9.0], ("x", "head", "x", "x"), (), False),
    ],
)
def test_only_an_assumed_head_is_called_one(
    clearance: list[float], parts_near: tuple[str, ...], touches: tuple[Touch, ...], said: bool
) -> None:
    found = judged(clearance=np.array(clearance), part=parts_near, touches=touches, head=frozenset({"head"}))[
        "tool_clearance"
    ]
    assert ("simplified head" in found.message) is said


@pytest.mark.parametrize(
    ("shape", "key"), [("pocket", "cut_below_the_pocket"), ("part", "cut_below_the_part")]
)
@pytest.mark.parametrize(("depth", "status"), [(0.019, "pass"), (0.021, "fail")])
def test_two_hundredths_below_the_shape_is_too_deep(shape: str, key: str, depth: float, status: str) -> None:
    """Common practice, no source."""
    found = judged(wanted=1, shape=shape, gouge_depth=depth, touches=(touch("gouge", 2),))[key]
    assert (found.status, found.value, found.limit) == (status, depth, 0.02)
    assert ("first in move 3" in found.message) is (status == "fail")
    assert cut_below_the_part_and_limit(0.3) == (0.3, 0.02)


def test_without_a_wanted_shape_nothing_is_too_deep_or_left() -> None:
    assert not {"cut_below_the_pocket", "stock_left_in_the_pocket"} & set(judged())


@pytest.mark.parametrize(("depth", "status"), [(0.49, "pass"), (0.51, "fail")])
def test_half_a_millimetre_may_be_left_in_a_corner(depth: float, status: str) -> None:
    """A piece of 1 x 1 mm, no longer than a nose leaves."""
    found = judged(wanted=1, leftover_depth=depth, leftover=shapely.box(0.0, 0.0, 1.0, depth))
    verdict = found["stock_left_in_the_pocket"]
    assert (verdict.status, verdict.value, verdict.limit) == (status, depth, 0.5)


@pytest.mark.parametrize(
    ("shape", "layer", "status"),
    [
        ("pocket", 0.015, "pass"), ("pocket", 0.03, "warn"), ("pocket", 0.06, "fail"),
        ("part", 0.06, "warn"), ("part", 0.29, "warn"), ("part", 0.31, "fail"),
    ],
)  # fmt: skip
def test_a_layer_on_a_face_counts_from_two_hundredths_on(shape: str, layer: float, status: str) -> None:
    """20 mm long. A pocket is then of another size from 0.05 mm on, a part from 0.3 mm on (common practice)."""
    left = {"leftover_depth": layer, "leftover": shapely.box(0.0, 0.0, 20.0, layer)}
    found = judged(wanted=1, shape=shape, **left)
    verdict = found["stock_left_in_the_pocket" if shape == "pocket" else "stock_left_on_the_part"]
    assert verdict.status == status
    if status == "pass":
        assert (verdict.value, verdict.limit) == (layer, 0.5)
    else:
        assert verdict.limit == 0.02
        assert verdict.value == pytest.approx(layer, abs=2e-4)


@pytest.mark.parametrize(("depth", "status"), [(1.99, "pass"), (2.05, "fail")])
def test_a_tool_takes_what_its_maker_states(depth: float, status: str) -> None:
    found = judged(stated=2.0, depth_of_cut=np.array([0.0, 0.0, depth, 0.0]))["depth_of_cut"]
    assert (found.status, found.value) == (status, depth)
    assert found.limit == pytest.approx(2.0, abs=0.011)
    assert "move 3" in found.message
    assert "depth_of_cut" not in judged()


def test_an_edge_warns_where_it_is_shorter_than_the_cut_whatever_is_stated() -> None:
    depths = np.array([0.0, 0.0, EDGE + 0.1, 0.0])
    own = {"cutter": INSERT, "angle": math.radians(95.0), "depth_of_cut": depths}
    found = judged(stated=20.0, **own)["depth_of_cut"]
    assert found.status == "warn"
    assert found.limit == pytest.approx(EDGE, abs=0.011)
    assert judged(stated=3.0, **own)["depth_of_cut"].status == "fail"
    short = {**own, "depth_of_cut": np.array([0.0, 0.0, EDGE - 0.1, 0.0])}
    assert judged(**short)["depth_of_cut"].status == "pass"


def test_rapids_across_below_the_plane_keep_the_clearance() -> None:
    """The move in runs over the plane, the last one leaves a cut: neither counts. With a higher plane one does."""
    clean = judged()["rapid_plane"]
    assert (clean.status, clean.value, clean.limit) == ("pass", 0.0, 0.0)
    assert clean.message.startswith("no rapid move")
    for away, met in ((1.4, 1.0), (1.49995, 0.0), (1.6, 0.0)):
        near = np.array([away, 40.0, 40.0, 40.0])
        for arrays in ({"clearance": near}, {"approach": near}):
            found = judged(safe_plane=90.0, **arrays)["rapid_plane"]
            assert (found.value, found.status) == (met, "warn" if met else "pass")
            assert found.message.startswith("1 rapid move runs across")
            assert "nearest in move 1" in found.message


def test_a_place_is_named_as_the_program_has_it() -> None:
    one, two = (SimpleNamespace(moves=moves()[:2], tool=tool(n)) for n in ("T1", "T2"))
    path: Any = SimpleNamespace(
        moves=moves(), file="o1.nc", runs=(one, two), tool_of=lambda k: (one, two)[k // 2].tool
    )
    assert place(path, 2) == "move 3 (N30, line 3 of o1.nc), T2"
    assert place(path, 2, name_tool=False) == "move 3 (N30, line 3 of o1.nc)"
    assert place(path, 3) == "move 4, T2"
    assert where(path, touch(move=1, astray=True)).startswith("insert touches jaw in move 2 (N20")
    assert "each at its own rate" in where(path, touch(astray=True))
    assert "each at its own rate" not in where(path, touch())
    path.moves = (Move("feed", (50.0, 52.0), (50.0, 40.0), line=4),)
    assert place(path, 0) == "move 1 (line 4 of o1.nc), T1"
    path.file, path.runs, path.moves = "", (one,), moves()
    assert place(path, 2) == "move 3"


def test_of_several_rapids_below_the_plane_the_nearest_is_told() -> None:
    near = np.array([1.2, 40.0, 40.0, 40.0])
    twice = (moves()[0], moves()[0], *moves()[2:])
    found = judged(moves=twice, safe_plane=90.0, clearance=near)["rapid_plane"]
    assert found.value == 1.0
    assert found.message.startswith("2 rapid moves run across")
    assert found.message.endswith("nearest in move 1, 1.20 mm away.")
    assert judged(moves=twice, safe_plane=90.0, clearance=near[::-1])["rapid_plane"].message.endswith(
        "40.00 mm away."
    )


def test_what_to_change_hangs_on_where_the_path_comes_from() -> None:
    wrong = {"wanted": 1, "gouge_depth": 0.1, "leftover_depth": 0.6}
    made, read = judged(**wrong), judged(**wrong, file="o1.nc")
    assert "follows the pocket's contour" in made["cut_below_the_pocket"].advice
    assert "Correct the program" in read["cut_below_the_pocket"].advice
    assert "smaller nose radius" in made["stock_left_in_the_pocket"].advice
    assert "Complete the program" in read["stock_left_in_the_pocket"].advice


@pytest.mark.parametrize(
    ("part", "simplified", "said"), [("holder", True, True), ("holder", False, False), ("shank", True, False)]
)
def test_a_holder_whose_head_is_simplified_says_so(part: str, simplified: bool, said: bool) -> None:
    outline = ((0.0, 0.0), (20.0, 0.0), (20.0, 100.0), (0.0, 100.0))
    carrier = ToolHolder(outline, 25.0, simplified=simplified)
    found = judged(touches=(touch(part=part),), carrier=carrier)["tool_contact"]
    assert ("Only the holder with a square shank" in found.message) is said


@pytest.mark.parametrize(
    ("touching", "said"),
    [
        (("head",), "assumed from the bar's diameter"),
        (("head", CARRIER), "sleeve of twice its diameter"),
        (("head", "insert"), None),
        (("shank",), None),
    ],
)
def test_touches_of_assumed_shapes_say_so(touching: tuple[str, ...], said: str | None) -> None:
    found = judged(
        touches=tuple(touch(part=part) for part in touching),
        head=frozenset({"head", CARRIER}),
        carrier=SimpleNamespace(stated_least_bore=None),
    )["tool_contact"]
    assert found.status == "fail"
    assert ("Only" in found.message) is (said is not None)
    assert said is None or said in found.message
