"""Quick variants against the whole assessment: the file is edited, read and judged anew for each sampled variant."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sim.assessment.bodies import ContactModel
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.variants import (
    REFUSED,
    Judged,
    Variants,
    holding,
    judged,
    learn,
    needed,
    quick_keys,
    solve,
    unknown,
    variants,
)
from sim.variants.contact import TOLERANCE
from sim.variants.keys import stated
from sim.variants.places import WITHIN
from sim.variants.result import WORDS

SAMPLES = 2  # of each scenario; each costs a whole assessment, and the whole test run has its 15 minutes
# Samples with finite elements, which take up to ten times as long as columns: grips outside and inside, sectors.
# All others, drawn or chosen, ask the same tables of columns; each scenario's own variant is one of finite elements.
FINITE_ELEMENTS = (
    "cast_hub_on_plug",
    "housing_gripped_inside",
    "thin_ring_in_sector_jaws",
    "valve_bonnet_first_side",
)
ROWS = 10  # of a batch, in which some are refused
DRAWN = 6  # kinds of keys in each sample; all samples together draw every kind
RARE = ("machine.drive_efficiency",)  # kinds of one scenario alone, drawn in each of its samples
EXACT = 1e-12  # share by which closed forms may differ: sums in another order
FROM_CONTACT = {
    "marking",
    "roundness after release",
    "run-out in the jaws",
    "stress against yield",
    "displacement against wall",
    "jaw taper under grip",
    "least grip of a jaw",
}
# Their value or, through the grip that the cuts need, their limit comes from linear programs.
FROM_PROGRAMS = {
    "holding factor",
    "weight held by the jaws alone",
    "holding factor, each move",
    "grip at rest",
    "spindle speed",
    "program speed",
}
# Distances between grid points over travel and depth of cut.
FROM_PLACES = {
    "part clear of the chuck",
    "part on its back face",
    "cuts on the part",
    "cuts clear of the jaws",
}
NAMES = sorted(path.stem for path in (Path(__file__).parents[3] / "scenarios").glob("*.toml"))
AT = {"height": "58 mm", "diameter": "10 mm", "depth_of_cut": "5 mm", "feed": "0.2 mm/rev"}
ROUND = {"height": "50 mm", "diameter": "90 mm", "depth_of_cut": "2 mm", "feed": "0.25 mm/rev"}
MEASURED = {"tangential": "1200 N", "feed": "700 N", "passive": "450 N"}
CUTS: list[dict[str, Any]] = [
    {"name": "drill", "kind": "drilling", **AT, "cutting_speed": "60 m/min"},
    {"name": "live drill", "kind": "drilling", **AT, "cutting_speed": "45 m/min", "rotating_tool": True,
     "off_axis": "20 mm"},
    {"name": "turn, measured", "kind": "turning", **ROUND, "cutting_speed": "140 m/min", "forces": MEASURED},
    {"name": "turn, no speed", "kind": "turning", **ROUND},
]  # fmt: skip
# Inside units as a file states them; keys that end otherwise are plain numbers.
UNITS = {
    "pressure": "MPa",
    "pressure_limit": "MPa",
    "lowest_pressure": "MPa",
    "ring_pressure": "MPa",
    "piston_area": "mm2",
    "largest_pull": "N",
    "largest_grip": "N",
    "moment_limit": "N*mm",
    "torque": "N*mm",
    "cutting_speed": "m/min",
    "feed": "mm/rev",
} | dict.fromkeys(("speed", "speed_low", "speed_high", "marked_speed", "speed_limit", "ring_speed"), "rpm")
MILLIMETRES = (
    "swing_diameter",
    "loading_clearance",
    "jaw_taper",
    "gripped_diameter_low",
    "gripped_diameter_high",
    "out_of_round",
    "roundness_limit",
    "runout_limit",
    "squareness_limit",
    "depth_of_cut",
)


def as_stated(key: str, value: float) -> str | float:
    """Write an inside value as a scenario file does."""
    last = key.split(".")[-1]
    unit = "mm" if last in MILLIMETRES else UNITS.get(last)
    return float(value) if unit is None else f"{value!r} {unit}"


def spread(scenario: Scenario, key: str, rng: np.random.Generator) -> float:
    """Return a value of a key beside what the scenario states."""
    value, last = stated(scenario, key), key.split(".")[-1]
    if value is None:
        return {"friction": rng.uniform(0.05, 0.3), "speed": rng.uniform(100.0, 900.0)}.get(last, 150.0)
    if last in {"gripped_diameter_low", "gripped_diameter_high"}:
        return float(value) + float(rng.uniform(-0.25, 0.25))
    if last == "out_of_round":
        return float(rng.uniform(0.0, 0.12))
    if last in {"efficiency", "drive_efficiency", "grip_loss_share", "stroke_reserve"}:
        return float(value) * float(rng.uniform(0.6, 1.0))
    if last == "pressure":
        return float(value) * float(rng.uniform(0.4, 1.35))
    return float(value) * float(rng.uniform(0.5, 1.8))


def kinds(keys: tuple[str, ...]) -> dict[str, list[str]]:
    """Return keys by what they are of, whichever operation or cut it is."""
    found: dict[str, list[str]] = {}
    for key in keys:
        found.setdefault(re.sub(r"\.\d+\.", ".", key), []).append(key)
    return found


def drawn(keys: tuple[str, ...], number: int, rng: np.random.Generator) -> list[str]:
    """Return one key of each of some kinds: sample by sample the next ones, so that each kind comes round."""
    of = kinds(keys)
    names = sorted(of)
    turn = [names[(number * DRAWN + k) % len(names)] for k in range(DRAWN)]
    turn += [kind for kind in RARE if kind in of and kind not in turn]
    return [str(rng.choice(of[kind])) for kind in turn]


def allowed(found: Judged, row: int, name: str, stage: str, value: float) -> float:
    """Return by how much a value may differ from a solution of its own."""
    if name == "least grip of a jaw":
        return 2.0 * TOLERANCE * float(found.figures[f"{stage}: grip at the highest speed N"][row]) / 3000.0
    if name in FROM_PROGRAMS:
        return holding.TOLERANCE * abs(value)
    if name in FROM_PLACES:
        return WITHIN
    return TOLERANCE * abs(value) + 1e-3 if name in FROM_CONTACT else EXACT * (abs(value) + 1.0)


def bare_near(whole: Assessment, verdict: Verdict) -> bool:
    """Tell whether a holding factor warns or passes for a factor without the back face that is near the limit."""
    if verdict.name != "holding factor":
        return False
    held = next(f.holdings for f in whole.operations if f.operation.name == verdict.stage)
    off = 3.0 * holding.TOLERANCE * verdict.limit
    return any(abs(h.without_back_face - verdict.limit) <= off for h in held)


def compared(found: Judged, row: int, whole: Assessment) -> list[str]:
    """Say where a row differs from an assessment: names, statuses, values, limits."""
    wrong = []
    theirs = {(v.name, v.stage): v for v in whole.verdicts}
    mine = set(zip(found.names, found.stages, strict=True))
    if mine != set(theirs):
        wrong.append(f"verdicts {mine ^ set(theirs)}")
    for column, key in enumerate(zip(found.names, found.stages, strict=True)):
        verdict = theirs.get(key)
        if verdict is None:
            continue
        value, limit = float(found.value[row, column]), float(found.limit[row, column])
        off = allowed(found, row, *key, verdict.value)
        near = abs(verdict.value - verdict.limit) <= off or bare_near(whole, verdict)
        if WORDS[found.status[row, column]] != verdict.status and not near:
            wrong.append(f"{key}: {WORDS[found.status[row, column]]}, check says {verdict.status}")
        if abs(value - verdict.value) > off:
            wrong.append(f"{key}: {value:g}, check finds {verdict.value:g}")
        share = holding.TOLERANCE if key[0] in FROM_PROGRAMS else EXACT
        if abs(limit - verdict.limit) > share * abs(verdict.limit):
            wrong.append(f"{key}: limit {limit:g}, check has {verdict.limit:g}")
    return wrong


def valued(scenario: Scenario, model: ContactModel = "foundation") -> Assessment:
    """Judge; what is advised is not compared here."""
    return assess(scenario, contact_model=model, advised=False)


def outcome(judge: Callable[[], Assessment]) -> tuple[Assessment | None, str]:
    """Return an assessment, or why it is refused."""
    try:
        return judge(), ""
    except ScenarioError as error:
        return None, str(error)


@pytest.fixture(scope="module")
def ready(assessment: Callable[[str], Assessment]) -> Callable[[str], Variants]:
    return cache(lambda name: variants(assessment(name)))


@pytest.fixture(scope="module")
def ready_quickly(quickly_judged: Callable[[str], Assessment]) -> Callable[[str], Variants]:
    """Variants whose contact is that of columns."""
    return cache(lambda name: variants(quickly_judged(name)))


def test_the_scenarios_own_variant_is_the_assessment(
    scenario_name: str, ready: Callable[[str], Variants]
) -> None:
    own = ready(scenario_name)
    found = judged(own, {})
    assert compared(found, 0, own.assessment) == []
    assert found.word(0) == own.assessment.status


def test_sampled_variants_are_what_check_gives_for_the_edited_file(
    scenario_name: str,
    ready: Callable[[str], Variants],
    ready_quickly: Callable[[str], Variants],
    varied: Callable[..., Scenario],
) -> None:
    """Some keys at a time, drawn from all quick keys; refusals must agree, too."""
    model: ContactModel = "elastic" if scenario_name in FINITE_ELEMENTS else "foundation"
    own = (ready if model == "elastic" else ready_quickly)(scenario_name)
    scenario = own.assessment.scenario
    rng = np.random.default_rng(20260)
    keys = quick_keys(own.assessment)
    for sample in range(SAMPLES):
        number = NAMES.index(scenario_name) * SAMPLES + sample
        changes = {key: spread(scenario, key, rng) for key in drawn(keys, number, rng)}
        found = judged(own, {key: np.array([value]) for key, value in changes.items()})
        text: dict[str, Any] = {key: as_stated(key, value) for key, value in changes.items()}
        whole, refusal = outcome(lambda: valued(varied(scenario_name, text), model))  # noqa: B023
        why = found.reasons[int(found.refused[0])]
        assert bool(why) == bool(refusal), f"{changes}: '{why}', check says '{refusal}'"
        if whole is None:
            continue
        assert compared(found, 0, whole) == [], changes


def test_the_samples_draw_every_kind_of_key(quickly_judged: Callable[[str], Assessment]) -> None:
    asked, seen = set(), set()
    for name in NAMES:
        keys = quick_keys(quickly_judged(name))
        asked |= set(kinds(keys))
        for sample in range(SAMPLES):
            number = NAMES.index(name) * SAMPLES + sample
            seen |= set(kinds(tuple(drawn(keys, number, np.random.default_rng(0)))))
    assert seen == asked


@pytest.mark.parametrize("sample", range(2))
def test_cuts_of_every_kind(sample: int, varied: Callable[..., Scenario]) -> None:
    """Drills, measured forces, and cuts that state no cutting speed: the shipped scenarios have none of them."""
    rng, file = np.random.default_rng(20262 + sample), "cast_hub_on_plug"
    own = variants(valued(varied(file, {"operations.0.cuts": copy.deepcopy(CUTS)})))
    scenario = own.assessment.scenario
    keys = [key for key in quick_keys(own.assessment) if ".cuts." in key or "gripping.friction" in key]
    some = {key: spread(scenario, key, rng) for key in keys if stated(scenario, key) and rng.random() < 0.5}
    some = {key: max(value, 1.0) if key.endswith("wear_factor") else value for key, value in some.items()}
    text = {key: as_stated(key, value) for key, value in some.items()}
    whole = valued(varied(file, {"operations.0.cuts": copy.deepcopy(CUTS), **text}))
    found = judged(own, {key: np.array([float(stated(whole.scenario, key))]) for key in some})
    assert compared(found, 0, whole) == [], text


@pytest.mark.parametrize(
    "changes",
    [
        {"operations.0.gripping.pressure": "5 bar", "operations.0.gripping.speed_high": "2600 rpm"},
        {"operations.0.gripping.pressure": "30 bar", "chuck.guideway_friction": 0.2},
        {"operations.0.gripping.friction": 0.05, "operations.0.cuts.0.depth_of_cut": "4 mm"},
        {"operations.0.workpiece.gripped_diameter_high": "118.4 mm", "boring.speed": "1500 rpm"},
        {"operations.0.workpiece.out_of_round": "0.3 mm", "soft_jaw.screws.torque": "40 N*m"},
        {"soft_jaw.serrations_off": [0, 1, 0], "soft_jaw.mass_differences": ["0 g", "60 g", "0 g"]},
    ],
    ids=["weak and fast", "dry", "slippery", "large raw part", "out of round", "jaws unlike each other"],
)
def test_chosen_variants(
    changes: dict[str, Any],
    varied: Callable[..., Scenario],
    ready_quickly: Callable[[str], Variants],
) -> None:
    """Ends of the ranges: many verdicts fail here, and they must be the same ones."""
    name = "cast_hub_on_ring"
    fixed = {
        key: value for key, value in changes.items() if key.startswith("soft_jaw.") and "screws" not in key
    }
    more = {} if set(changes) > set(fixed) else {"operations.0.gripping.pressure": "17 bar"}
    whole = valued(varied(name, {**changes, **more}))
    own = variants(valued(varied(name, fixed))) if fixed else ready_quickly(name)
    asked = [key for key in {**changes, **more} if key not in fixed]
    quick = {key: np.array([float(stated(whole.scenario, key))]) for key in asked}
    found = judged(own, quick)
    assert compared(found, 0, whole) == []


@pytest.mark.parametrize(
    ("fixed", "quick"),
    [
        (
            {
                "operations.1.workpiece.turned_in": "first side",
                "operations.1.workpiece.out_of_round": "0.02 mm",
                "operations.1.workpiece.lobes": [
                    {"order": 2, "peak_to_peak": "0.012 mm"},
                    {"order": 3, "peak_to_peak": "0.004 mm"},
                ],
                "soft_jaw.mass_differences": ["80 g", "0 g", "0 g"],
                "chuck.tangential_stiffness": "200 kN/mm",
                "running.rebolted": True,
            },
            {
                "operations.0.gripping.pressure": "14 bar",
                "operations.1.gripping.pressure": "21 bar",
                "chuck.guideway_friction": 0.12,
                "operations.1.workpiece.out_of_round": "0.03 mm",
                "boring.pressure": "12 bar",
            },
        ),
        (
            {"operations.1.workpiece.turned_in": "first side", "soft_jaw.serrations_off": [0, 0, 1]},
            {"operations.1.workpiece.gripped_diameter_low": "99.9 mm"},
        ),
    ],
    ids=["lobes, bolted on again", "jaws off"],
)
def test_the_second_side_runs_as_true(
    fixed: dict[str, Any],
    quick: dict[str, Any],
    varied: Callable[..., Scenario],
) -> None:
    """Columns, which are quick: what the first side leaves, stated lobes, unlike masses, jaws bolted on again."""
    name = "valve_bonnet_two_steps"
    own = variants(valued(varied(name, fixed)))
    whole = valued(varied(name, {**fixed, **quick}))
    found = judged(own, {key: np.array([float(stated(whole.scenario, key))]) for key in quick})
    theirs = {(v.key, v.stage): v for v in whole.verdicts}
    asked = 0
    for column, key in enumerate(zip(found.keys, found.stages, strict=True)):
        if key[0] in ("runout_in_the_jaws", "squareness_in_the_jaws"):
            asked += 1
            assert found.value[0, column] == pytest.approx(theirs[key].value, rel=TOLERANCE)
            assert WORDS[found.status[0, column]] == theirs[key].status
    assert asked == 4


def test_a_batch_is_its_rows(ready: Callable[[str], Variants]) -> None:
    """What is judged together, in which order, or in another process, does not matter to the last bit."""
    own = ready("cast_hub_on_ring")
    rng = np.random.default_rng(3)
    values = {
        "operations.0.gripping.pressure": rng.uniform(0.5, 3.5, ROWS),
        "operations.0.workpiece.gripped_diameter_high": rng.uniform(117.7, 118.3, ROWS),
    }
    whole = judged(own, values)
    fresh = variants(own.assessment)
    for row in reversed(range(ROWS)):
        one = judged(fresh, {key: value[row : row + 1] for key, value in values.items()})
        assert np.array_equal(one.value[0], whole.value[row], equal_nan=True)
        assert np.array_equal(one.status[0], whole.status[row])
    assert (whole.worst == REFUSED).any()
    assert (whole.worst != REFUSED).any()


def test_solutions_shared_out_give_the_same_figures(ready: Callable[[str], Variants]) -> None:
    """Points are named without a solve, solved in a setup of their own, taken over: nothing is left to solve."""
    assessed = ready("cast_hub_on_ring").assessment
    rng = np.random.default_rng(4)
    values = {
        "operations.0.gripping.pressure": rng.uniform(0.5, 3.0, 6),
        "operations.0.gripping.friction": rng.uniform(0.05, 0.3, 6),
        "operations.0.workpiece.gripped_diameter_high": rng.uniform(118.0, 118.02, 6),
    }
    mine, other = variants(assessed), variants(assessed)
    nodes = needed(mine, values)
    assert unknown(mine, nodes) == sorted(nodes)
    learn(mine, {node: solve(other, node) for node in sorted(nodes)})
    assert unknown(mine, nodes) == []
    count = mine.operations[0].contact.solved
    shared, own = judged(mine, values), judged(other, values)
    assert mine.operations[0].contact.solved == count
    assert np.array_equal(shared.value, own.value, equal_nan=True)
    assert np.array_equal(shared.status, own.status)
