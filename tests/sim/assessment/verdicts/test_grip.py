"""Value, limit and unit of each verdict on the grip, from figures made up and all unlike: by hand, nothing is judged.

Forces of the figures are N, the guideway's moment N mm; verdicts are in kN and kN m.
"""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.grip import grip_verdicts
from sim.mechanics.spin import PermissibleSpeed
from sim.scenario import Scenario

HUB = "cast_hub_on_ring"
Judge = Callable[..., dict[str, Verdict]]


@pytest.fixture(scope="module")
def judge(varied: Callable[..., Scenario]) -> Judge:
    """Judge made-up figures of an operation of two cuts; named ones are changed."""
    turned = varied(HUB).operations[0].cuts[0].model_copy(update={"speed": 800.0})

    def judged(**told: Any) -> dict[str, Verdict]:
        cut = turned.model_copy(update=told.pop("cut", {}))
        chuck = {"guideway_depth": 40.0, "moment_limit": 3.0e6, "largest_grip": 90e3} | told.pop("chuck", {})
        direction = told.pop("direction", "outside")
        parts: Any = SimpleNamespace(
            direction=direction,
            scenario=SimpleNamespace(
                limits=SimpleNamespace(holding_factor=told.pop("asked", 1.6), grip_factor=1.4),
                machine=SimpleNamespace(speed_limit=told.pop("machine", 5000.0)),
                chuck=SimpleNamespace(**chuck),
            ),
        )
        turn = SimpleNamespace(mode="tips", spindle_angle=0.5)
        steady = SimpleNamespace(impact=1.0)
        factors, without = told.pop("factors", (2.8, 2.6)), told.pop("without", (2.4, 1.9))
        demands = (
            SimpleNamespace(name="one", speed=800.0, governing="g", forces=steady, side_force=2500.0),
            SimpleNamespace(
                name="two", speed=told.pop("two", 800.0), governing="g", forces=steady, side_force=2000.0
            ),
        )
        figures: Any = SimpleNamespace(
            moves=told.pop("moves", ()),
            asked_of_grip=((demands[0], 14e3), (demands[1], 12e3), *told.pop("also", ())),
            operation=SimpleNamespace(
                name="first side", gripping=SimpleNamespace(speed_high=900.0, speed_low=600.0), cuts=(cut, cut),
                tailstock=None, steady_rest=None,
            ),
            demands=demands,
            holdings=tuple(
                SimpleNamespace(factor=f, without_back_face=w, grip=41e3, handbook=3.0, turn=turn)
                for f, w in zip(factors, without, strict=True)
            ),
            zone=SimpleNamespace(middle=60.0),
            grip=SimpleNamespace(**{
                "rest_total": 50e3, "rest_per_jaw": 16e3, "high_speed_total": 36e3, "needed_total": 14e3,
                "counted_total": 36e3,
                "centrifugal_per_jaw": 4e3, "largest_total": 57e3, "largest_per_jaw": 19e3, "guide_moment": 1.9e6,
                "friction": 0.25, "basis": "free body", "permissible": PermissibleSpeed(2100.0, 2300.0, 2200.0),
                **told.pop("grip", {}),
            }),
            clamping=SimpleNamespace(**{
                "revolution": SimpleNamespace(least_n=5000.0), "side": 2500.0, "unsupported_least": 700.0,
                **told.pop("clamping", {}),
            }),
        )  # fmt: skip
        assert not told
        return {v.key: v for v in grip_verdicts(parts, figures)}

    return judged


def figures(one: Verdict) -> tuple[Any, ...]:
    return one.status, pytest.approx(one.value), pytest.approx(one.limit), one.unit, one.at_least


def test_each_by_hand(judge: Judge) -> None:
    found = judge()
    assert {key: figures(one) for key, one in found.items()} == {
        "holding_factor": ("pass", 2.6, 1.6, "", True),  # the cut that is held least
        "grip_at_rest": ("pass", 50.0, 1.4 * (1.6 * 14.0 + 12.0), "kN", True),  # VDI 3106 as quoted
        "spindle_speed": ("pass", 900.0, 2100.0, "rpm", False),
        "least_grip_of_a_jaw": ("pass", 5.0, (1.0 - 1.0 / 1.6) * 12.0, "kN", True),
        "guideway_moment": ("pass", 1.9, 3.0, "kN m", False),
        "largest_grip": ("pass", 57.0, 90.0, "kN", False),
    }
    assert {one.stage for one in found.values()} == {"first side"}
    # The grip per jaw beside what the guideway bears at 60 + 40 mm, the loss of 50 to 36 kN, and the rest in words.
    assert "19.0 kN per jaw at rest, at 100 mm" in found["guideway_moment"].message
    assert "28\u00a0% of the grip are lost" in found["spindle_speed"].message
    assert "50.0 kN in all, 16.0 kN per jaw at 60 mm height" in found["grip_at_rest"].message
    assert (
        "5.0 kN of 12.0 kN at 900 rev/min are left on the least loaded jaw under a side force of 2.5 kN"
        in found["least_grip_of_a_jaw"].message
    )
    assert "against tipping 0.7 kN" in found["least_grip_of_a_jaw"].message
    held = found["holding_factor"].message
    assert "'two' at 800 rev/min: 41.0 kN left hold 2.60 times" in held
    assert "then it tips (spindle at 29°); by closed forms 3 times" in held


def test_inside_a_gain_is_no_credit_and_no_loss_is_told(judge: Judge) -> None:
    found = judge(direction="inside")
    assert found["grip_at_rest"].limit == pytest.approx(1.4 * 1.6 * 14.0)
    assert "what the jaws press more is not counted" in found["spindle_speed"].message
    assert "at 900 rev/min, the gain by speed counted" in found["guideway_moment"].message


@pytest.mark.parametrize(
    ("key", "bad", "good"),
    [
        ("holding_factor", {"factors": (2.5, 2.79), "asked": 2.8, "without": (3.0, 3.0)},
         {"factors": (3.5, 2.81), "asked": 2.8, "without": (3.0, 2.81)}),
        ("grip_at_rest", {"grip": {"rest_total": 48.1e3, "needed_total": 14.0e3, "centrifugal_per_jaw": 4.1e3}},
         {"grip": {"rest_total": 48.2e3}}),
        ("spindle_speed", {"grip": {"permissible": PermissibleSpeed(899.0, 2e3, 2e3)}},
         {"grip": {"permissible": PermissibleSpeed(901.0, 2e3, 2e3)}}),
        ("spindle_speed", {"grip": {"permissible": PermissibleSpeed(2e3, 899.0, 2e3)}},
         {"grip": {"permissible": PermissibleSpeed(2e3, 901.0, 2e3)}}),
        ("spindle_speed", {"grip": {"permissible": PermissibleSpeed(2e3, 2e3, 899.0)}},
         {"grip": {"permissible": PermissibleSpeed(2e3, 2e3, 901.0)}}),
        ("spindle_speed", {"machine": 899.0}, {"machine": 901.0}),
        ("least_grip_of_a_jaw", {"clamping": {"revolution": SimpleNamespace(least_n=4499.0)}},
         {"clamping": {"revolution": SimpleNamespace(least_n=4501.0)}}),
        ("least_grip_of_a_jaw", {"clamping": {"revolution": SimpleNamespace(least_n=99.0)}, "asked": 1.0},
         {"clamping": {"revolution": SimpleNamespace(least_n=101.0)}, "asked": 1.0}),
        ("guideway_moment", {"grip": {"guide_moment": 3.01e6}}, {"grip": {"guide_moment": 2.99e6}}),
        ("largest_grip", {"grip": {"largest_total": 90.1e3}}, {"grip": {"largest_total": 89.9e3}}),
    ],
)  # fmt: skip
def test_each_fails_just_beyond_its_limit(judge: Judge, key: str, bad: Any, good: Any) -> None:
    assert judge(**bad)[key].status == "fail"
    assert judge(**good)[key].status == "pass"


def test_a_jaw_that_the_part_is_pushed_off_holds_nothing(judge: Judge) -> None:
    one = judge(clamping={"revolution": None})["least_grip_of_a_jaw"]
    assert (one.status, one.value) == ("fail", 0.0)
    assert "without back face and friction it would tip" in judge(clamping={"unsupported_least": None})[
        "least_grip_of_a_jaw"
    ].message  # fmt: skip


@pytest.mark.parametrize("asked", [1.2, 1.5, 3.0])
def test_a_jaw_keeps_what_so_many_times_the_side_force_would_take(judge: Judge, asked: float) -> None:
    """Three equal jaws, by statics: a side load Q off jaw 1 takes 2/3 Q of its G / 3; S_z Q just opens it."""
    grip = 36e3
    for share, status in ((0.999, "pass"), (1.001, "fail")):
        side = share * 0.5 * grip / asked
        turn = SimpleNamespace(least_n=grip / 3.0 - 2.0 * side / 3.0)
        told = {
            "clamping": {"revolution": turn, "side": side},
            "asked": asked,
            "grip": {"counted_total": grip},
        }
        assert judge(**told)["least_grip_of_a_jaw"].status == status


def test_what_governs_the_speed_is_named(judge: Judge) -> None:
    assert judge()["spindle_speed"].basis.endswith(": VDI 3106")
    assert judge(machine=2000.0)["spindle_speed"].basis.endswith(": machine limit")
    assert judge(machine=2100.0)["spindle_speed"].basis.endswith(": VDI 3106")


def test_it_warns_where_only_the_back_face_holds(judge: Judge) -> None:
    """Any cut, not only the one that is held least, may need the back face."""
    for without in ((1.5, 1.9), (2.4, 1.5)):
        one = judge(without=without)["holding_factor"]
        assert (one.status, one.value) == ("warn", 2.6)
        assert "back face" in one.message
    assert judge(factors=(2.5, 1.5), without=(1.4, 1.4))["holding_factor"].status == "fail"
    assert judge(without=(1.6, 1.6))["holding_factor"].status == "pass"


def test_it_warns_below_two_and_a_half_times_that_the_part_may_creep(judge: Judge) -> None:
    """1 / 0.4: a part on friction springs begins to creep at 0.4 to 0.5 of what holds it, whatever limit is stated."""
    for factors in ((2.8, 2.49), (2.8, 1.61)):
        one = judge(factors=factors)["holding_factor"]
        assert (one.status, one.value, one.limit) == ("warn", factors[1], 1.6)
        assert "the part may creep in the jaws" in one.message
        assert one.advice
    assert "creep" not in judge(factors=(2.8, 2.5))["holding_factor"].message
    failing = judge(factors=(2.8, 1.59))["holding_factor"]
    assert failing.status == "fail"
    assert "creep" not in failing.message
    both = judge(factors=(2.8, 2.0), without=(1.5, 1.5))["holding_factor"]
    assert both.status == "warn"
    assert "back face" in both.message
    assert "lighter cut" in both.advice
    assert judge(factors=(2.8, 2.7), without=(2.7, 2.7), asked=2.6)["holding_factor"].status == "pass"


def test_a_cut_at_another_speed_than_it_asks_for_is_told(judge: Judge) -> None:
    assert "(speed_low; the cut asks for 800 rev/min)" in judge(two=900.0)["holding_factor"].message
    assert "asks for" not in judge(two=800.9)["holding_factor"].message
    assert "asks for 800 rev/min" in judge(two=801.1)["holding_factor"].message


def test_without_a_stated_largest_grip_it_is_not_asked(judge: Judge) -> None:
    assert "largest_grip" not in judge(chuck={"largest_grip": None})


def test_without_grip_at_rest_all_of_it_is_lost(judge: Judge) -> None:
    assert "100\u00a0% of the grip are lost" in judge(grip={"rest_total": 0.0})["spindle_speed"].message


def test_what_speed_takes_is_asked_for_outside_alone(judge: Judge) -> None:
    """Three jaws of 4 kN each."""
    assert "that the cuts ask for + 12.0 kN that 900 rev/min take)" in judge()["grip_at_rest"].message
    assert "take)" not in judge(direction="inside")["grip_at_rest"].message


def test_a_move_that_asks_for_more_than_every_stated_cut_is_named(judge: Judge) -> None:
    """Both where it needs more grip, and where it pushes harder, than 14 kN and 2.5 kN."""
    said = ("grip_at_rest", "spindle_speed")
    least, most = (SimpleNamespace(name=name) for name in ("N10", "N20"))
    for grip, named in ((14.1e3, True), (13.9e3, False)):
        found = judge(also=((least, 1e3), (most, grip)))
        assert [" (N20)" in found[key].message for key in said] == [named, named]
        assert not any(" (N10)" in found[key].message for key in said)

    def pushing(*forces: float) -> tuple[SimpleNamespace, ...]:
        demands = [SimpleNamespace(name=f"N{10 * k}", side_force=force) for k, force in enumerate(forces, 1)]
        asked = [SimpleNamespace(pushing=SimpleNamespace(demand=one)) for one in demands]
        return tuple(SimpleNamespace(asked=one, held=()) for one in (*asked, SimpleNamespace(pushing=None)))

    def told(*forces: float) -> str:
        return judge(moves=pushing(*forces))["least_grip_of_a_jaw"].message

    assert "2.5 kN (N20);" in told(900.0, 2501.0, 800.0)
    assert "2.5 kN;" in told(900.0, 2499.0)
    assert "2.5 kN;" in told()


def test_a_drill_that_may_break_through_is_said_to(judge: Judge) -> None:
    def message(**cut: Any) -> str:
        return judge(cut={"kind": "drilling", "speed": None, "cutting_speed": 60.0, **cut})[
            "holding_factor"
        ].message

    assert " as it breaks through and pulls (through is not stated)" in message(through=None)
    assert " as it breaks through and pulls" in message(through=True)
    assert "through is not stated" not in message(through=True)
    assert "breaks through" not in message(through=False)


def test_a_groove_that_asks_for_more_than_the_highest_speed_at_its_end_is_told(judge: Judge) -> None:
    groove = {"kind": "grooving", "end_diameter": 40.0, "diameter": 60.0, "speed": None}
    slow, fast = (
        judge(cut=groove | {"cutting_speed": v}, two=900.0)["holding_factor"].message for v in (100.0, 150.0)
    )
    assert "towards the groove's smaller end" in fast  # 150 m/min on 40 mm: 1194 rev/min of 900
    assert "(speed_low; the cut asks for 796 rev/min)" in slow
