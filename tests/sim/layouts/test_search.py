"""A search finds optima that are known beforehand, and says what blocks where nothing passes."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from sim.assessment.gripped_again import with_pressures
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import states
from sim.assessment.verdict import Verdict
from sim.base.kept import forget
from sim.layouts import search as searching
from sim.layouts.candidate import Candidate, candidate, fixed_verdicts, margin, rank
from sim.layouts.full_check import FullCheck, full_check
from sim.layouts.search import SearchResult, _covers, _front, _weighed, confirmed, search
from sim.layouts.space import Space, space
from sim.layouts.window import border, window
from sim.scenario import Scenario, read_search
from sim.scenario.changes import changed
from sim.scenario.scenario import checked
from sim.setup.loading import load, refuse_impossible
from sim.terminal.layouts import search_table

Run = Callable[..., SearchResult]
HUB = "cast_hub_on_ring"
FLOOR = Verdict("floor", "floor", "jaws", "fail", 1.0, 5.0, "mm", "rule", "1 mm is left.", "Bore less deep.")


@pytest.fixture
def run(tmp_path: Path, scenario_file: Callable[[str], Path]) -> Run:
    """Search in a scenario with some fields changed."""

    def searched(name: str, ranges: str, changes: dict[str, Any], tries: int = 40) -> SearchResult:
        tables = changed(tomllib.loads(scenario_file(name).read_text(encoding="utf-8")), changes)
        path = tmp_path / "search.toml"
        path.write_text(f'scenario = "{scenario_file(name)}"\n{ranges}', encoding="utf-8")
        scenario = checked(tables, scenario_file(name))
        refuse_impossible(scenario)
        return search(tables, scenario_file(name), space(read_search(path), scenario), tries)

    return searched


def value(found: SearchResult, name: str, one: Candidate | None = None) -> float:
    place = [v.name for v in found.space.variables].index(name)
    return (one or found.front[0]).point[place]


def test_the_middle_of_the_stroke(run: Run) -> None:
    """Part and pocket of one size: bored and gripped s from the nearer end, margin s over 49 % of the 6 mm.

    Only 2.94 to 3.06 mm pass at all; the margin is largest in the middle, 3 mm over 2.94 mm.
    """
    same = {
        "limits.stroke_reserve": 0.49,
        "operations.0.workpiece.gripped_diameter_low": "118 mm",
        "operations.0.workpiece.gripped_diameter_high": "118 mm",
        "operations.0.gripping.pressure": "18 bar",
    }
    found = run(HUB, 'boring_travel = ["0.8 mm", "5.6 mm"]', same, 24)
    assert found.front
    assert value(found, "boring travel") == pytest.approx(3.0, abs=0.02)
    assert margin(found.front[0], found.fixed) == pytest.approx(3.0 / 2.94, abs=0.007)


@pytest.mark.usefixtures("coarse")
def test_the_pressure_between_a_rising_and_a_falling_margin(
    run: Run, varied: Callable[..., Scenario]
) -> None:
    """Margins p / p_low and p_high / p: the geometric mean (see tests/reference/test_window_borders.py)."""
    # Reached at 15.1 bar, the grip at rest at 14.3 bar: what no pressure moves, the held length, has more margin.
    loose = {"chuck.largest_grip": "38 kN"}
    ranges = 'pressures = [{ operation = "first side", low = "14 bar", high = "29 bar" }]\ngrooves = [{}]'
    found = run(HUB, ranges, loose, 2)
    shown = window(assess(varied(HUB, loose), contact_model="foundation"), 0)
    column = int((shown.speeds == 1000.0).argmax())
    best = math.sqrt(border(shown, "grip at rest")[column] * border(shown, "largest grip")[column])
    assert found.front[0].pressures[0] == pytest.approx(best, abs=0.011)  # set to a tenth of a bar


def test_the_only_fixture_that_clears(run: Run) -> None:
    """A ring with a hole of 112 mm stands in the way of a pocket of 118 mm; the plug does not."""
    ranges = """
[[fixtures]]
fixture = { kind = "ring", outer_diameter = "190 mm", inner_diameter = "112 mm", thickness = "14 mm" }
pressure = "7 bar"
[[fixtures]]
fixture = { kind = "plug", diameter = "92 mm", thickness = "12 mm", height = "10 mm" }
pressure = "15 bar"
"""
    found = run(HUB, ranges, {}, 6)
    assert [found.space.variables[0].words(c.point[0]) for c in found.front] == ["plug 2"]


def test_no_winner_stands_on_a_thin_floor(run: Run) -> None:
    """Two plugs that clear alike; under the lower one's seat 2.1 mm are left over the serrations."""
    ranges = """
[[fixtures]]
fixture = { kind = "plug", diameter = "92 mm", thickness = "12 mm", height = "2.1 mm" }
pressure = "15 bar"
[[fixtures]]
fixture = { kind = "plug", diameter = "92 mm", thickness = "12 mm", height = "10 mm" }
pressure = "15 bar"
"""
    found = run(HUB, ranges, {}, 6)
    assert [found.space.variables[0].words(c.point[0]) for c in found.front] == ["plug 2"]
    assert all(v.value >= 5.0 for c in found.front for v in c.verdicts if v.name == "floor under the pocket")


def test_no_winner_has_heads_out_of_its_jaws(run: Run) -> None:
    """Heads of 14 mm in counterbores of 15 mm; pins of 8 mm would stand on them in every layout but the plug's."""
    shallow = {"soft_jaw.screws.counterbore_depth": "15 mm", "boring.fixture.pin_length": "1 mm"}
    ranges = """
[[fixtures]]
fixture = { kind = "ring", outer_diameter = "190 mm", inner_diameter = "126 mm", thickness = "14 mm" }
pressure = "7 bar"
[[fixtures]]
fixture = { kind = "plug", diameter = "92 mm", thickness = "12 mm", height = "10 mm" }
pressure = "15 bar"
"""
    found = run(HUB, ranges, shallow, 6)
    assert [found.space.variables[0].words(c.point[0]) for c in found.front] == ["plug 2"]
    assert "boring.fixture.pin_length must be at most 1 mm" in found.refusals[0][0]


def test_the_serration_with_most_room(run: Run) -> None:
    """Wall to the counterbore is 3.5 mm at index 0 and 1.5 mm more with each.

    The open jaws stand 1.5 mm out of the body, 2.9 mm with one serration more. With a wall of 4 mm wanted, index 0
    fails and 1 passes; at 2 they stand out too far. The master jaws are long enough.
    """
    wide = {"limits.wall": "4 mm", "limits.body_overhang": "3 mm", "master_jaw.length": "103 mm"}
    found = run(HUB, "serration_index = [-2, 2]", wide, 12)
    assert value(found, "serration index") == 1.0
    assert all(value(found, "serration index", c) >= 1.0 for c in found.front)


def test_what_blocks_and_by_how_much(run: Run, varied: Callable[..., Scenario]) -> None:
    """No pressure that the hydraulics hold keeps the thin ring round to 20 micrometres: the least squeezes it least."""
    ranges = 'pressures = [{ operation = "finish the bore", low = "4 bar", high = "12 bar" }]\nserration_index = [0, 1]'
    found = run("thin_ring_distorts", ranges, {}, 6)
    assert found.front == ()
    first = found.blocking[0]
    assert (first.name, first.stage) == ("roundness after release", "finish the bore")
    assert first.limit == pytest.approx(20.0)
    least = varied("thin_ring_distorts", dict(found.nearest.changes))
    again = assess(least, contact_model="foundation")
    assert first.value == pytest.approx(again.operations[0].roundness, rel=1e-6)
    assert found.nearest.pressures[0] == pytest.approx(0.4, abs=0.011)


def test_nothing_can_be_built(run: Run) -> None:
    found = run(HUB, 'pocket_depths = [{ pocket = "rim", low = "51 mm", high = "55 mm" }]', {}, 4)
    assert found.front == ()
    assert found.refused == found.tried
    assert "must be less than soft_jaw.height" in found.nearest.refusal
    assert found.refusals[0][1] >= 1


def test_a_search_repeats_itself(run: Run) -> None:
    ranges = 'boring_travel = ["2 mm", "4 mm"]'
    one = run(HUB, ranges, {}, 6)
    forget()
    other = run(HUB, ranges, {}, 6)
    assert [c.point for c in one.front] == [c.point for c in other.front]
    assert one.tried == other.tried <= 6


def test_confirmed_by_finite_elements(run: Run, scenario_file: Callable[[str], Path]) -> None:
    found = run(HUB, 'boring_travel = ["2.9 mm", "3.1 mm"]', {}, 4)
    path = scenario_file(HUB)
    again = confirmed(found, tomllib.loads(path.read_text(encoding="utf-8")), path, "elastic")
    assert again.tried == found.tried
    by_elements = {c.point: c.roundness for c in again.front}
    assert set(by_elements) <= {c.point for c in found.front}
    for one in again.front:
        judged = assess(load(path, dict(one.changes)))
        assert one.roundness == pytest.approx(judged.operations[0].roundness, rel=1e-9)


def test_what_the_full_check_refuses_is_not_named(
    run: Run, scenario_file: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The best of a search fails the full check: the next best is named, and why the first is not."""
    found = run(HUB, 'boring_travel = ["2.5 mm", "3.5 mm"]', {}, 6)
    refused = dict(found.front[0].changes)
    path = scenario_file(HUB)
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    asked: list[Scenario] = []

    def strict(scenario: Scenario, model: Any) -> FullCheck:
        asked.append(scenario)
        told = full_check(scenario, model)
        if scenario.boring.travel != checked(changed(tables, refused), path).boring.travel:
            return told
        return FullCheck("fail", (FLOOR, *told.verdicts))

    monkeypatch.setattr("sim.layouts.full_check.full_check", strict)
    named = confirmed(found, tables, path, "foundation")
    assert named.front
    assert all(dict(one.changes) != refused for one in named.front)
    assert named.rejected == (("floor, jaws", 1),)
    assert named.checked == len(asked) >= 2
    (words,) = [line for line in _text(named).splitlines() if "full check refuses" in line]
    assert "floor, jaws (1)" in words


def test_nothing_is_named_if_the_full_check_refuses_all(
    run: Run, scenario_file: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not one, and no more than the bound are looked at; the reason stands in place of a layout."""
    found = run(HUB, 'boring_travel = ["2.5 mm", "3.5 mm"]', {}, 8)
    assert found.front
    path = scenario_file(HUB)
    monkeypatch.setattr("sim.layouts.full_check.full_check", lambda *_: FullCheck("fail", (FLOOR,)))
    monkeypatch.setattr(searching, "MOST_CHECKED", 3)
    named = confirmed(found, tomllib.loads(path.read_text(encoding="utf-8")), path, "foundation")
    assert named.front == ()
    assert named.checked == 3
    assert [(b.name, b.count) for b in named.blocking] == [("floor", 3)]


def test_what_is_named_is_what_check_says_of_its_file(run: Run, scenario_file: Callable[[str], Path]) -> None:
    pressures = 'pressures = [{ operation = "first side", low = "15 bar", high = "24 bar" }]'
    found = run(HUB, f'boring_travel = ["2.5 mm", "3.5 mm"]\n{pressures}', {}, 4)
    path = scenario_file(HUB)
    named = confirmed(found, tomllib.loads(path.read_text(encoding="utf-8")), path, "foundation")
    assert named.front
    for one in named.front:
        expected = assess(load(path, dict(one.changes)), contact_model="foundation")
        assert one.check is not None
        assert one.check.status == expected.status != "fail"
        assert [(v.name, v.value) for v in one.check.verdicts] == [
            (v.name, v.value) for v in expected.verdicts
        ]
        assert one.check.worst is not None
        # Of the whole setup 'warn' may only say that something was not asked.
        warned = any(v.status == "warn" for v in expected.verdicts)
        assert one.check.worst.status == ("warn" if warned else "pass")
        assert one.check.unasked == len(expected.unasked)


def _text(found: SearchResult) -> str:
    console = Console(width=300, color_system=None)
    with console.capture() as capture:
        console.print(search_table(found, "hub", ("first side",)))
    return capture.get()


def test_too_few_tries(run: Run) -> None:
    with pytest.raises(ValueError, match="tries must be 2 or more"):
        run(HUB, 'boring_travel = ["2 mm", "4 mm"]', {}, 1)


def test_with_pressures_is_what_the_file_gives(
    varied: Callable[..., Scenario], quickly_judged: Callable[[str], Assessment]
) -> None:
    """Every verdict of a setup at other pressures is that of the file with these pressures in it."""
    name = "valve_bonnet_two_steps"
    judged = with_pressures(states(quickly_judged(name)), {0: 1.31, 1: 0.25})
    changes = {"operations.0.gripping.pressure": "13.1 bar", "operations.1.gripping.pressure": "2.5 bar"}
    expected = assess(varied(name, changes), contact_model="foundation")
    assert [(v.name, v.stage, v.status) for v in judged.verdicts] == [
        (v.name, v.stage, v.status) for v in expected.verdicts
    ]
    for one, other in zip(judged.verdicts, expected.verdicts, strict=True):
        assert one.value == pytest.approx(other.value, rel=1e-9), one.name


# ---------------------------------------------------------------- order and front


def verdict(name: str, margin_: float, status: str = "pass") -> Verdict:
    return Verdict(name, name, "s", status, margin_, 1.0, "", "rule", "found.", "", at_least=True)  # type: ignore[arg-type]


def made(
    *verdicts: Verdict, roundness: float = 1.0, metal: float = 1.0, set_ups: int = 1, refusal: str = ""
) -> Candidate:
    return Candidate((), MappingProxyType({}), refusal, verdicts, (), roundness, metal, set_ups)


def test_order_of_layouts() -> None:
    """What passes before what fails, that before what cannot be built; then warnings, then margins in turn."""
    best = made(verdict("a", 1.5), verdict("b", 3.0))
    behind = [
        made(verdict("a", 1.5), verdict("b", 2.0)),
        made(verdict("a", 1.4), verdict("b", 9.0)),
        made(verdict("a", 5.0), verdict("b", 0.9, "warn")),
        made(verdict("a", 0.9, "fail"), verdict("b", 9.0)),
        made(verdict("a", 0.5, "fail")),
        made(verdict("a", 0.5, "fail"), verdict("b", 0.5, "fail")),
        made(refusal="cannot be"),
    ]
    ordered = sorted([*behind[::-1], best], key=rank)
    assert ordered == [best, *behind]
    assert margin(behind[-1]) == 0.0


def test_fixed_margins_do_not_count() -> None:
    """What every layout passes alike tells nothing; what one fails does, however alike it is elsewhere."""
    tried = [
        made(verdict("screw", 1.02), verdict("grip", 1.3), verdict("wall", 0.8, "fail")),
        made(verdict("screw", 1.02), verdict("grip", 1.6), verdict("wall", 0.8, "fail")),
        made(refusal="cannot be"),
    ]
    fixed = fixed_verdicts(tried)
    assert fixed == {("screw", "s")}
    assert margin(made(verdict("screw", 1.02), verdict("grip", 1.6)), fixed) == pytest.approx(1.6)
    assert fixed_verdicts(tried[:1]) == frozenset()


@given(
    st.lists(
        st.tuples(st.sampled_from([1.1, 1.3, 1.7]), st.sampled_from([2.0, 5.0]), st.sampled_from([3.0, 4.0, 8.0]),
                  st.integers(2, 3)),
        min_size=1, max_size=12,
    )
)  # fmt: skip
def test_front_is_what_nothing_beats(rows: list[tuple[float, float, float, int]]) -> None:
    fitting = [made(verdict("a", m), roundness=r, metal=c, set_ups=n) for m, r, c, n in rows]
    front = _front(fitting, frozenset())
    weighed = [_weighed(c, frozenset()) for c in fitting]
    undominated = {w for w in weighed if not any(_covers(other, w) for other in weighed)}
    assert {_weighed(c, frozenset()) for c in front} <= undominated
    assert len(front) == min(len(undominated), 8)
    assert [margin(c) for c in front] == sorted((margin(c) for c in front), reverse=True)


def test_a_candidate_keeps_its_reason(scenario_file: Callable[[str], Path]) -> None:
    path = scenario_file(HUB)
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    tables["boring"]["travel"] = "7 mm"
    found = candidate(tables, path, Space((), ()), (), "foundation")
    assert found.refusal.startswith("boring.travel must be at most chuck.stroke")
    assert not found.fits
