"""What bears the part beside the jaws: forces of the centre, bend, weight; made-up figures."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from sim.assessment.figures.supports import HeldAlone
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.supports import support_verdicts


def judged(
    *,
    force: float | None = None,
    most: float | None = 8000.0,
    cuts: tuple[tuple[str, str, float], ...] = (("rough", "turning", 2.0),),
    gives: tuple[float, ...] | None = None,
    sides: tuple[float, ...] | None = None,
    weight: float | None = None,
    whips_at: float = 9000.0,
    parted: tuple[str, ...] = (),
) -> dict[str, Verdict]:
    """`cuts` have name, kind and depth (mm), `gives` mm/N, `sides` N, `weight` is how many times it is held."""
    gives = (1e-5,) * len(cuts) if gives is None else gives
    sides = (1000.0,) * len(cuts) if sides is None else sides
    tailstock = None if force is None else SimpleNamespace(force_high=force, largest_force=most)
    operation = SimpleNamespace(
        name="first side", tailstock=tailstock, steady_rest=None, gripping=SimpleNamespace(speed_high=1000.0),
        cuts=tuple(SimpleNamespace(name=n, kind=k, depth_of_cut=d) for n, k, d in cuts),
    )  # fmt: skip
    alone: Any = None
    if weight is not None:
        alone = SimpleNamespace(factor=weight, grip=20e3, weight=300.0, __class__=HeldAlone)
    figures: Any = SimpleNamespace(
        operation=operation,
        gives=gives,
        whips_at=whips_at,
        demands=tuple(SimpleNamespace(side_force=s) for s in sides),
        alone=alone,
    )
    limits = SimpleNamespace(part_bend=0.1, holding_factor=2.5)
    parts: Any = SimpleNamespace(scenario=SimpleNamespace(limits=limits))
    return {v.key: v for v in support_verdicts(parts, figures, parted)}


def test_without_support_only_bend_and_whip_are_asked() -> None:
    assert set(judged()) == {"bend_of_the_part", "whip_of_the_part"}


@pytest.mark.parametrize(("whips_at", "status"), [(1420.0, "fail"), (1440.0, "pass")])
def test_seven_tenths_of_the_speed_at_which_a_part_whips_may_be_run(whips_at: float, status: str) -> None:
    """Common practice, no source; at 1000 rev/min."""
    found = judged(whips_at=whips_at)["whip_of_the_part"]
    assert (found.status, found.value, found.limit) == (status, 1000.0, pytest.approx(0.7 * whips_at))
    assert found.message.startswith(f"at 1000 rev/min; from {whips_at:.0f} rev/min on")


@pytest.mark.parametrize(("force", "status"), [(7900.0, "pass"), (8100.0, "fail")])
def test_a_centre_bears_what_its_maker_states(force: float, status: str) -> None:
    found = judged(force=force)["force_of_the_centre"]
    assert (found.status, found.value, found.limit) == (status, force / 1000.0, 8.0)
    assert "force_of_the_centre" not in judged(force=force, most=None)


def test_whatever_parts_off_under_a_centre_counts() -> None:
    found = judged(force=1000.0, parted=("off", "again"))["parting_under_the_centre"]
    assert (found.status, found.value, found.limit) == ("fail", 2.0, 0.0)
    assert found.message.startswith("off, again parts off")
    free = judged(force=1000.0)["parting_under_the_centre"]
    assert (free.status, free.value) == ("pass", 0.0)


def test_the_cut_that_bends_the_part_most_is_judged_and_named() -> None:
    cuts = (("rough", "turning", 2.0), ("groove", "grooving", 0.5))
    found = judged(cuts=cuts, gives=(1e-4, 4e-5), sides=(900.0, 3000.0))["bend_of_the_part"]
    assert (found.status, found.value, found.limit) == ("warn", pytest.approx(0.12), 0.1)
    assert found.message.startswith("'groove' pushes with 3000 N")
    assert judged(cuts=cuts, gives=(1e-4, 4e-5), sides=(900.0, 2400.0))["bend_of_the_part"].status == "pass"


def test_giving_way_by_more_than_any_depth_fails() -> None:
    """It need not be the cut that bends it most: 0.11 mm of a finishing cut of 0.1 mm beside 0.3 of 2 mm."""
    cuts = (("rough", "turning", 2.0), ("finish", "turning", 0.1))
    assert judged(cuts=cuts, gives=(3e-4, 1.1e-4), sides=(1e3, 1e3))["bend_of_the_part"].status == "fail"
    assert judged(cuts=cuts, gives=(3e-4, 0.9e-4), sides=(1e3, 1e3))["bend_of_the_part"].status == "warn"


@pytest.mark.parametrize(("factor", "status"), [(2.4, "fail"), (2.6, "pass")])
def test_the_jaws_alone_hold_the_weight_as_many_times_as_is_asked(factor: float, status: str) -> None:
    found = judged(weight=factor, force=1000.0)["weight_held_by_the_jaws"]
    assert (found.status, found.value, found.limit) == (status, factor, 2.5)
    assert found.message.startswith("20.0 kN left at 1000 rev/min hold the part's weight of 300 N")
    assert "the centre gone" in found.message
    assert "gone" not in judged(weight=factor)["weight_held_by_the_jaws"].message
