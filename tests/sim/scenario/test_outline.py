"""Arcs, chamfers and roundings of an outline in a scenario: read, refused at their field, changed, compared."""

from __future__ import annotations

import copy
import math
import pickle
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from meshes.revolve import volume_by_pappus
from meshes.sides import Arc, volume
from sim.base.errors import ScenarioError
from sim.drawing.digest import scenario_digest
from sim.revisions.fields import Revision, field_changes
from sim.scenario import Scenario
from sim.scenario.edits import Edit, edited
from sim.scenario.fields import field_of
from sim.scenario.outline import Outline, sides_of
from sim.scenario.toml_text import toml_text
from sim.setup.held import held_zone
from sim.setup.land import back_rings

NAME = "cast_hub_on_ring"
FIELD = "operations.0.workpiece.outline"
ARC = {"at": ["28 mm", "58 mm"], "arc": "14 mm", "curve": "convex"}
SHAPED = [
    ["20 mm", "0 mm"], ["59 mm", "0 mm"], {"at": ["59 mm", "26 mm"], "chamfer": "1 mm"},
    {"at": ["40 mm", "26 mm"], "radius": "5 mm"}, ["40 mm", "46 mm"], {"at": ["28 mm", "58 mm"], "arc": "12 mm",
    "curve": "convex"}, ["20 mm", "58 mm"],
]  # fmt: skip
# By hand, with Pappus: cylinders; the fillet and the quarter circle by their centroids; the chamfer as a triangle.
FILLET = (
    (1.0 - math.pi / 4.0) * 25.0 * math.tau * (40.0 + 5.0 * (10.0 - 3.0 * math.pi) / (12.0 - 3.0 * math.pi))
)
QUARTER = (
    (1.0 - math.pi / 4.0) * 144.0 * math.tau * (40.0 - 12.0 * (10.0 - 3.0 * math.pi) / (12.0 - 3.0 * math.pi))
)
WHOLE = (
    math.pi * (59.0**2 * 26.0 + 40.0**2 * 32.0 - 20.0**2 * 58.0)
    + FILLET
    - QUARTER
    - 0.5 * math.tau * (59.0 - 1.0 / 3.0)
)


def with_corner(k: int, corner: Any) -> list[Any]:
    found = copy.deepcopy(SHAPED)
    found[k] = corner
    return found


def test_what_is_stated_stays_and_its_volume_is_exact(varied: Callable[..., Scenario]) -> None:
    outline = varied(NAME, {FIELD: SHAPED}).operations[0].workpiece.outline
    assert isinstance(outline, Outline)
    assert len(outline.stated) == len(SHAPED)
    assert volume(sides_of(outline)) == pytest.approx(WHOLE, rel=1e-12)
    assert volume_by_pappus(outline) == pytest.approx(WHOLE, rel=1e-12)
    assert sorted(side.radius for side in outline.sides if isinstance(side, Arc)) == pytest.approx(
        [5.0, 12.0]
    )
    for other in (copy.deepcopy(outline), pickle.loads(pickle.dumps(outline))):  # noqa: S301  its own bytes
        assert (other, other.sides) == (outline, outline.sides)


def test_plain_corners_are_read_as_ever(varied: Callable[..., Scenario]) -> None:
    """In either form: a table that says no more than the place is a plain corner."""
    plain = varied(NAME).operations[0].workpiece.outline
    assert type(plain) is tuple
    tables = [{"at": [f"{r} mm", f"{z} mm"]} for r, z in plain]
    assert tuple(varied(NAME, {FIELD: tables}).operations[0].workpiece.outline) == plain


@pytest.mark.parametrize(
    ("k", "corner", "told"),
    [
        (5, {**ARC, "arc": "8 mm"}, "[5].arc must be at least 8.485 mm, half the way from the corner before, found"),
        (5, {**ARC, "arc": "14"}, "[5].arc must be a length, one number and one unit"),
        (5, {**ARC, "arc": "-14 mm"}, "[5].arc must be"),
        (5, {"at": ARC["at"], "arc": "14 mm"}, "[5] curve is missing beside arc"),
        (5, {"at": ARC["at"], "curve": "convex"}, "[5] curve must stand beside arc"),
        (5, {"at": ARC["at"], "longer": True}, "[5] longer must stand beside arc"),
        (5, {**ARC, "curve": "outward"}, "[5].curve must be 'convex' or 'concave', found 'outward'"),
        (5, {**ARC, "chamfer": "1 mm"}, "[5] must state one of arc, chamfer and radius at most, found arc and chamfer"),
        (5, {"arc": "14 mm", "curve": "convex"}, "[5].at is missing"),
        (5, {**ARC, "radii": "1 mm"}, "[5].radii is not a key of a scenario (see `chuckscene schema`): did you mean"),
        (3, {"at": ["40 mm", "26 mm"], "radius": "25 mm"}, "[2].chamfer must fit on its sides: it takes 1 mm of 0 mm"),
        (4, {"at": ["40 mm", "46 mm"], "radius": "1 mm"}, "[4].radius must stand between two straight sides"),
        (5, {**ARC, "arc": "16 mm", "longer": True, "curve": "concave"}, "[5].arc must not meet another side"),
        (5, ["28 mm"], "[5][1] is missing"),
        (5, "28 mm", "[5] must be a list"),
    ],
)  # fmt: skip
def test_mistakes_are_told_at_their_field(
    varied: Callable[..., Scenario], k: int, corner: Any, told: str
) -> None:
    with pytest.raises(ScenarioError, match=re.escape(f"operations[0].workpiece.outline{told}")) as refused:
        varied(NAME, {FIELD: with_corner(k, corner)})
    assert "corner[" not in str(refused.value)
    assert "shaped" not in str(refused.value)


def test_an_arc_is_not_gripped(varied: Callable[..., Scenario]) -> None:
    """A wall of 118 mm that ends in a large arc is gripped where it is straight; one that is an arc, nowhere."""
    crowned = [
        ["20 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "14 mm"],
        {"at": ["58.5 mm", "26 mm"], "arc": "144 mm", "curve": "convex"}, ["20 mm", "26 mm"],
    ]  # fmt: skip
    zone = held_zone(varied(NAME, {FIELD: crowned}), 0)
    assert (zone.low - zone.seat, zone.high - zone.seat) == pytest.approx((2.0, 14.0))
    crowned[1:4] = [["58.9 mm", "0 mm"], {"at": ["58.9 mm", "26 mm"], "arc": "900 mm", "curve": "convex"}]
    with pytest.raises(ScenarioError, match="it has none, and an arc is not gripped"):
        held_zone(varied(NAME, {FIELD: crowned}), 0)


def test_a_part_that_lies_on_an_arc_has_no_ring_there(varied: Callable[..., Scenario]) -> None:
    """Of 41 odd chords one lies flat; the tube's foot is half round."""
    foot = [
        ["50 mm", "5 mm"], {"at": ["59 mm", "5 mm"], "arc": "4.5 mm", "curve": "convex"}, ["59 mm", "40 mm"],
        ["50 mm", "40 mm"],
    ]  # fmt: skip
    outline = varied(NAME, {FIELD: foot}).operations[0].workpiece.outline
    lowest = min(z for _, z in outline)
    assert lowest == pytest.approx(0.5, abs=0.005)
    assert back_rings(outline, lowest) == ()


def test_a_form_changes_an_arc_and_comments_stay(scenario_file: Callable[[str], Path]) -> None:
    text = (
        scenario_file(NAME)
        .read_text(encoding="utf-8")
        .replace('["59 mm", "26 mm"],', '["59 mm", "26 mm"], # rim\n')
    )
    place = ("operations", 0, "workpiece", "outline", 2)
    rim = {"at": ["59 mm", "26 mm"], "arc": "30 mm", "curve": "concave", "longer": True}
    arc = edited(text, [Edit("set", place, rim)])
    assert "# rim" in arc
    larger = edited(arc, [Edit("set", (*place, "arc"), "31 mm"), Edit("set", (*place, "at", 0), "59.1 mm")])
    corner = tomllib.loads(larger)["operations"][0]["workpiece"]["outline"][2]
    assert corner == {"at": ["59.1 mm", "26 mm"], "arc": "31 mm", "curve": "concave", "longer": True}
    blend = edited(larger, [Edit("set", place, {"at": ["59 mm", "26 mm"], "chamfer": "1 mm"})])
    assert tomllib.loads(blend)["operations"][0]["workpiece"]["outline"][2] == {
        "at": ["59 mm", "26 mm"],
        "chamfer": "1 mm",
    }
    assert edited(blend, [Edit("set", place, ["59 mm", "26 mm"])]).replace(" ", "") == text.replace(" ", "")


def test_the_text_of_the_codes_says_the_same() -> None:
    for outline in (SHAPED, [{"at": corner} if isinstance(corner, list) else corner for corner in SHAPED]):
        tables = {"operations": [{"workpiece": {"outline": outline}}]}
        assert tomllib.loads(toml_text(tables)) == tables


def test_a_study_names_the_fields_of_a_corner_as_the_file_counts_them(
    varied: Callable[..., Scenario],
) -> None:
    scenario = varied(NAME, {FIELD: SHAPED})
    radius = field_of(scenario, f"{FIELD}.5.arc")
    assert (radius.kind, radius.stated) == ("length", 12.0)
    assert radius.refusal("13 mm") == ""
    assert "must be a length" in radius.refusal("13")
    place = field_of(scenario, f"{FIELD}.6.0")
    assert (place.kind, place.stated) == ("length", 20.0)
    assert field_of(scenario, f"{FIELD}.3.at.1").stated == 26.0
    wider = varied(NAME, {FIELD: copy.deepcopy(SHAPED), f"{FIELD}.5.arc": "13 mm"})
    assert field_of(wider, f"{FIELD}.5.arc").stated == 13.0


def test_another_radius_is_another_scenario_and_told_as_the_field_that_it_is(
    varied: Callable[..., Scenario],
) -> None:
    old, new = (
        Revision(varied(NAME, {FIELD: outline}), {"operations": [{"workpiece": {"outline": outline}}]})
        for outline in (SHAPED, with_corner(5, {**SHAPED[5], "arc": "13 mm"}))
    )
    assert scenario_digest(old.scenario) != scenario_digest(new.scenario)
    (change,) = field_changes(old, new)
    assert change.key == "operations[first side].workpiece.outline[5].arc"
    assert (change.old.told, change.new.told) == ("12 mm", "13 mm")
