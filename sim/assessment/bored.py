"""A judged setup with other bores of its pockets: foreseen while one is being changed, worked out when it rests.

What is foreseen is the contact alone (`sim.contact.preview`); the mass of the jaw and whether the part stands on it are
those of the pocket as stated. No verdict is made of it. What is worked out is as `check` gives it for the file with the
bores written into it; the part's compliance, which no bore changes, is that of before.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from threading import Lock

import numpy as np

from sim.assessment.bodies import contact_setup
from sim.assessment.clamping import prepared_contact
from sim.assessment.operation import Gripped, gripped
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import States, gripping_at, touch_travel
from sim.base.errors import ScenarioError
from sim.base.threads import one_blas_thread
from sim.contact import ContactSetup, JawsNearby, Prepared, default_cache, jaw_alone, previewed
from sim.scenario import Scenario
from sim.setup import parts as setup_parts
from sim.setup.loading import refuse_impossible
from sim.setup.parts import Parts

SPAN = (
    0.2  # mm of diameter to either side of the stated one: the contact is foreseen to a millionth within it
)
STEP = 0.01  # mm of diameter
_SMALLEST = 0.05  # mm, a span that is not worth a slider

_KEPT = 4  # sets of bores whose bodies are kept

_preparing, _working_out = Lock(), Lock()  # two pages that ask for the same jaw wait for one


def bore_stops(ready: States, number: int) -> list[float]:
    """Return the diameters (mm) that a pocket may be given for a look; none where nothing can be built with them."""
    stated = ready.assessment.scenario.pockets[number].diameter
    span = SPAN
    while span >= _SMALLEST:
        count = round(span / STEP)
        stops = [round(stated + STEP * k, 6) if k else stated for k in range(-count, count + 1)]
        if all(_buildable(ready, {number: end}) for end in (stops[0], stops[-1])):
            return stops
        span = 0.5 * span
    return []


def touches(ready: States, index: int, bores: Mapping[int, float], sizes: Iterable[float]) -> list[float]:
    """Return the travel (mm) at which the jaws, their pockets bored otherwise, touch parts of some diameters."""
    first = ready.assessment.parts
    parts = replace(first, scenario=_edited(first.scenario, bores))
    return [touch_travel(parts, index, size) for size in sizes]


def with_bores(scenario: Scenario, bores: Mapping[int, float]) -> Scenario:
    """Return a scenario whose pockets, by their numbers, have other diameters (mm).

    Raises
    ------
    ScenarioError
        If it cannot be built so.
    """
    edited = _edited(scenario, bores)
    refuse_impossible(edited)
    return edited


def foreseen(ready: States, index: int, bores: Mapping[int, float]) -> States | None:
    """Return what is foreseen of an operation, one of its pockets bored otherwise; None where nothing is.

    The first time takes two jaws, some seconds; then some hundredths of a second.

    Raises
    ------
    ScenarioError
        If it cannot be built so.
    """
    if len(bores) != 1 or ready.assessment.operations[index].clamping.model != "elastic":
        return None
    ((number, diameter),) = bores.items()
    first = ready.assessment.parts
    parts = replace(first, scenario=with_bores(first.scenario, bores))
    known, setup = _contact(ready, parts, index)
    stated = _contact(ready, first, index)[1]
    try:
        jaws = _nearby(ready, index, number)
        if jaws is None:
            return None
        bodies = previewed(setup, diameter, jaws, stated, ready.prepared[index])
    except (ValueError, np.linalg.LinAlgError):  # outside of what is computed, or another part
        return None
    return _moved(ready, parts, index, known, bodies)


def bored(ready: States, index: int, bores: Mapping[int, float]) -> States:
    """Return an operation's setup with pockets bored otherwise, worked out; once for each set of bores.

    Raises
    ------
    ScenarioError
        If it cannot be built so.
    """
    key = ("bored", index, *sorted(bores.items()))
    with _working_out:
        found = ready.bored.get(key)
        if not isinstance(found, States):
            with one_blas_thread():
                parts = setup_parts.build(with_bores(ready.assessment.scenario, bores))
                known = gripped(parts, index)
                model = ready.assessment.operations[index].clamping.model
                bodies = prepared_contact(parts, index, known.zone, model)
            found = _moved(ready, parts, index, known, bodies)
            for old in [one for one in ready.bored if one[0] == "bored"][: -_KEPT + 1]:
                del ready.bored[old]
            ready.bored[key] = found
    return found


def is_worked_out(ready: States, index: int, bores: Mapping[int, float]) -> bool:
    """Tell whether `bored` is at hand."""
    return ("bored", index, *sorted(bores.items())) in ready.bored


def judged_with_bores(
    ready: States, bores: Mapping[int, float], gripping: Mapping[int, tuple[float, float]]
) -> Assessment:
    """Return the whole setup judged with other bores, and other (pressure, highest speed) of some operations.

    Raises
    ------
    ScenarioError
        If it cannot be built so.
    ContactNotConverged
        If a part at rest is not balanced between the jaws.
    """
    parts = ready.assessment.parts
    for index, (pressure, speed) in gripping.items():
        parts = gripping_at(parts, index, pressure, speed)
    model = ready.assessment.operations[0].clamping.model
    return assess(with_bores(parts.scenario, bores), contact_model=model)


def _edited(scenario: Scenario, bores: Mapping[int, float]) -> Scenario:
    pockets = tuple(
        pocket.model_copy(update={"diameter": bores[number]}) if number in bores else pocket
        for number, pocket in enumerate(scenario.pockets)
    )
    edited: Scenario = scenario.model_copy(update={"pockets": pockets})
    return edited


def _buildable(ready: States, bores: Mapping[int, float]) -> bool:
    try:
        with_bores(ready.assessment.scenario, bores)
    except ScenarioError:
        return False
    return True


def _contact(ready: States, parts: Parts, index: int) -> tuple[Gripped, ContactSetup]:
    first = ready.assessment.operations[index]
    known = gripped(parts, index, on_land=first.zone.stands)
    return known, contact_setup(parts, index, known.zone, first.clamping.model)


def _nearby(ready: States, index: int, number: int) -> JawsNearby | None:
    """Return the jaws of an operation at the ends of what a pocket may be bored to, and as it is stated."""
    key = ("nearby", index, number)
    with _preparing:
        found = ready.bored.get(key)
        if not isinstance(found, JawsNearby):
            stops = bore_stops(ready, number)
            if not stops:
                return None
            first, stated = ready.assessment.parts, ready.assessment.scenario.pockets[number].diameter
            jaws = {stated: ready.prepared[index].jaw_mm_n}
            with one_blas_thread():
                for end in (stops[0], stops[-1]):
                    parts = replace(first, scenario=_edited(first.scenario, {number: end}))
                    jaws[end] = jaw_alone(_contact(ready, parts, index)[1], default_cache())
            places = sorted(jaws)
            found = ready.bored[key] = JawsNearby(
                np.array(places), np.array([jaws[place] for place in places])
            )
    return found


def _moved(ready: States, parts: Parts, index: int, known: Gripped, bodies: Prepared) -> States:
    """Return the states of an operation with other parts and bodies; those of the others are not to be asked."""
    before = ready.assessment
    operations, prepared = list(before.operations), list(ready.prepared)
    operations[index] = replace(operations[index], zone=known.zone)
    prepared[index] = bodies
    judged = replace(before, scenario=parts.scenario, parts=parts, operations=tuple(operations))
    return States(judged, tuple(prepared), ready.tracks)
