"""Boring bars of a path: how slender they are, and how far they bend under the cut that bends them most.

The force is Kienzle's for a worn edge at the cutting speed where it is highest, so that no change of speed makes a bar
look stiffer than it is. Across the bar act the cutting force and the larger of feed and passive force.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from meshes.boring_bar import BoringBar
from meshes.insert import Insert
from meshes.turning_tool import TurningTool
from sim.assessment.figures.path import BarFigures
from sim.base.tables import Material
from sim.clearance.result import ClearanceResult
from sim.clearance.runs import Run
from sim.mechanics.cutting import CutForces, bar_bend, kienzle_forces
from sim.mechanics.kienzle import CutMetal, cut_metal
from sim.mechanics.threading import thread_forces
from sim.programs.path import Move
from sim.scenario.cut_limits import LEAST_FEED

WEAR = 1.3  # of a worn edge, as for cuts that state none
SLOWEST = 0.0  # rev/min: the correction for speed then is at its highest
# MPa; steel as in `sim/data/materials.toml`, cemented carbide of 14.7 g/cm3 630 GPa (a public table, omegaslate.com);
# bars have more cobalt, so an eighth less is taken (assumption, no source): a bar bends the more. The chamber of a
# damper lies near the head, where there is little moment: it is not taken off.
MODULUS = {"steel": 210_000.0, "carbide": 550_000.0, "damped steel": 210_000.0}


def bars_of(
    runs: Sequence[Run],
    drawn: Sequence[TurningTool],
    moves: Sequence[Move],
    found: ClearanceResult,
    material: Material,
    fallback_feed: float,
) -> tuple[BarFigures, ...]:
    """Return what each bar of a path does, in the order of their first call.

    Parameters
    ----------
    runs, drawn : sequences
        Of the path, and the dimensions of the tool of each run.
    moves : sequence of Move
        Of all runs.
    found : ClearanceResult
        With the depth of cut of each move.
    material : Material
        What is cut.
    fallback_feed : float
        Of moves that state none, mm/rev.
    """
    metal = cut_metal(material)
    worst: dict[str, BarFigures] = {}
    first = 0
    for run, tool in zip(runs, drawn, strict=True):
        if isinstance(tool.carrier, BoringBar):
            for number in [None, *range(first, first + len(run.moves))]:
                depth = 0.0 if number is None else float(found.depth_of_cut[number])
                if number is not None and not depth > 0.0:
                    continue
                forces = None
                if number is not None:
                    forces = _forces(tool, moves[number], depth, metal, moves[number].feed or fallback_feed)
                figures = _figures(run.tool.name, tool.carrier, number, forces)
                known = worst.get(figures.tool)
                if known is None or figures.bend > known.bend:
                    worst[figures.tool] = figures
        first += len(run.moves)
    return tuple(worst.values())


def _forces(tool: TurningTool, move: Move, depth: float, metal: CutMetal, feed: float) -> CutForces:
    """Return the forces of one move; a round insert counts as one with a straight edge across the feed."""
    if move.thread is not None:
        # Its groove is at most as wide as its pitch.
        return thread_forces(
            metal,
            SLOWEST,
            pitch=feed, infeed=depth, width=feed, rake_angle=metal.rake, wear_factor=WEAR,
            diameter=2.0 * max(abs(move.start[0]), abs(move.end[0])), height=0.0, feed_towards="chuck", inside=True,
        )  # fmt: skip
    edge = isinstance(tool.cutter, Insert) and tool.cutter.shape != "R"
    return kienzle_forces(
        metal,
        SLOWEST,
        feed=max(feed, LEAST_FEED),  # a smaller one only rubs
        depth_of_cut=depth,
        approach_angle=tool.approach_angle if edge else 0.5 * math.pi,
        rake_angle=metal.rake,
        wear_factor=WEAR,
        diameter=2.0 * max(abs(move.start[0]), abs(move.end[0])),
        height=0.0,
        feed_towards="chuck",
        kind="boring",
    )


def _figures(name: str, bar: BoringBar, move: int | None, forces: CutForces | None) -> BarFigures:
    tangential = 0.0 if forces is None else forces.tangential
    radial = 0.0 if forces is None else max(forces.passive, forces.feed)
    modulus = MODULUS[bar.shank]
    return BarFigures(
        tool=name,
        shank=bar.shank,
        diameter=bar.diameter,
        reach=bar.reach,
        move=move,
        tangential=tangential,
        radial=radial,
        bend=bar_bend(math.hypot(tangential, radial), bar.reach, modulus, bar.diameter),
        push=bar_bend(radial, bar.reach, modulus, bar.diameter),
    )
