"""Which set of jaws on the shelf can be bored again for a new part, with the least metal turned away."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from sim.assessment.bodies import ContactModel
from sim.assessment.results import Assessment
from sim.assessment.stages import assess
from sim.assessment.verdicts.rules import depending_on
from sim.base.errors import ChuckSceneError, ScenarioError
from sim.base.share import Tell
from sim.layouts.full_check import FullCheck, of_assessment
from sim.layouts.layout import metal_left, metal_removed
from sim.scenario import JawSet, Scenario
from sim.setup import parts
from sim.setup.held import held_zone
from sim.setup.loading import refuse_impossible
from sim.setup.metal import fixture_pressed
from sim.setup.rebore import used_jaw

LARGEST_INDEX = 40  # serrations either way, as a scenario may state
MOST_TRIED = 5  # places of one set that are judged in full, least metal first
BY_CONTACT = depending_on("contact")  # keys of the verdicts that another contact model may turn
PITCH_ALIKE = 1e-3  # mm


@dataclass(frozen=True, slots=True, eq=False)
class ShelvedSet:
    """One set of jaws for the new part, at the place where it does best.

    Attributes
    ----------
    jaw_set : JawSet
    serration_index : int or None
        None where the jaws cannot be mounted for this part at all.
    metal : float
        Turned out of one jaw, cm3; nan without a place.
    fresh : float
        Share of the gripped faces that is cut anew, the least of all operations; nan without a place.
    left : float
        Metal that then remains for one more re-bore, mm in radius; nan without a place.
    assessment : Assessment or None
    reason : str
        What stands against it; empty if nothing fails.
    """

    jaw_set: JawSet
    serration_index: int | None
    metal: float
    fresh: float
    left: float
    assessment: Assessment | None
    reason: str

    @property
    def check(self) -> FullCheck | None:
        """What the full check says of the set at its place; None without a place."""
        return None if self.assessment is None else of_assessment(self.assessment)

    @property
    def fits(self) -> bool:
        """No verdict fails."""
        return self.assessment is not None and self.assessment.status != "fail"


@dataclass(frozen=True, slots=True)
class ShelvedPlace:
    """Jaws of a set at a serration: what boring them takes (cm3, share cut anew), before anything else is judged."""

    scenario: Scenario
    metal: float
    fresh: float


def fit_shelf(
    scenario: Scenario,
    sets: Iterable[JawSet],
    contact_model: ContactModel = "elastic",
    progress: Tell = lambda _: None,
) -> tuple[ShelvedSet, ...]:
    """Return every set of a shelf for the part of a scenario: those that fit first, least metal first.

    The scenario's own jaws are left aside; its boring travel, fixture, pockets and operations stay as they are.
    """
    found = []
    for one in sets:
        progress(one.name)
        found.append(fit_set(scenario, one, contact_model))
    return tuple(
        sorted(
            found, key=lambda f: (not f.fits, f.metal if math.isfinite(f.metal) else math.inf, f.jaw_set.name)
        )
    )


def fit_set(scenario: Scenario, jaw_set: JawSet, contact_model: ContactModel = "elastic") -> ShelvedSet:
    """Return where one set does best for the part: no failing verdict first, then the least metal.

    Places are looked for with the quick contact model; what that finds good is judged by the full check with
    `contact_model`, and where it is not confirmed the next place is tried.
    """
    pitch = scenario.chuck.serration_pitch
    if abs(jaw_set.serration_pitch - pitch) > PITCH_ALIKE:
        return _nowhere(
            jaw_set, f"its serrations of {jaw_set.serration_pitch:g} mm do not fit the chuck's, {pitch:g} mm"
        )
    places, refusal = _places(scenario, jaw_set)
    if not places:
        return _nowhere(jaw_set, refusal)
    tried = []
    # Places whose fixture finds no metal come last: at another the same set may do.
    for place in sorted(places, key=lambda p: (not fixture_pressed(p.scenario), p.metal))[:MOST_TRIED]:
        try:
            judged = assess(place.scenario, contact_model="foundation")
        except ChuckSceneError as error:
            refusal = str(error)
            continue
        if contact_model != "foundation" and not _fails_anyhow(judged):
            try:
                judged = assess(place.scenario, contact_model=contact_model)
            except ChuckSceneError as error:
                refusal = str(error)
                continue
        tried.append((place, judged))
        if judged.status != "fail":
            break
    if not tried:
        return _nowhere(jaw_set, refusal)
    place, judged = min(tried, key=lambda pair: (_fails(pair[1]), pair[0].metal))
    return ShelvedSet(
        jaw_set=jaw_set,
        serration_index=place.scenario.soft_jaw.serration_index,
        metal=metal_removed(judged),
        fresh=place.fresh,
        left=metal_left(judged).radial,
        assessment=judged,
        reason=of_assessment(judged).reason,
    )


def bored_to(jaw_set: JawSet) -> str:
    """Say what a set was bored to, last first, as in '118 x 23 mm at serration 0'."""
    said = []
    for earlier in reversed(jaw_set.soft_jaw.bored_before):
        pockets = ", ".join(f"{p.diameter:g} x {p.depth:g} mm" for p in earlier.pockets)
        inside = " (outer diameter)" if earlier.direction == "inside" else ""
        said.append(f"{pockets}{inside} at serration {earlier.serration_index}")
    return "; before that ".join(said) or "not bored yet"


def with_set(scenario: Scenario, jaw_set: JawSet, serration_index: int) -> Scenario:
    """Return the scenario with the jaws of a set at a serration."""
    jaw = jaw_set.soft_jaw.model_copy(update={"serration_index": serration_index})
    changed: Scenario = scenario.model_copy(update={"soft_jaw": jaw})
    return changed


def _nowhere(jaw_set: JawSet, reason: str) -> ShelvedSet:
    return ShelvedSet(jaw_set, None, math.nan, math.nan, math.nan, None, reason)


def _places(scenario: Scenario, jaw_set: JawSet) -> tuple[list[ShelvedPlace], str]:
    """Return where the set can be mounted and bored with as much fresh face as it allows; a refusal if nowhere."""
    found: list[tuple[float, Scenario]] = []
    refusals = {}
    for index in range(-LARGEST_INDEX, LARGEST_INDEX + 1):
        moved = with_set(scenario, jaw_set, index)
        try:
            refuse_impossible(moved)
            found.append((_fresh(moved), moved))
        except ScenarioError as error:
            refusals[abs(index)] = str(error)
    most = max((fresh for fresh, _ in found), default=0.0)
    places = []
    for fresh, moved in found:
        if fresh < most:
            continue
        try:
            built = parts.build(moved)
        except ScenarioError as error:
            refusals[abs(moved.soft_jaw.serration_index)] = str(error)
            continue
        places.append(ShelvedPlace(moved, 1e-3 * float(built.blank.volume - built.bored.volume), fresh))
    return places, refusals[min(refusals)] if refusals else ""


def _fresh(scenario: Scenario) -> float:
    """Return the least share of the gripped faces of all operations that is cut anew."""
    return min(
        used_jaw(scenario, held_zone(scenario, k), scenario.pocket_of(operation).diameter).fresh
        for k, operation in enumerate(scenario.operations)
    )


def _fails_anyhow(judged: Assessment) -> bool:
    """Tell whether a verdict fails that no other contact model would turn."""
    return any(v.status == "fail" and v.key not in BY_CONTACT for v in judged.verdicts)


def _fails(judged: Assessment) -> int:
    return sum(v.status == "fail" for v in judged.verdicts)
