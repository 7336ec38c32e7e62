"""Friction that no smooth bored face has: it fails, it does not warn.

The table's values stand here as numbers: cast iron on smooth steel, turned, 0.08 to 0.104; steel on steel 0.1 to 0.13.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.friction import SERRATED, known_friction
from sim.base import tables
from sim.base.errors import ScenarioError
from sim.scenario import Scenario
from sim.variants import judged, variants
from sim.variants.result import WORDS

HUB = "cast_hub_on_ring"
NAME = "friction of the part in the jaws"
PAIRING, MEASURED = "operations.0.gripping.pairing", "operations.0.gripping.friction"
PART, SURFACE = "operations.0.workpiece.material", "operations.0.workpiece.gripped_surface"
IRON, STEEL = "cast iron GJL-250", "steel C45"


@pytest.fixture(scope="module")
def of(varied: Callable[..., Scenario]) -> Callable[[dict[str, Any]], Assessment]:
    known: dict[str, Assessment] = {}

    def judge(changes: dict[str, Any]) -> Assessment:
        if repr(changes) not in known:
            known[repr(changes)] = assess(varied(HUB, changes), contact_model="foundation")
        return known[repr(changes)]

    return judge


def verdict(found: Assessment) -> Verdict:
    return next(v for v in found.verdicts if v.name == NAME)


@pytest.mark.parametrize(
    ("changes", "status"),
    [
        ({}, "pass"),
        # a bored face is smooth, whatever it is called, measured or not
        ({PAIRING: "cast iron on steel, serrated jaw, turned part"}, "fail"),
        ({PAIRING: "cast iron on steel, sharp serrated jaw, raw part", SURFACE: "raw"}, "fail"),
        (
            {PAIRING: "cast iron on steel, sharp serrated jaw, raw part", SURFACE: "raw", MEASURED: 0.2},
            "fail",
        ),
        # of other materials: higher than the right one's fails, lower is only cautious
        ({PAIRING: "steel on steel, smooth jaw, turned part"}, "fail"),
        # which names no surface: 0.06 is more than cast iron's least, 0.048 of a ground part
        ({PAIRING: "steel on steel, oiled"}, "fail"),
        ({PART: STEEL, PAIRING: "cast iron on steel, smooth jaw, turned part"}, "pass"),
        # the table knows no titanium: least of all smooth faces, and no more
        ({PART: "titanium Ti-6Al-4V", PAIRING: "cast iron on steel, smooth jaw, turned part"}, "warn"),
        ({PART: "titanium Ti-6Al-4V", PAIRING: "steel on steel, smooth jaw, turned part"}, "fail"),
        ({MEASURED: 0.09}, "pass"),
        ({MEASURED: 0.12}, "warn"),
        ({MEASURED: 0.16}, "fail"),
        ({MEASURED: 0.99}, "fail"),
        # a pairing of others lends a measured friction no more room
        ({MEASURED: 0.19, PAIRING: "steel on steel, smooth jaw, turned part"}, "fail"),
        ({MEASURED: 0.12, PAIRING: "steel on steel, smooth jaw, turned part"}, "warn"),
    ],
)
def test_friction_that_a_bored_face_has_not_fails(
    of: Callable[[dict[str, Any]], Assessment], changes: dict[str, Any], status: str
) -> None:
    found = of(changes)
    assert verdict(found).status == status
    if status == "fail":
        assert found.status == "fail"


def test_a_serrated_pairing_is_what_the_grip_would_gain_by(
    of: Callable[[dict[str, Any]], Assessment],
) -> None:
    """More friction makes the holding factor better, so it is this verdict that must fail the setup."""
    smooth, rough = (
        of({PAIRING: f"cast iron on steel, {face} jaw, turned part"}) for face in ("smooth", "sharp serrated")
    )
    factors = [next(v.value for v in one.verdicts if v.name == "holding factor") for one in (smooth, rough)]
    assert factors[1] > 1.5 * factors[0]
    assert {v.status for v in smooth.verdicts} == {"pass"}
    assert rough.status == "fail"


def test_nothing_above_the_tables_smooth_faces_ever_passes() -> None:
    """Over all rows and families: what passes unmeasured is at most the low value of the right smooth row."""
    for row in tables.frictions():
        for part in (IRON, STEEL, "aluminium EN AW-5083", "brass CuZn39Pb3", "titanium Ti-6Al-4V"):
            known = known_friction(row, *map(tables.material, (part, STEEL)), measured=False)
            right = [
                one
                for one in tables.frictions()
                if one.name.startswith(f"{part.split(' EN')[0].split(' G')[0].split(' C')[0]} on steel")
                and SERRATED not in one.name
            ]
            highest = max((one.low for one in right), default=0.0)
            if row.low <= known.limit:
                assert row.low <= highest + 1e-12, (row.name, part)
            if SERRATED in row.name and right:
                assert row.low > known.most, (row.name, part)


@pytest.mark.parametrize(
    ("surface", "high", "limit", "most"),
    [
        # a shop's own trials on turned parts, within the table: known up to what they gave
        ("turned part", 0.11, 0.11, 1.5 * 0.13),
        # beyond it: no more than steel on smooth steel, turned, and no serrated face (0.28) lends it any
        ("turned part", 0.25, 0.13, 1.5 * 0.13),
        ("raw part", 0.5, 0.16, 1.5 * 0.16),
        ("ground part", 0.5, 0.08, 1.5 * 0.08),
    ],
)
def test_a_shops_own_pairing_counts_up_to_the_tables_most(
    surface: str, high: float, limit: float, most: float
) -> None:
    own = tables.Friction(f"cast iron on steel, smooth jaw, {surface}", 0.1, high, "own trials")
    known = known_friction(own, *map(tables.material, (IRON, STEEL)), measured=False)
    assert (known.limit, known.most) == pytest.approx((limit, most))
    assert f"up to {limit if high > limit else most / 1.5:g}, the most that the table has" in known.basis


def test_drawn_frictions_are_judged_alike(
    of: Callable[[dict[str, Any]], Assessment],
) -> None:
    values = [0.05, 0.104, 0.12, 0.156, 0.157, 0.99]
    found = judged(variants(of({})), {MEASURED: np.array(values)})
    column = found.column("friction_of_the_part_in_the_jaws", "first side")
    mine = [WORDS[code] for code in found.status[:, column]]
    assert mine == [verdict(of({MEASURED: value})).status for value in values]
    assert mine == ["pass", "pass", "warn", "warn", "fail", "fail"]


def test_no_friction_is_refused_and_not_taken_from_the_table(
    of: Callable[[dict[str, Any]], Assessment], assessment: Callable[[str], Assessment]
) -> None:
    """0 once stood for what the table says: a smaller friction than 0.001 then held the part."""
    with pytest.raises(ScenarioError, match=r"gripping\.friction .*greater than 0, found '0\.0'"):
        of({MEASURED: 0.0})
    found = judged(variants(assessment(HUB)), {MEASURED: np.array([0.0, 0.08])})
    assert found.reasons[found.refused[0]] == f"{MEASURED} is not greater than 0"
    assert found.refused[1] == 0
