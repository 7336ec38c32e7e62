"""The boring set-up in the half-plane: path, tools, everything that turns, clearance, remedy."""

from __future__ import annotations

import math
from dataclasses import replace

from shapely.geometry.base import BaseGeometry

from sim.assessment.bars import bars_of
from sim.assessment.figures.boring import BoringFigures
from sim.assessment.fixture import fixture_figures
from sim.assessment.images import JAWS, fixture_bodies, hardware_bodies, jaws_image
from sim.assessment.read_program import ReadProgram
from sim.base.errors import ScenarioError
from sim.base.kept import kept
from sim.clearance import advice, boring
from sim.clearance.advice import FixtureAdvice, Room
from sim.clearance.astray import roaming
from sim.clearance.limits import highest_speed, safe_plane, swing_diameter
from sim.clearance.result import Body
from sim.clearance.runs import Run, check_runs, sweeps
from sim.clearance.sweep import ToolSweep
from sim.clearance.tool import of_turning_tool
from sim.programs.machine_words import AtWork
from sim.setup.fixture import pin_circle
from sim.setup.parts import Parts
from sim.setup.rebore import LEAST_LAND

# Of the fixtures that are looked for where the scenario states none of the kind, mm (common practice, no source).
PLUG_THICKNESS, RING_THICKNESS, PIN = 12.0, 14.0, 16.0


def bore(parts: Parts) -> BoringFigures:
    """Return the boring path of all pockets, made or read from the shop's program, and its clearance.

    Raises
    ------
    ScenarioError
        If the tools or the passes cannot be as stated, or the program cannot be followed.
    """
    try:
        return _bored(parts)
    except ValueError as error:
        raise ScenarioError(f"boring: {error}") from None


def _bored(parts: Parts) -> BoringFigures:
    scenario = parts.scenario
    travel, wanted_clearance = scenario.boring.travel, scenario.limits.clearance
    stock, wanted = jaws_image(parts, travel, "stock"), jaws_image(parts, travel, "bored")
    bodies = (*hardware_bodies(parts, travel), *fixture_bodies(parts))
    ways = _path(parts, bodies, stock, wanted)
    laid = [sweeps(way.runs) for way in ways]
    inside = parts.direction == "inside"
    # What is advised shall clear the path in whichever way its program runs.
    reach = tuple(roaming(sweep) for sweeps_of_way in laid for sweep in sweeps_of_way)
    moves = any(run.moves for way in ways for run in way.runs)
    fixture = None if inside or not moves else _fixture(parts, reach, stock)
    outer = _outer_ring_top(parts, reach) if inside and moves else None
    images = [stock, *(body.image for body in bodies)]
    speed = max(_highest_speed(way, scenario.boring.speed) for way in ways)
    bearing = fixture_figures(parts, speed)
    material, feed = scenario.metal(scenario.soft_jaw.material), scenario.boring.passes.feed

    def figures(way: ReadProgram) -> BoringFigures:
        found = check_runs(way.runs, bodies, stock, wanted, wanted_clearance, stock_name=JAWS)
        path = tuple(move for run in way.runs for move in run.moves)
        return BoringFigures(
            file=way.file,
            runs=way.runs,
            drawn=way.tools,
            moves=path,
            bodies=bodies,
            stock=stock,
            wanted=wanted,
            stock_name=JAWS,
            clearance=found,
            zero=0.0 if scenario.boring.program is None else scenario.boring.program.zero,
            swing=swing_diameter(images),
            safe_plane=safe_plane(images, wanted_clearance),
            notes=way.notes,
            bars=bars_of(way.runs, way.tools, path, found, material, feed),
            fixture=fixture,
            outer_ring_top=outer,
            highest_speed=speed,
            bearing=bearing,
            advice=_words(parts, fixture, outer, speed),
            at_work=way.at_work if way.file else None,
            reading=way.reading,
        )

    shown, *others = map(figures, ways)
    return replace(shown, others=tuple(others))


def _highest_speed(way: ReadProgram, stated: float) -> float:
    """Return the highest speed of a path, that of the scenario (rev/min) where moves do not state theirs."""
    moves = [move for run in way.runs for move in run.moves]
    speed = highest_speed(moves)
    if not speed or any(move.speed is None for move in moves if move.kind == "feed"):
        return max(speed, stated)
    return speed


def _path(
    parts: Parts, bodies: tuple[Body, ...], stock: BaseGeometry, wanted: BaseGeometry
) -> tuple[ReadProgram, ...]:
    """Return the program in every way that it may run if there is one, else a made path."""
    scenario, stated = parts.scenario, parts.scenario.boring.program
    if stated is not None and parts.boring_text is not None:
        from sim.assessment.program import read_program

        return read_program(
            stated,
            "boring.program",
            parts.boring_text,
            parts.boring_tools,
            0.0,
            scenario.machine.speed_limit,
        ).readings
    (drawn,) = parts.boring_tools
    tool = of_turning_tool(drawn)
    moves = boring.boring_path(stock, wanted, tool, boring_plan(parts, _rapid_plane(parts, bodies)))
    return (ReadProgram("", (Run(tool, moves),), (drawn,), (), AtWork((), (), (), None, 0)),)


def _rapid_plane(parts: Parts, bodies: tuple[Body, ...]) -> float:
    passes, height = parts.scenario.boring.passes, parts.scenario.soft_jaw.height
    highest = max([height, *(body.image.bounds[3] for body in bodies if not body.image.is_empty)])
    return highest + max(passes.rapid_clearance, boring.APPROACH)


def boring_plan(parts: Parts, safe_plane: float) -> boring.BoringPlan:
    """Return how the jaws are turned, with the rapid moves across at a height, mm."""
    passes = parts.scenario.boring.passes
    return boring.BoringPlan(
        direction=parts.direction,
        depth_of_cut=passes.depth_of_cut,
        finish_allowance=passes.finish_allowance,
        safe_plane=safe_plane,
        speed=parts.scenario.boring.speed,
    )


def _fixture(parts: Parts, laid: tuple[ToolSweep, ...], stock: BaseGeometry) -> FixtureAdvice:
    """Return which ring (that of the scenario, or one on the inner screws) and which plug the path leaves room for."""
    scenario = parts.scenario
    room = Room(tuple(replace(sweep, moves=()) for sweep in laid), scenario.limits.clearance)
    if parts.ring is not None:
        thickness, pin = parts.ring.thickness, parts.ring.pin_diameter
        circle = parts.ring.pin_circle_diameter
    else:
        screws = scenario.soft_jaw.screws.positions
        thickness, pin = RING_THICKNESS, PIN
        circle = pin_circle(scenario, parts.place, screws.index(min(screws)), PIN)
    ring = scenario.soft_jaw.height, thickness, circle, pin
    # Bored inside the deepest pocket's back face, of which a part needs some to stand on.
    largest = math.inf
    if parts.direction == "outside":
        largest = min(pocket.diameter for pocket in parts.pockets) - 2.0 * LEAST_LAND
    return _fixture_in(room, ring, stock, scenario.limits.floor, largest)


@kept(32)  # the same path is judged under other pressures, speeds and cuts
def _fixture_in(
    room: Room, ring: tuple[float, float, float, float], stock: BaseGeometry, floor: float, largest: float
) -> FixtureAdvice:
    plug = advice.plug_advice(room, stock, thickness=PLUG_THICKNESS, wall=floor, largest=largest)
    return advice.fixture_advice(advice.ring_advice(room, *ring), plug)


def _outer_ring_top(parts: Parts, laid: tuple[ToolSweep, ...]) -> float | None:
    if parts.outer_ring is None:
        return None
    return advice.outer_ring_top(Room(laid, parts.scenario.limits.clearance), parts.outer_ring.inner_diameter)


def _words(parts: Parts, fixture: FixtureAdvice | None, outer: float | None, speed: float) -> str:
    """Say which fixture this path leaves room for; empty where there is nothing to say."""
    if outer is not None:
        if math.isinf(outer):
            return "This path is cleared by an outer ring of any height."
        return (
            f"This path is cleared by an outer ring whose upper face lies at most {outer:.1f} mm above the "
            "serrated plane."
        )
    if fixture is None:
        return ""
    fits = []
    ring, plug = fixture.ring, fixture.plug
    if ring.fits:
        fits.append(
            f"a ring with an inner diameter of {ring.least_inner_diameter:.1f} mm or more "
            f"({ring.most_inner_diameter:.1f} mm at most for its pins){_ring_limits(parts, speed)}"
        )
    if plug.fits:
        fits.append(
            f"a plug of {plug.diameter:.1f} mm whose upper face lies at most {plug.top:.1f} mm above the serrated "
            f"plane, in a seat pre-bored to {plug.pre_bore_diameter:.1f} mm, {plug.seat_depth:.1f} mm deep"
        )
    if not fits:
        return "Neither a ring on these screws nor a plug below the pockets clears this path."
    return f"This path is cleared by {', or by '.join(fits)}."


def _ring_limits(parts: Parts, speed: float) -> str:
    """Say whether boring keeps within the ring's own limits; empty if it does."""
    boring_table, limits = parts.scenario.boring, parts.scenario.limits
    over = []
    if boring_table.pressure > limits.ring_pressure:
        over.append(f"{10.0 * limits.ring_pressure:.1f} bar")
    if speed > limits.ring_speed:
        over.append(f"{limits.ring_speed:.0f} rev/min")
    return f", bored with {' and '.join(over)} at most" if over else ""
