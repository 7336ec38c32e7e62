"""What a state at rest says is kept for further speeds, and for nothing else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from sim.assessment import clamping
from sim.assessment.gripped_again import judged_at
from sim.assessment.results import Assessment
from sim.assessment.state import states
from sim.contact import prepare
from sim.contact.setup import ContactSetup, GripLoad

HUB = "cast_hub_on_ring"


def test_another_question_is_asked_anew(quickly_judged: Callable[[str], Assessment]) -> None:
    """A last bit is another question, also inside an array, and so is another name."""
    ready = prepare(_setup(quickly_judged))
    asked: list[float] = []

    def at(name: str, values: object) -> int:
        return ready.last(name, values, lambda: asked.append(0.0) or len(asked))

    outline = np.array([[1.0, 2.0], [3.0, 4.0]])
    assert at("rest", (outline, 5.0)) == at("rest", (outline.copy(), 5.0)) == 1
    assert at("rest", (np.nextafter(outline, 9.0), 5.0)) == 2
    assert at("rest", (outline, 5.0)) == 3
    assert at("rest", (outline, np.nextafter(5.0, 9.0))) == 4
    assert at("fast", (outline, 5.0)) == 5
    assert at("rest", (outline, np.nextafter(5.0, 9.0))) == 4


def test_a_speed_asks_no_state_at_rest_again(
    quickly_judged: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Figures at three speeds and two pressures are those of bodies that have been asked nothing."""
    asked: list[str] = []
    own = clamping._state

    def counted(name: str, *others: object) -> object:
        asked.append(name)
        return own(name, *others)  # type: ignore[arg-type]

    judged = quickly_judged(HUB)
    ready = states(judged)
    monkeypatch.setattr(clamping, "_state", counted)
    points = [(pressure, speed) for pressure in (1.2, 1.8) for speed in (300.0, 700.0, 1100.0)]
    found = [judged_at(ready, 0, *point).figures.clamping for point in points]
    assert asked.count(clamping.AT_REST) == 2
    assert asked.count(clamping.FAST) == len(points)
    for one, point in zip(found, points, strict=True):
        bodies = replace(ready, prepared=tuple(replace(body) for body in ready.prepared))
        fresh = judged_at(bodies, 0, *point).figures.clamping
        for name in ("band_peak", "band_peak_per_um", "roundness", "hoop_stress", "side"):
            assert getattr(one, name) == getattr(fresh, name), (name, point)
        assert np.array_equal(one.rest.pressure_mpa, fresh.rest.pressure_mpa)
        assert one.taper == fresh.taper
    assert found[0].band_peak != found[3].band_peak


def _setup(quickly_judged: Callable[[str], Assessment]) -> ContactSetup:
    from sim.assessment.bodies import contact_setup

    judged = quickly_judged(HUB)
    setup = contact_setup(judged.parts, 0, judged.operations[0].zone, "foundation")
    return replace(setup, load=GripLoad(1.0))
