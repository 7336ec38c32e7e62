"""A setup with its pockets at the limits of their sizes: what may come off the tool."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from sim.base.errors import ScenarioError
from sim.scenario import BoredPocket, Scenario
from sim.setup.refusal import refuse

MOST_TOLERANCES = 4  # of one set of jaws: each doubles the setups that are judged
TOLERANCES = {"diameter": "diameter_tolerance", "depth": "depth_tolerance"}


def toleranced(scenario: Scenario) -> list[tuple[int, str]]:
    """Return which sizes have a tolerance: number of the pocket, and name of the size."""
    return [
        (number, size)
        for number, pocket in enumerate(scenario.pockets)
        for size, field in TOLERANCES.items()
        if getattr(pocket, field) is not None
    ]


def limits_of(pocket: BoredPocket, size: str) -> tuple[float, float]:
    """Return the lower and the upper limit (mm) of a size that has a tolerance."""
    stated, within = getattr(pocket, size), getattr(pocket, TOLERANCES[size])
    return stated - within.below, stated + within.above


def limit_setups(scenario: Scenario) -> tuple[Scenario, ...]:
    """Return the setup with every toleranced size at either limit, in all their combinations, no tolerance left in it.

    Empty where nothing has a tolerance; the setup as stated is none of them.
    """
    sizes = toleranced(scenario)
    if not sizes:
        return ()
    stated = tuple(getattr(scenario.pockets[number], size) for number, size in sizes)
    ends = [tuple(dict.fromkeys(limits_of(scenario.pockets[number], size))) for number, size in sizes]
    return tuple(_bored_to(scenario, sizes, values) for values in product(*ends) if values != stated)


def limit_told(scenario: Scenario, limit: Scenario) -> str:
    """Return in words which sizes a setup at limits has, where it is one of `limit_setups`."""
    told = []
    for number, size in toleranced(scenario):
        pocket = limit.pockets[number]
        words = f"bored Ø{pocket.diameter:.3f} mm" if size == "diameter" else f"{pocket.depth:.3f} mm deep"
        told.append(f"{pocket.name} {words}")
    return ", ".join(told)


def require_limits(scenario: Scenario) -> Iterator[Scenario]:
    """Refuse tolerances that are no limits; yield the setups at them, each of which must be possible, too.

    Raises
    ------
    ScenarioError
        Names the field, what was found and what is allowed, without the file.
    """
    sizes = toleranced(scenario)
    if len(sizes) > MOST_TOLERANCES:
        raise ScenarioError(
            f"pockets must have at most {MOST_TOLERANCES} tolerances, each of which doubles what is judged, found "
            f"{len(sizes)}"
        )
    for number, size in sizes:
        low, _ = limits_of(scenario.pockets[number], size)
        if low <= 0.0:
            refuse(
                f"pockets[{number}].{TOLERANCES[size]}.below",
                f"must be less than the {size}, {getattr(scenario.pockets[number], size):g} mm, found "
                f"{getattr(scenario.pockets[number], TOLERANCES[size]).below:g} mm",
            )
    yield from limit_setups(scenario)


def _bored_to(scenario: Scenario, sizes: list[tuple[int, str]], values: tuple[float, ...]) -> Scenario:
    pockets = list(scenario.pockets)
    for (number, size), value in zip(sizes, values, strict=True):
        pockets[number] = pockets[number].model_copy(update={size: value})
    plain = [one.model_copy(update=dict.fromkeys(TOLERANCES.values())) for one in pockets]
    found: Scenario = scenario.model_copy(update={"pockets": tuple(plain)})
    return found
