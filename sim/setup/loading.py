"""Load a scenario and refuse what cannot be built: the geometry that no verdict could be given on."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from meshes.insert import parse
from meshes.revolve import checked_outline
from sim.base.errors import ScenarioError, in_field
from sim.scenario import NoFixture, Scenario, read
from sim.setup.bores import require_bores, require_faces
from sim.setup.drive import require_stiffnesses, require_wedge
from sim.setup.fixture_place import require_fixture, require_fixture_side
from sim.setup.grip_travel import require_openings, require_travel
from sim.setup.heads import require_heads
from sim.setup.jaw_place import jaw_place
from sim.setup.mounting import require_fits, require_nuts, require_seats
from sim.setup.on_part import require_back_stops
from sim.setup.pairing import require_pairing
from sim.setup.pressures import require_pressures
from sim.setup.round_part import require_round
from sim.setup.size_limits import limit_told, require_limits
from sim.setup.supports import require_supports


def load(path: str | Path, changes: Mapping[str, Any] | None = None) -> Scenario:
    """Read a scenario file and check that its geometry is possible.

    Parameters
    ----------
    path : str or Path
    changes : mapping, optional
        Fields to replace before checking, as in ``{"soft_jaw.height": "70 mm"}``.

    Raises
    ------
    ScenarioError
        One sentence: which field of which file is wrong, what was found, what is allowed.
    """
    file = Path(path)
    scenario = read(file, changes)
    try:
        refuse_impossible(scenario)
    except ScenarioError as error:
        raise ScenarioError(f"{file}: {_origin(scenario, str(error))}{error}") from None
    return scenario


def _origin(scenario: Scenario, sentence: str) -> str:
    """Return which included file states the field that a sentence begins with, '' if none does."""
    for other in scenario.included:
        if any(sentence.startswith((f"{value.field} ", f"{value.field}:")) for value in other.values):
            return f"as included from {scenario.folder / other.file}, "
    return ""


def refuse_impossible(scenario: Scenario) -> None:
    """Refuse a setup that cannot be assembled or bored, or that runs over a stated limit.

    Raises
    ------
    ScenarioError
        Names the field, what was found and what is allowed, without the file.
    """
    _names(scenario)
    _outlines(scenario)
    require_pressures(scenario)
    require_fits(scenario)
    place = jaw_place(scenario)
    require_nuts(scenario, place)
    require_seats(scenario, place)
    require_stiffnesses(scenario)
    require_wedge(scenario)
    require_travel(scenario, place)
    require_bores(scenario, place)
    require_fixture_side(scenario, place)  # before what such a fixture would meet
    require_heads(scenario)
    require_faces(scenario, place)
    require_fixture(scenario, place)
    require_openings(scenario, place)
    require_back_stops(scenario, place)
    require_supports(scenario)
    require_round(scenario)
    for limit in require_limits(scenario):
        try:
            refuse_impossible(limit)
        except ScenarioError as error:
            raise ScenarioError(
                f"at the limits of the pockets ({limit_told(scenario, limit)}): {error}"
            ) from None


def _names(scenario: Scenario) -> None:
    _known(scenario, "soft_jaw.material", scenario.soft_jaw.material)
    if not isinstance(scenario.boring.fixture, NoFixture):
        _known(scenario, "boring.fixture.material", scenario.boring.fixture.material)
    for number, operation in enumerate(scenario.operations):
        _known(scenario, f"operations[{number}].workpiece.material", operation.workpiece.material)
        require_pairing(scenario, number)
        for k, cut in enumerate(operation.cuts):
            if cut.insert is not None:
                try:
                    with in_field(f"operations[{number}].cuts[{k}].insert"):
                        parse(cut.insert)
                except ValueError as error:
                    raise ScenarioError(str(error)) from None


def _outlines(scenario: Scenario) -> None:
    """Refuse a drawn part that bounds no solid before anything is measured along its outline."""
    for number, operation in enumerate(scenario.operations):
        if operation.workpiece.model is None:
            try:
                with in_field(f"operations[{number}].workpiece.outline"):
                    checked_outline(operation.workpiece.outline)
            except ValueError as error:
                raise ScenarioError(str(error)) from None


def _known(scenario: Scenario, field: str, name: str) -> None:
    with in_field(field):
        scenario.metal(name)
