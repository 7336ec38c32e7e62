"""A judged setup with other bores or depths of its pockets: foreseen while one is changed, worked out when it rests.

What is foreseen is the contact alone (`sim.contact.preview`); the mass of the jaw and whether the part stands on it are
those of the pocket as stated. No verdict is made of it. What is worked out is as `check` gives it for the file with the
bores and depths written into it; the part's compliance, which no bore changes, is that of before.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from threading import Lock
from types import MappingProxyType

import numpy as np

from sim.assessment.bodies import contact_setup
from sim.assessment.clamping import part_of_contact, prepared_contact
from sim.assessment.face_gap import touch_travel
from sim.assessment.operation import Gripped, gripped
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.state import States, gripping_at
from sim.base.errors import ScenarioError
from sim.base.threads import each, one_blas_thread
from sim.contact import (
    ContactSetup,
    JawsNearby,
    PartAlone,
    Prepared,
    deepened,
    default_cache,
    jaw_alone,
    previewed,
)
from sim.scenario import Scenario
from sim.setup import parts as setup_parts
from sim.setup.loading import refuse_impossible
from sim.setup.parts import Parts

SPAN = (
    0.2  # mm of diameter to either side of the stated one: the contact is foreseen to a millionth within it
)
STEP = 0.01  # mm of diameter
DEEPER = 0.5  # mm to either side of the stated depth: its jaws are read between three over it
DEPTH_STEP = 0.1  # mm of depth; the part is computed for each
_SMALLEST = 0.05  # mm, a span that is not worth a slider

_KEPT = 4  # sets of bores and depths whose bodies are kept
_EVENLY = 1e-9  # mm by which steps of the gripped heights may differ from depth to depth
_AS_STATED: Mapping[int, float] = MappingProxyType({})

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


def depth_stops(ready: States, number: int) -> list[float]:
    """Return the depths (mm) that a pocket may be given for a look; none where nothing can be built with them."""
    stated, count = ready.assessment.scenario.pockets[number].depth, round(DEEPER / DEPTH_STEP)
    stops = [round(stated + DEPTH_STEP * k, 6) if k else stated for k in range(-count, count + 1)]
    return stops if all(_buildable(ready, {}, {number: end}) for end in (stops[0], stops[-1])) else []


def touches(ready: States, index: int, bores: Mapping[int, float], sizes: Iterable[float]) -> list[float]:
    """Return the travel (mm) at which the jaws, their pockets bored otherwise, touch parts of some diameters."""
    first = ready.assessment.parts
    parts = replace(first, scenario=_edited(first.scenario, bores, _AS_STATED))
    return [touch_travel(parts, index, size) for size in sizes]


def with_bores(
    scenario: Scenario, bores: Mapping[int, float], depths: Mapping[int, float] = _AS_STATED
) -> Scenario:
    """Return a scenario whose pockets, by their numbers, have other diameters and depths (mm).

    Raises
    ------
    ScenarioError
        If it cannot be built so.
    """
    edited = _edited(scenario, bores, depths)
    refuse_impossible(edited)
    return edited


def foreseen(
    ready: States, index: int, bores: Mapping[int, float], depths: Mapping[int, float] = _AS_STATED
) -> States | None:
    """Return what is foreseen of an operation, one of its pockets bored otherwise or deeper; None where nothing is.

    The first time takes two jaws, and for a depth the part at each, some seconds; then some hundredths of a second.

    Raises
    ------
    ScenarioError
        If it cannot be built so.
    """
    if len(bores) + len(depths) != 1 or ready.assessment.operations[index].clamping.model != "elastic":
        return None
    ((number, size),) = (*bores.items(), *depths.items())
    first = ready.assessment.parts
    parts = replace(first, scenario=with_bores(first.scenario, bores, depths))
    known, setup = _contact(ready, parts, index)
    try:
        if depths:
            known_depths = _deeper(ready, index, number)
            part = None if known_depths is None else known_depths.parts.get(size)
            bodies = (
                None
                if known_depths is None or part is None
                else deepened(setup, size, known_depths.jaws, part)
            )
        else:
            jaws, stated = _nearby(ready, index, number), _contact(ready, first, index)[1]
            bodies = None if jaws is None else previewed(setup, size, jaws, stated, ready.prepared[index])
    except (ValueError, np.linalg.LinAlgError):  # outside of what is computed, or another part
        return None
    return None if bodies is None else _moved(ready, parts, index, known, bodies)


def bored(
    ready: States, index: int, bores: Mapping[int, float], depths: Mapping[int, float] = _AS_STATED
) -> States:
    """Return an operation's setup with pockets bored otherwise or deeper, worked out; once for each set of them.

    Raises
    ------
    ScenarioError
        If it cannot be built so.
    """
    key = _key(index, bores, depths)
    with _working_out:
        found = ready.bored.get(key)
        if not isinstance(found, States):
            with one_blas_thread():
                parts = setup_parts.build(with_bores(ready.assessment.scenario, bores, depths))
                known = gripped(parts, index)
                model = ready.assessment.operations[index].clamping.model
                bodies = prepared_contact(parts, index, known.zone, model)
            found = _moved(ready, parts, index, known, bodies)
            for old in [one for one in ready.bored if one[0] == "bored"][: -_KEPT + 1]:
                del ready.bored[old]
            ready.bored[key] = found
    return found


def is_worked_out(
    ready: States, index: int, bores: Mapping[int, float], depths: Mapping[int, float] = _AS_STATED
) -> bool:
    """Tell whether `bored` is at hand."""
    return _key(index, bores, depths) in ready.bored


def judged_with_bores(
    ready: States,
    bores: Mapping[int, float],
    gripping: Mapping[int, tuple[float, float]],
    depths: Mapping[int, float] = _AS_STATED,
) -> Assessment:
    """Return the whole setup judged with other bores and depths, and (pressure, highest speed) of some operations.

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
    return assess(with_bores(parts.scenario, bores, depths), contact_model=model)


def _key(index: int, bores: Mapping[int, float], depths: Mapping[int, float]) -> tuple[object, ...]:
    return ("bored", index, *sorted(bores.items()), "depths", *sorted(depths.items()))


def _edited(scenario: Scenario, bores: Mapping[int, float], depths: Mapping[int, float]) -> Scenario:
    def own(number: int) -> dict[str, float]:
        wanted = {"diameter": bores, "depth": depths}
        return {name: values[number] for name, values in wanted.items() if number in values}

    pockets = tuple(pocket.model_copy(update=own(k)) for k, pocket in enumerate(scenario.pockets))
    edited: Scenario = scenario.model_copy(update={"pockets": pockets})
    return edited


def _buildable(ready: States, bores: Mapping[int, float], depths: Mapping[int, float] = _AS_STATED) -> bool:
    try:
        with_bores(ready.assessment.scenario, bores, depths)
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
                    parts = replace(first, scenario=_edited(first.scenario, {number: end}, _AS_STATED))
                    jaws[end] = jaw_alone(_contact(ready, parts, index)[1], default_cache())
            places = sorted(jaws)
            found = ready.bored[key] = JawsNearby(
                np.array(places), np.array([jaws[place] for place in places])
            )
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Depths:
    """Jaws of a pocket at the ends of how deep it may be and as it is stated, and the part in each depth (mm)."""

    jaws: JawsNearby
    parts: Mapping[float, PartAlone]


def _deeper(ready: States, index: int, number: int) -> _Depths | None:
    """Return what an operation with a pocket of other depths takes; None where its heights do not move evenly."""
    key = ("deeper", index, number)
    with _preparing:
        found = ready.bored.get(key)
        if not isinstance(found, _Depths):
            stops, stated = depth_stops(ready, number), ready.assessment.scenario.pockets[number].depth
            if not stops:
                return None
            setups, zones, parts = [], [], []
            for depth in stops:
                scenario = _edited(ready.assessment.scenario, _AS_STATED, {number: depth})
                parts.append(replace(ready.assessment.parts, scenario=scenario))
                known, setup = _contact(ready, parts[-1], index)
                setups.append(setup)
                zones.append(known.zone)
            heights = np.array([(one.grip.z_low_mm, one.grip.z_high_mm) for one in setups])
            if np.abs(np.diff(heights, n=2, axis=0)).max() > _EVENLY:
                return None
            with one_blas_thread():
                alone = each(lambda k: part_of_contact(parts[k], index, zones[k]), range(len(stops)))
                jaws = [
                    ready.prepared[index].jaw_mm_n if depth == stated else jaw_alone(setup, default_cache())
                    for depth, setup in zip(stops, setups, strict=True)
                    if depth in (stops[0], stated, stops[-1])
                ]
            nearby = JawsNearby(np.array([stops[0], stated, stops[-1]]), np.array(jaws))
            found = ready.bored[key] = _Depths(nearby, dict(zip(stops, alone, strict=True)))
    return found


def _moved(ready: States, parts: Parts, index: int, known: Gripped, bodies: Prepared) -> States:
    """Return the states of an operation with other parts and bodies; those of the others are not to be asked."""
    before = ready.assessment
    operations, prepared = list(before.operations), list(ready.prepared)
    operations[index] = replace(operations[index], zone=known.zone)
    prepared[index] = bodies
    judged = replace(before, scenario=parts.scenario, parts=parts, operations=tuple(operations))
    return States(judged, tuple(prepared), ready.tracks)
