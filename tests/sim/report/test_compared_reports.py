"""Keys of what is compared or moved: revisions, values that nobody has read off, the budget of a part that runs true.

Figures are made up and all unlike, as in `test_assessment_keys`.
"""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

from sim.assessment.figures.running import RunningFigures, Share
from sim.assessment.results import CAUTIONS
from sim.assessment.verdict import NotJudged, Verdict
from sim.assessment.verdicts.grip import GRIP_AT_REST
from sim.assessment.verdicts.part import MARKING
from sim.report.revisions import revisions_object
from sim.report.running import RunningRow, running_rows
from sim.report.typical import typical_object
from sim.revisions.fields import FieldChange, Side
from sim.revisions.verdicts import Moves, VerdictMove
from sim.uncertainty.typical import End, Fallen, Rests

LESS = Verdict(GRIP_AT_REST.key, "na", "sa", "warn", 6.0, 5.0, "mm", "ba", "ma", "aa")
MORE = Verdict(MARKING.key, "nb", "sb", "pass", 8.0, 4.0, "kN", "bb", "mb", "ab", at_least=False)


def told(one: Verdict) -> dict[str, Any]:
    return {"verdict": one.key, "stage": one.stage, "status": one.status, "margin": one.margin}


def test_what_nobody_has_read_off() -> None:
    """An endless margin is null; where the setup is refused there is no verdict."""
    endless = Verdict("kc", "nc", "sc", "pass", 3.0, 0.0, "", "bc", "mc")
    assert endless.margin == math.inf
    rests = Rests(
        "chuck.x",
        "1 mm",
        "default",
        End("0.5 mm", LESS, Fallen(MORE, 1.75)),
        End("2 mm", None, refused="too far"),
    )
    nothing = {"verdict": None, "stage": None, "status": None, "margin": None}
    assert typical_object(endless, (rests,)) == {
        "as_it_stands": {"verdict": "kc", "stage": "sc", "status": "pass", "margin": None},
        "not_read_off": [
            {
                "field": "chuck.x",
                "value": "1 mm",
                "basis": "default",
                "low": {
                    "value": "0.5 mm",
                    "refused": "",
                    "loses_most": {"margin_before": 1.75, **told(MORE)},
                    **told(LESS),
                },
                "high": {"value": "2 mm", "refused": "too far", "loses_most": None, **nothing},
            }
        ],
    }
    assert told(LESS)["margin"] == 1.2
    assert told(MORE)["margin"] == 0.5
    assert typical_object(None, ()) == {"as_it_stands": nothing, "not_read_off": []}


def test_two_revisions() -> None:
    opened, closed = (NotJudged(f"q{n}", f"s{n}", f"w{n}", f"n{n}", n == 1, (LESS.key,)) for n in (1, 2))
    old, new = (
        SimpleNamespace(scenario=SimpleNamespace(title=f"t{n}", revision=f"r{n}"), status=status)
        for n, status in ((1, "pass"), (2, "fail"))
    )
    judged: Any = (old, new)
    change = FieldChange(
        "chuck.stroke", "mm", Side("6 mm", 6.0, "shop.toml"), Side("5 mm", 5.0, default=True)
    )
    moved = Moves((VerdictMove(MORE, LESS), VerdictMove(None, MORE)), (opened,), (closed,))
    found = revisions_object(("a.toml", "b.toml"), judged, [change], moved)
    assert found["old"] == {"file": "a.toml", "title": "t1", "revision": "r1", "status": "pass"}
    assert found["new"] == {"file": "b.toml", "title": "t2", "revision": "r2", "status": "fail"}
    assert found["fields"] == [
        {
            "key": "chuck.stroke",
            "unit": "mm",
            "old": {"told": "6 mm", "value": 6.0, "from": "shop.toml", "default": False},
            "new": {"told": "5 mm", "value": 5.0, "from": None, "default": True},
        }
    ]
    first, second = found["verdicts"]
    assert (first["key"], first["name"], first["stage"], first["moved"]) == (LESS.key, "na", "sa", "worse")
    assert (first["old"]["key"], first["new"]["key"]) == (MORE.key, LESS.key)
    assert (first["old"]["margin"], first["new"]["margin"]) == (0.5, 1.2)
    assert (first["old"]["value"], first["old"]["limit"], first["old"]["limit_is"]) == (8.0, 4.0, "at most")
    assert (second["moved"], second["old"], second["new"]["message"]) == ("new", None, "mb")
    assert [[one["question"] for one in found[f"questions_{way}"]] for way in ("opened", "closed")] == [
        ["q1"],
        ["q2"],
    ]
    assert found["cautions"] == list(CAUTIONS)
    assert len(found) == 7


def test_the_table_of_a_part_that_runs_true() -> None:
    """In um as an indicator shows it, twice the distance of the axes; what is not there has no row."""
    found = RunningFigures(
        state="at rest", rho=0.5, shares=(Share("a", 0.004, 0.003, "ba"), Share("b", 0.0, 0.0, "bb")),
        tilt_worst=2e-4, tilt_root=1e-4, by_seats=False, face=120.0, roundness=7.0, chip=0.05, chip_shift=0.006,
        chip_tilt=3e-4,
    )  # fmt: skip
    sums = "at rest; worst: all add up, root: root of their squares"
    over, chip = "by the jaws' walls, over 120 mm of diameter", "not counted: a chip of 50 µm in one jaw"
    rows = [
        RunningRow("a", 8.0, 6.0, "ba"),
        RunningRow("turned out of round", 7.0, 7.0, "roundness after release"),
        RunningRow("run-out", 15.0, 13.0, sums, total=True),
        RunningRow("out of square", 24.0, 12.0, over, total=True),
        RunningRow("a chip adds, run-out", 12.0, 12.0, chip),
        RunningRow("a chip adds, out of square", 36.0, 36.0, chip),
    ]
    shown = running_rows(found)
    assert [(r.what, round(r.worst, 9), round(r.root, 9), r.basis, r.total) for r in shown] == [
        (r.what, r.worst, r.root, r.basis, r.total) for r in rows
    ]
    bare = RunningFigures("at rest", 0.5, (), 0.0, 0.0, True, 120.0, 0.0, 0.0, 0.0, 0.0)
    assert [r.what for r in running_rows(bare)] == ["run-out", "out of square"]
    assert "back faces" in running_rows(bare)[1].basis
