"""Rows that differ in force alone, where part and bore are of one size, have one answer over the force."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from sim.assessment.results import Assessment
from sim.contact import press
from sim.variants import variants
from sim.variants.contact import ContactFit, ContactPoint, Question
from sim.variants.emulated import EmulatedContact, SolvedContact


@pytest.mark.parametrize(("difference_mm", "solved"), [(0.0, 1), (0.002, 8)])
def test_what_has_one_ratio_is_solved_once(
    difference_mm: float, solved: int, quickly_judged: Callable[[str], Assessment]
) -> None:
    """An exact fit is pressed alike by any force, any other at each force otherwise; rows solved one by one agree."""
    asked: list[float] = []

    def spread(point: ContactPoint) -> np.ndarray:
        asked.append(point.force)
        contact = press(point.setup, prepared=point.ready)
        return np.array([contact.approach_mm, contact.pressure_mpa.max()]) / point.force

    force = np.linspace(3000.0, 9000.0, 8)
    found = []
    for kind in (EmulatedContact, SolvedContact):
        contact = variants(quickly_judged("thin_ring_distorts"), kind).operations[0].contact
        question = contact.known(Question("spread", spread, 2, smooth=True))
        radius = np.full(force.size, contact._bore + difference_mm)
        fit = ContactFit(radius, np.zeros(8), np.ones(8), np.ones(8))
        asked.clear()
        found.append(contact(question, force, fit))
        assert len(asked) == (solved if kind is EmulatedContact else 8)
    assert found[0] == pytest.approx(found[1], rel=1e-9)
    assert (np.ptp(found[1][:, 1]) > 1e-3 * found[1][:, 1].max()) == (solved > 1)
