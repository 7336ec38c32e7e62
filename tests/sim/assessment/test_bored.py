"""Pockets bored otherwise: what is foreseen beside what is worked out, and that beside the file with the bore in it."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import sim.contact.part
from sim.assessment import bodies
from sim.assessment.bored import bore_stops, depth_stops, foreseen, touches
from sim.assessment.stages import assess
from sim.assessment.state import States, at, states
from sim.base.arrays import Floats
from sim.scenario import Scenario
from sim.views.web.figures import StateError, answer
from sim.views.web.stages import as_objects

NAME = "cast_hub_on_ring"
Ready = tuple[States, dict[str, Any]]


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory, scenario_file: Callable[[str], Path]) -> Iterator[Ready]:
    """A setup on a coarse grid of its faces, with a cache of its own, and the page's operation."""
    from sim.setup.loading import load

    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.setitem(bodies.GRID, "elastic", (24, 4))
        found = states(assess(load(scenario_file(NAME))))
        yield found, as_objects(found)[1]


def asked(operation: dict[str, Any], bore: float, **more: Any) -> dict[str, Any]:
    """What the page asks for of a part of middle size that is gripped."""
    place = operation["stops"]["bore_mm"].index(bore)
    travel = operation["bored_touches"][place]["middle"]
    values = {**operation["values"], "bore_mm": bore, "travel_mm": travel}
    return {"stage": operation["key"], **values, "bores": {operation["pocket"]: bore}, **more}


def bands(found: dict[str, Any]) -> Floats:
    return np.frombuffer(base64.b64decode(found["bands"]["MPa"]), "<f4").astype(np.float64)


def test_what_is_foreseen_is_what_is_worked_out_and_that_is_the_file_with_the_bore(
    ready: Ready, varied: Callable[..., Scenario], monkeypatch: pytest.MonkeyPatch
) -> None:
    """No part is computed for it: the bore is one of the jaws."""
    setup, operation = ready
    stops = operation["stops"]["bore_mm"]
    bore = stops[5]
    quick = answer(setup, asked(operation, bore))
    assert quick["preview"] is True

    def no_part(*_: object) -> None:
        pytest.fail("the part was computed anew")

    monkeypatch.setattr(sim.contact.part, "part_harmonics", no_part)
    exact = answer(setup, asked(operation, bore, exact=True))
    assert exact["preview"] is False
    mean = bands(exact).mean()
    assert np.abs(bands(quick) - bands(exact)).max() < 5e-3 * mean
    stated = answer(setup, asked(operation, operation["values"]["bore_mm"]))
    assert "preview" not in stated  # nothing is bored otherwise
    assert np.abs(bands(stated) - bands(exact)).max() > 0.2 * mean  # so there was something to foresee
    # Once worked out, another slider needs no preview.
    assert answer(setup, {**asked(operation, bore), "speed_rpm": 100.0})["preview"] is False
    judged = states(assess(varied(NAME, {"pockets.0.diameter": f"{bore} mm"})))
    speed = operation["values"]["speed_rpm"]
    checked = at(judged, 0, speed=speed, travel=quick["touch_travel_mm"])
    assert checked.bands is not None
    assert bands(exact) == pytest.approx(checked.bands.ravel(), rel=1e-6, abs=1e-6 * mean)
    assert exact["touch_travel_mm"] == pytest.approx(checked.touch_travel, abs=1e-12)
    assert exact["permissible_rpm"] == pytest.approx(checked.figures.permissible.least, rel=1e-12)
    rows = answer(setup, {"gripping": {}, "bores": {operation["pocket"]: bore}})
    assert rows["counts"] == {
        word: sum(v.status == word for v in judged.assessment.verdicts) for word in rows["counts"]
    }
    assert [(r["key"], r["stage"], r["status"]) for r in rows["verdicts"]] == [
        (v.key, v.stage, v.status) for v in judged.assessment.verdicts
    ]


def test_the_first_touch_moves_with_the_bore_as_on_paper(ready: Ready) -> None:
    """A smaller bore touches a larger part on its edges first: e = sqrt(Rp2 - w2/4) - sqrt(Rb2 - w2/4)."""
    setup, operation = ready
    scenario = setup.assessment.scenario
    middle, stops = operation["sizes"]["middle"], operation["stops"]["bore_mm"]
    half = setup.assessment.parts.place.face_half_chord(0.5 * stops[0])
    assert stops[0] < middle < stops[-1]
    smaller = np.sqrt(middle**2 / 4.0 - half**2) - np.sqrt(stops[0] ** 2 / 4.0 - half**2)
    for bore, outward in ((stops[0], smaller), (stops[-1], 0.5 * (middle - stops[-1]))):
        (found,) = touches(setup, 0, {0: bore}, [middle])
        assert found == pytest.approx(scenario.boring.travel - outward, abs=1e-9)


def test_only_bores_that_can_be_built_have_a_stop(ready: Ready) -> None:
    setup, operation = ready
    stops = bore_stops(setup, 0)
    assert stops == operation["stops"]["bore_mm"]
    assert setup.assessment.scenario.pockets[0].diameter == stops[len(stops) // 2]
    assert np.diff(stops) == pytest.approx(0.01)
    assert (
        foreseen(setup, 0, {0: stops[-1] + 0.01}) is None
    )  # nothing is foreseen outside of what is computed


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"stage": "boring", "position_mm": 0.0}, "boring path is that of the pockets as the file states"),
        ({"bores": {"7": 118.0}}, "bores must name diameters"),
        ({"bores": [118.0]}, "bores must name diameters"),
        ({"bores": {"0": "wide"}}, "must be a finite number"),
        ({"bores": {"0": 20.0}}, "diameter"),
        ({"depths": {"7": 20.0}}, "depths must name depths in mm"),
        ({"depths": {"0": "deep"}}, "must be a finite number"),
        ({"depths": {"0": 90.0}}, "depth"),
        ({"stage": "boring", "position_mm": 0.0, "bores": {}, "depths": {"0": 22.0}}, "take the depth back"),
    ],
)
def test_what_cannot_be_bored_is_refused_in_words(ready: Ready, change: dict[str, Any], words: str) -> None:
    setup, operation = ready
    bore = operation["stops"]["bore_mm"][0]
    with pytest.raises(StateError, match=words):
        answer(setup, {**asked(operation, bore), **change})


def deeper(operation: dict[str, Any], depth: float, **more: Any) -> dict[str, Any]:
    """What the page asks for of a pocket of another depth: nothing else moves."""
    values = {**operation["values"], "depth_mm": depth}
    return {"stage": operation["key"], **values, "depths": {operation["pocket"]: depth}, **more}


def test_a_deeper_pocket_is_foreseen_and_worked_out_as_the_file_with_the_depth(
    ready: Ready, varied: Callable[..., Scenario], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once foreseen, no part is computed for what is worked out either: its part is that of the preview."""
    setup, operation = ready
    stops = operation["stops"]["depth_mm"]
    depth = stops[2]
    assert stops == depth_stops(setup, 0)
    assert setup.assessment.scenario.pockets[0].depth == stops[len(stops) // 2]
    quick = answer(setup, deeper(operation, depth))
    assert quick["preview"] is True

    def no_part(*_: object) -> None:
        pytest.fail("the part was computed anew")

    monkeypatch.setattr(sim.contact.part, "part_harmonics", no_part)
    assert answer(setup, deeper(operation, stops[-1]))["preview"] is True
    exact = answer(setup, deeper(operation, depth, exact=True))
    assert exact["preview"] is False
    mean = bands(exact).mean()
    assert np.abs(bands(quick) - bands(exact)).max() < 5e-4 * mean
    assert quick["rest_total_N"] == exact["rest_total_N"]
    stated = answer(setup, deeper(operation, operation["values"]["depth_mm"]))
    assert "preview" not in stated
    # A shorter grip is pressed harder; there was something to foresee.
    assert bands(exact).mean() > 1.005 * bands(stated).mean()
    judged = states(assess(varied(NAME, {"pockets.0.depth": f"{depth} mm"})))
    checked = at(judged, 0, speed=operation["values"]["speed_rpm"])
    assert checked.bands is not None
    assert bands(exact) == pytest.approx(checked.bands.ravel(), rel=1e-6, abs=1e-6 * mean)
    assert exact["permissible_rpm"] == pytest.approx(checked.figures.permissible.least, rel=1e-12)
    rows = answer(setup, {"gripping": {}, "depths": {operation["pocket"]: depth}})
    assert [(r["key"], r["stage"], r["status"]) for r in rows["verdicts"]] == [
        (v.key, v.stage, v.status) for v in judged.assessment.verdicts
    ]
    assert all(r["look"] is None for r in rows["verdicts"])


def test_a_bore_and_a_depth_at_once_are_worked_out_and_not_foreseen(ready: Ready) -> None:
    setup, operation = ready
    bore, depth = operation["stops"]["bore_mm"][5], operation["stops"]["depth_mm"][2]
    assert foreseen(setup, 0, {0: bore}, {0: depth}) is None
    assert foreseen(setup, 0, {}, {0: depth + 0.01}) is None  # no part is computed for it
    assert foreseen(setup, 0, {}, {0: operation["stops"]["depth_mm"][-1] + 0.1}) is None


def test_columns_need_no_preview(quickly_judged: Callable[[str], Any]) -> None:
    setup = states(quickly_judged(NAME))
    operation = as_objects(setup)[1]
    found = answer(setup, asked(operation, operation["stops"]["bore_mm"][-1]))
    assert found["preview"] is False
    assert found["gripped"]
