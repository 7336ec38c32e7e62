"""Worse never passes: whatever input gets worse, no margin gets better.

`worse/table.toml` says for every field of a scenario which way is worse for which verdict. Setups are drawn from the
shipped ones, with some figures moved a little; then one field is moved, and every verdict is looked at before and
after. With `CHUCKSCENE_WORSE=500` so many setups are drawn at random instead of the few of every run.
"""

from __future__ import annotations

import copy
import os
import re
import shutil
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, event, given, note, settings
from hypothesis import strategies as st
from schema_fields import Place, declared, stated
from which_way import INCLUDED, WHOLE, Row, improved, rows

from sim.assessment.stages import assess
from sim.assessment.verdict import ORDER, Verdict
from sim.assessment.verdicts.rules import BY_KEY
from sim.base.errors import ScenarioError
from sim.contact import ContactNotConverged
from sim.scenario import Chuck, Scenario, read
from sim.scenario.fields import field_of
from sim.scenario.scenario import checked, full_tables
from sim.setup.loading import refuse_impossible

FOLDER = Path(__file__).parents[2] / "scenarios"
MANY = int(os.environ.get("CHUCKSCENE_WORSE", "0"))
FEW = 24
NAMES = (
    "cast_hub_on_ring",
    "cast_hub_on_plug",
    "cast_hub_by_program",
    "housing_gripped_inside",
    "shaft_on_a_centre",
    "thin_ring_distorts",
    "thin_ring_in_sector_jaws",
    "valve_bonnet_two_steps",
)
# What no shipped scenario states, or states in a way that its field is not asked for.
STATED: tuple[dict[str, Any], ...] = (
    {},
    {"operations.0.gripping.friction": 0.07},
    {"operations.0.workpiece.out_of_round": "0.03 mm"},
    {"operations.0.cuts.0.forces": {"tangential": "1400 N", "feed": "600 N", "passive": "500 N"}},
    {"operations.0.cuts.0.speed": "300 rpm", "operations.0.gripping.speed_low": "320 rpm"},
    {"operations.0.cuts.0.nose_radius": "0.8 mm"},
    {"operations.0.gripping.grip_loss_share": 0.8},
    {
        "operations.0.cuts.0.rotating_tool": True,
        "operations.0.cuts.0.forces": {"tangential": "900 N", "feed": "500 N", "passive": "600 N"},
    },
    {"operations.0.cuts.0.interrupted": True, "machine.spindle_axis": "hanging"},
    {"operations.0.cuts.0.specific_force": "1900 MPa", "operations.0.cuts.0.chip_exponent": 0.2},
    {
        "materials": [
            {
                "name": "own steel",
                "source": "invented here",
                "modulus": "205 GPa",
                "poisson": 0.3,
                "density": "7850 kg/m3",
                "yield_strength": "300 MPa",
                "surface_pressure": "500 MPa",
                "group": "1",
                "specific_force": "2000 MPa",
                "chip_exponent": 0.25,
                "friction_as": "steel",
            }
        ],
        "soft_jaw.material": "own steel",
        "operations.0.workpiece.material": "own steel",
        "operations.0.gripping.friction": 0.1,
    },
    {
        "chuck.grip_points": [
            {"pressure": "3 bar", "grip": "6 kN"},
            {"pressure": "12 bar", "grip": "28 kN"},
            {"pressure": "25 bar", "grip": "64 kN"},
        ]
    },
)
ROWS = rows()
OWN = "operations.0"


def put(tables: dict[str, Any], key: str, value: Any) -> dict[str, Any]:
    """Return a copy of a scenario's tables with one value replaced, or stated where it was left out."""
    copied = copy.deepcopy(tables)
    place: Any = copied
    *steps, last = key.split(".")
    for step in steps:
        place = place[int(step)] if step.isdigit() else place.setdefault(step, {})
    place[last] = value
    return copied


@cache
def tables_of(name: str, number: int) -> dict[str, Any]:
    """Return a scenario's tables with some optional fields stated."""
    tables = full_tables(FOLDER / f"{name}.toml")
    for key, value in STATED[number].items():
        tables = put(tables, key, value)
    return {key: value for key, value in tables.items() if key not in ("uncertainty", "views")}


def verdicts(name: str, tables: dict[str, Any]) -> tuple[Verdict, ...] | None:
    """Return the verdicts on a setup; None where it is refused, or the part is not balanced in the jaws."""
    try:
        scenario = checked(tables, FOLDER / f"{name}.toml")
        refuse_impossible(scenario)
        return assess(scenario, contact_model="foundation").verdicts
    except (ScenarioError, ContactNotConverged):
        return None


def allowed(name: str, tables: dict[str, Any]) -> Scenario:
    """Return the scenario of some tables; what was moved out of its bounds is no example."""
    try:
        return checked(tables, FOLDER / f"{name}.toml")
    except ScenarioError:
        assume(False)
        raise


def movable(place: Place, row: Row) -> bool:
    """Tell whether a value can be raised and lowered, and the row says of it what that does."""
    number = isinstance(place.value, int | float) and not isinstance(place.value, bool)
    return row.told and (number or place.value in row.order)


def moved(name: str, tables: dict[str, Any], place: Place, share: float) -> Any:
    """Return a value moved up (a share above 0) or down, as a file states it."""
    order = ROWS[place.row].order
    if order:
        at = order.index(place.value) + (1 if share > 0.0 else -1)
        assume(0 <= at < len(order))
        return order[at]
    field = field_of(allowed(name, tables), place.key)
    if isinstance(place.value, int) and not field.kind:
        return place.value + (1 if share > 0.0 else -1)
    return field.text(place.value + share * (abs(place.value) or 0.1))


def test_every_field_has_a_row_and_every_row_a_field() -> None:
    # A table that is made only when a file states it declares no fields of its own here.
    fields = {name for name in declared() if not f"{name}.".startswith(WHOLE)}
    told = {name for name in ROWS if not name.startswith(WHOLE)}
    assert fields - told == set()
    assert told - fields == set()
    assert {name for name in ROWS if name.startswith(WHOLE)} == {f"{name}*" for name in WHOLE}
    assert all(row.none or row.more or row.less or row.either for row in ROWS.values())


def test_a_field_without_a_row_is_found() -> None:
    class Longer(Chuck):
        rails: int = 3

    assert set(declared(Longer, "chuck.")) - ROWS.keys() == {"chuck.rails"}


@given(data=st.data())
@settings(
    max_examples=MANY or FEW,
    derandomize=not MANY,
    database=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow, HealthCheck.data_too_large],
)
def test_no_margin_gets_better_when_an_input_gets_worse(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(NAMES), "scenario")
    tables = tables_of(name, data.draw(st.integers(0, len(STATED) - 1), "stated"))
    places = [
        p
        for p in stated(allowed(name, tables))
        if not f"{p.row}.".startswith(WHOLE) and movable(p, ROWS[p.row])
    ]
    for _ in range(data.draw(st.integers(0, 2), "perturbed")):
        place = data.draw(st.sampled_from(places), "perturbed field")
        tables = put(tables, place.key, moved(name, tables, place, data.draw(st.sampled_from([-0.06, 0.06]))))
    known = sorted({p.row for p in places})
    row = data.draw(st.sampled_from(known), "row")
    before = verdicts(name, tables)
    assume(before is not None)
    (place, *_) = [
        p for p in stated(checked(tables, FOLDER / f"{name}.toml")) if p.row == row and movable(p, ROWS[row])
    ]
    share = data.draw(st.sampled_from([-0.1, -0.02, 0.02, 0.1]), "moved by")
    after = verdicts(name, put(tables, place.key, moved(name, tables, place, share)))
    assume(after is not None)
    assert before is not None
    assert after is not None
    event(row)
    note(f"{name}: {place.key} moved by {share:+.0%}")
    told = ROWS[row].where(points=bool(tables["chuck"].get("grip_points")))
    assert improved(told, share > 0.0, before, after) == []


@pytest.mark.parametrize("name", ["cast_hub_on_plug", "valve_bonnet_two_steps"])
def test_speed_takes_grip_where_no_cut_gets_lighter_by_it(name: str) -> None:
    """Forces as measured do not follow the speed: then the table's 'either way' of speed_high is one way."""
    tables = tables_of(name, 0)
    forces = {"tangential": "1400 N", "feed": "600 N", "passive": "500 N"}
    for n, operation in enumerate(tables["operations"]):
        for k in range(len(operation["cuts"])):
            tables = put(tables, f"operations.{n}.cuts.{k}.forces", forces)
    held = ROWS["operations[].gripping.speed_high"].either - {"jaw_taper_under_grip", "runout_in_the_jaws"}
    one_way = Row(more=held, either=BY_KEY.keys() - held)
    slow = verdicts(name, put(tables, "operations.0.gripping.speed_high", "640 rpm"))
    fast = verdicts(name, put(tables, "operations.0.gripping.speed_high", "900 rpm"))
    assert slow is not None
    assert fast is not None
    assert improved(one_way, True, slow, fast) == []
    assert improved(one_way, True, fast, slow) != []


@pytest.mark.parametrize("borne", [{}, {f"{OWN}.tailstock.largest_side_force": "600 N"}])
def test_what_is_lost_at_speed_is_no_gain_under_a_centre(borne: dict[str, Any]) -> None:
    """The grip that a cut asks for stays: it was a bound that fell by half a percent with the grip that is there."""
    tables = tables_of("shaft_on_a_centre", 0)
    for key, value in borne.items():
        tables = put(tables, key, value)
    less, more = (
        verdicts("shaft_on_a_centre", put(tables, f"{OWN}.gripping.grip_loss_share", share))
        for share in (0.5, 0.9)
    )
    assert less is not None
    assert more is not None
    row = ROWS["operations[].gripping.grip_loss_share"]
    assert improved(row, True, less, more) == []
    assert improved(row, True, more, less) != []


def test_tables_of_other_commands_move_nothing() -> None:
    name = "valve_bonnet_first_side"
    tables = full_tables(FOLDER / f"{name}.toml")
    assert "uncertainty" in tables
    tables["views"] = [{"name": "from above", "rise": "80 deg"}]
    bare = {key: value for key, value in tables.items() if key not in ("uncertainty", "views")}
    assert verdicts(name, tables) == verdicts(name, bare)


def test_no_worse_judgement_of_gauge_readings_is_judged_better(tmp_path: Path) -> None:
    """The table's order of judgements, each in the file that the gauged hub includes."""
    order, keys = INCLUDED["judgement"]["order"], INCLUDED["judgement"]["more"]
    shutil.copy(FOLDER / "cast_hub_gauged.toml", tmp_path)
    text = (FOLDER / "readings/cast_hub_fit.toml").read_text(encoding="utf-8")
    (tmp_path / "readings").mkdir()
    ranks = []
    for word in order:
        told = re.sub(r'(?m)^judgement = ".*"$', f'judgement = "{word}"', text)
        assert f'judgement = "{word}"' in told
        (tmp_path / "readings/cast_hub_fit.toml").write_text(told, encoding="utf-8")
        scenario = read(tmp_path / "cast_hub_gauged.toml")
        found = assess(scenario, contact_model="foundation").verdicts
        ranks.append([ORDER.index(v.status) for v in found if v.key in keys])
    assert all(worse <= better for better, worse in pairwise(ranks))
    assert ranks[-1] < ranks[0] or not ranks[0]
