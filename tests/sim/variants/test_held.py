"""How variants are held: the least of the cuts; the weight at another grip or friction as its own solution says."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from sim.assessment.bodies import contact_setup
from sim.assessment.holding import back_face, grip_asked_for, hold_weight
from sim.assessment.operation import gripped
from sim.assessment.side import weight_load
from sim.assessment.supports import prop_cases
from sim.base.arrays import Floats
from sim.contact import ContactSetup, GripLoad, prepare, press
from sim.holding import pressed
from sim.mechanics.cutting import cut_wrench
from sim.scenario import Scenario
from sim.setup.parts import build
from sim.variants.batch import OperationBatch
from sim.variants.contact import ContactFit, ContactPoint, Question
from sim.variants.holding import Held, Holdings, WeightHeld


def held(*factors: float) -> Held:
    return Held(np.full(len(factors), 40e3), np.array(factors), np.array(factors), 10e3 / np.array(factors))


def test_the_cut_that_is_held_least_counts_in_each_variant() -> None:
    none = cast("Any", None)
    cuts = (held(3.0, 1.2), held(2.0, 5.0))
    batch = OperationBatch(0, none, none, (), cuts, (), (), (), None)
    assert batch.factor.tolist() == [2.0, 1.2]
    assert batch.needed.tolist() == [5e3, 10e3 / 1.2]


class Solved:
    """Answers of a contact, each by a solution of its own."""

    def __init__(self, setup: ContactSetup) -> None:
        self._setup, self._ready = setup, prepare(setup)
        self.cuts: dict[str, set[float]] = {}

    def known(self, question: Question) -> Question:
        return question

    def __call__(
        self, question: Question, closing: Floats, _: ContactFit, further: Mapping[str, Floats]
    ) -> Floats:
        rows = []
        self.cuts.setdefault(question.name, set()).update(further.get("cut", np.ones(0)).tolist())
        for row, force in enumerate(closing):
            setup = replace(self._setup, load=GripLoad(float(force)))
            at = {name: float(values[row]) for name, values in further.items()}
            rows.append(question.answer(ContactPoint(setup, self._ready, float(force), at)))
        return np.array(rows)


def test_the_weight_at_another_grip_or_friction_is_held_as_a_solution_of_its_own_says(
    varied: Callable[..., Scenario],
) -> None:
    """Friction that is stated, half and double of it; pressed by other forces, and less of them counted."""
    parts = build(varied("shaft_on_a_centre", {}))
    known = gripped(parts, 0)
    setup = contact_setup(parts, 0, known.zone, "foundation")
    figures = cast("Any", SimpleNamespace(index=0, zone=known.zone, grip=known.grip))
    alone = WeightHeld(parts, figures, cast("Any", Solved(setup)))
    rest, mu = known.grip.rest_total, known.grip.friction
    closing, grip = np.array([rest, 0.6 * rest, rest, 0.0]), np.array([rest, 0.5 * rest, 0.8 * rest, 0.0])
    friction, ones = np.array([mu, mu, 0.5 * mu, mu]), np.ones(4)
    found = alone.factor(closing, ContactFit(ones, ones, ones, ones), grip, friction)
    back, weight = back_face(parts, 0, known.zone), weight_load(parts, 0, known.zone)
    own = [
        hold_weight(
            pressed(press(replace(setup, load=GripLoad(float(closing[k]))))),
            back,
            weight,
            grip[k],
            friction[k],
        ).factor
        for k in range(3)
    ]
    assert found == pytest.approx([*own, 0.0], rel=1e-6)
    assert own[0] > own[2] > 1.0


@pytest.mark.parametrize("name", ["shaft_on_a_centre", "cast_hub_on_ring"])
def test_what_a_heavier_cut_asks_for_at_another_friction_is_what_its_own_program_says(
    name: str, varied: Callable[..., Scenario]
) -> None:
    """As stated, half as heavy, and twice as heavy with half of the friction; held once, and asked three times."""
    parts = build(varied(name, {}))
    known = gripped(parts, 0)
    setup = contact_setup(parts, 0, known.zone, "foundation")
    operation, zone, demand = parts.scenario.operations[0], known.zone, known.demands[0]
    figures = cast("Any", SimpleNamespace(index=0, zone=zone, grip=known.grip, operation=operation))
    solved = Solved(setup)
    cuts = Holdings(parts, figures, cast("Any", solved), (demand,), "cut")
    rest, mu = known.grip.rest_total, known.grip.friction
    share, friction, times = (
        np.array([1.0, 0.5, 2.0]),
        mu * np.array([1.0, 1.0, 0.5]),
        np.array([1.0, 3.0, 1.0]),
    )
    ones, closing = np.ones(3), np.full(3, rest)
    fit = ContactFit(ones, ones, ones, ones)
    found = cuts.held(0, closing, fit, 0.0 * closing, friction, share * demand.forces.tangential, times)
    faces = pressed(press(replace(setup, load=GripLoad(rest))))
    back, load = back_face(parts, 0, zone), weight_load(parts, 0, zone)
    wrench = np.array(cut_wrench(demand.forces, zone.seat + demand.forces.height - zone.middle))
    props = prop_cases(operation, zone.seat)
    own = [
        max(grip_asked_for(faces, back, load, s * k * wrench, m, props) / k for k in (1.0, float(n)))
        for s, m, n in zip(share, friction, times, strict=True)
    ]
    assert found.asked == pytest.approx(own, rel=1e-6)
    assert found.factor.tolist() == [0.0, 0.0, 0.0]  # no grip is there: what is asked for does not hang on it
    assert own[2] > 3.0 * own[0] > 3.0 * own[1] > 0.0
    # What learns a question from the cuts that it is asked for first must not be asked for others by the same name.
    assert [asked for asked in solved.cuts.values() if asked] == [{1.0, 0.5, 2.0}, {1.0, 1.5, 2.0}]
