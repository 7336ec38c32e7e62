"""The paths that bore the jaws, in the order in which they are run: a fixture's seat, then the pockets."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from sim.assessment.boring import boring_plan
from sim.assessment.images import JAWS, hardware_bodies, jaws_image
from sim.assessment.results import Assessment
from sim.base.errors import ScenarioError
from sim.clearance.boring import boring_path
from sim.clearance.runs import Run, check_runs
from sim.clearance.tool import of_turning_tool
from sim.programs.path import Move
from sim.setup.fixture import fixture_seat

# Over the jaws while a seat is bored: what holds the jaws then is not stated (common practice, no source).
ROOM_FOR_A_RING = 30.0  # mm


@dataclass(frozen=True, slots=True)
class BoringPath:
    """A made path.

    Attributes
    ----------
    what : {'seat', 'pockets'}
    moves : tuple of Move
        Of the tip, in the frame of the chuck, mm.
    """

    what: Literal["seat", "pockets"]
    moves: tuple[Move, ...]

    @property
    def safe_plane(self) -> float:
        """Height of the rapid moves across, above the serrated plane, mm."""
        return max(move.end[1] for move in self.moves)


def boring_paths(assessment: Assessment) -> tuple[BoringPath, ...]:
    """Return the paths that are made from pockets and passes; that of a fixture's seat first.

    Raises
    ------
    ScenarioError
        If the scenario states a program of the shop, or nothing is turned, or the seat's path touches something.
    """
    if assessment.scenario.boring.program is not None:
        raise ScenarioError(
            "boring.program states the shop's own program; one is written where only boring.tool and passes are stated"
        )
    moves = assessment.boring.moves
    if not moves:
        raise ScenarioError("pockets: nothing is turned out of these jaws, so there is no program to write")
    pockets = BoringPath("pockets", moves)
    return (pockets,) if fixture_seat(assessment.scenario) is None else (_seat(assessment), pockets)


def _seat(assessment: Assessment) -> BoringPath:
    """Return the path that turns the fixture's seat into the blank jaws; what they are loaded against is not stated."""
    parts = assessment.parts
    travel = parts.scenario.boring.travel
    blank, seated = jaws_image(parts, travel, "blank"), jaws_image(parts, travel, "stock")
    (drawn,) = parts.boring_tools
    tool = of_turning_tool(drawn)
    plan = boring_plan(parts, parts.scenario.soft_jaw.height + ROOM_FOR_A_RING)
    try:
        moves = boring_path(blank, seated, tool, plan)
    except ValueError as error:
        raise ScenarioError(f"boring.fixture: its seat cannot be bored, {error}") from None
    wanted = parts.scenario.limits.clearance
    found = check_runs(
        (Run(tool, moves),), hardware_bodies(parts, travel), blank, seated, wanted, stock_name=JAWS
    )
    if found.touches:
        touch = found.touches[0]
        raise ScenarioError(
            f"boring.fixture: the path of its seat is not clear, {touch.part} meets {touch.body} at a diameter of "
            f"{2.0 * touch.tool_at[0]:.1f} mm"
        )
    return BoringPath("seat", tuple(replace(move, stage=f"seat, {move.stage}") for move in moves))
