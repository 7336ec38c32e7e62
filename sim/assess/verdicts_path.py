"""Verdicts on a cutting path, made or read from a program: what touches, how near, what is left, where rapids run."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from meshes.tool_holder import ToolHolder
from sim.assess.rule import at_least, at_most
from sim.assessment import PathFigures, Verdict
from sim.clearance.limits import rapids_across
from sim.clearance.result import Touch
from sim.clearance.touch import TOUCH
from sim.parts import Parts
from sim.rounding import near

PRACTICE = "common practice"
LEFTOVER = 0.5  # mm, what nose radius and groove corners leave (common practice, no source)
GOUGE = 0.02  # mm
ROUNDING = 1e-4  # mm, of coordinates in a program
OFF_THE_LINE = (
    ", only if the control runs the axes of a rapid move each at its own rate (state rapid = 'straight' in the "
    "program's table if it runs a line, else rapid = 'dogleg' and rapid_rates)"
)
APART = ("gouge", "depth of cut")  # touches that have a verdict of their own
# mm by which the head of a real bar may lie further back than the assumed one: between tool makers' heads the insert
# stands proud by 0.5 to 1.5 mm (common practice, no source). A deeper touch is none of the assumption's.
HEAD_DOUBT = 1.0
BY_ASSUMPTION = (
    " Only the simplified head touches, which is assumed from the bar's diameter, f and the insert: state the least "
    "bore that the bar enters (least_bore), or the holder's outline as a plate of a program's tool."
)
BY_SHANK = (
    " Only the holder with a square shank touches, whose head is simplified on the large side: state its outline as a "
    "plate."
)
BY_HEAD = "This is the simplified head, assumed from the bar's diameter, f and the insert: see least_bore."


def path_verdicts(parts: Parts, path: PathFigures, stage: str, shape: str, remedy: str) -> Iterator[Verdict]:
    """Yield the verdicts on a path.

    Parameters
    ----------
    parts : Parts
    path : PathFigures
    stage : str
    shape : str
        What is made: 'pocket' or 'part'.
    remedy : str
        What to change where the tool touches something or comes too near, one sentence.
    """
    yield _contact(path, stage, remedy)
    yield _clearance(parts, path, stage, remedy)
    if path.wanted is not None:
        yield _too_deep(path, stage, shape)
        yield _left(path, stage, shape)
    yield from _depth(path, stage)
    if path.moves:
        yield _rapid_plane(parts, path, stage)


def place(path: PathFigures, move: int) -> str:
    """Say which move it is: its number, and its block and line in the program."""
    found = path.moves[move]
    block = [f"N{found.block}"] if found.block is not None and path.file else []
    line = [f"line {found.line} of {path.file}"] if found.line is not None and path.file else []
    named = f" ({', '.join(block + line)})" if block or line else ""
    tool = f", {path.tool_of(move).name}" if len(path.runs) > 1 else ""
    return f"move {move + 1}{named}{tool}"


def where(path: PathFigures, touch: Touch) -> str:
    """Say in words what touches what, where and in which move."""
    return (
        f"{touch.part} touches {touch.body} in {place(path, touch.move)} at radius {touch.place[0]:.1f} mm, "
        f"z {touch.place[1]:.1f} mm, {touch.depth:.1f} mm deep{OFF_THE_LINE if touch.astray else ''}"
    )


def _contact(path: PathFigures, stage: str, remedy: str) -> Verdict:
    found = [touch for touch in path.clearance.touches if touch.kind not in APART]
    if not found:
        return Verdict(
            "tool contact",
            stage,
            "pass",
            0.0,
            0.0,
            "touches",
            "no contact allowed",
            f"nothing but the insert's cut touches in {len(path.moves)} moves.",
            at_least=False,
        )
    doubtful = _doubtful(path, found)
    said = BY_ASSUMPTION if _only_assumed(path, found) else BY_SHANK if _only_shank(path, found) else ""
    kinds = Counter(touch.kind for touch in found)
    counted = ", ".join(f"{count} {kind}{'s' if count > 1 else ''}" for kind, count in kinds.items())
    sure = [touch for touch in found if not touch.astray]
    if sure and len(sure) < len(found):
        counted += f", {len(found) - len(sure)} of them off the line of a rapid move"
    return Verdict(
        "tool contact",
        stage,
        "warn" if doubtful else "fail",
        float(len(found)),
        0.0,
        "touches",
        "no contact allowed",
        f"{where(path, (sure or found)[0])} ({(sure or found)[0].kind}); in all {counted}.{said}",
        remedy,
        at_least=False,
    )


def _only_assumed(path: PathFigures, found: Sequence[Touch]) -> bool:
    """Tell whether nothing touches but parts of tools whose shape nobody stated."""
    return all(touch.part in path.tool_of(touch.move).assumed for touch in found)


def _only_shank(path: PathFigures, found: Sequence[Touch]) -> bool:
    """Tell whether nothing touches but holders whose outline was made from the dimensions of a square shank."""
    carriers = [path.drawn[path.run_of(touch.move)].carrier for touch in found]
    return all(isinstance(one, ToolHolder) and one.simplified for one in carriers) and all(
        touch.part == "holder" for touch in found
    )


def _doubtful(path: PathFigures, found: Sequence[Touch]) -> bool:
    """Tell whether a usual head could clear these touches: all by assumed shapes, none in a rapid move, none deep."""
    slight = all(touch.kind != "rapid contact" and touch.depth <= HEAD_DOUBT for touch in found)
    return slight and _only_assumed(path, found)


def _clearance(parts: Parts, path: PathFigures, stage: str, remedy: str) -> Verdict:
    result, limit = path.clearance, parts.scenario.limits.clearance
    move = result.least_move
    if move < 0:
        return Verdict("tool clearance", stage, "pass", limit, limit, "mm", PRACTICE, "nothing is to be cut.")
    least = min(result.least_clearance, 1e6)
    touching = [touch for touch in result.touches if touch.kind not in APART]
    met = np.flatnonzero(result.clearance <= 0.0).tolist()
    by_head = all(result.part[k] in path.tool_of(k).assumed for k in met or [move])
    said = f" {BY_HEAD}" if by_head and not touching and least < limit else ""
    return at_least(
        "tool clearance",
        stage,
        least,
        limit,
        "mm",
        basis=f"{PRACTICE}: wanted clearance of the scenario",
        message=(
            f"least clearance {near(least, limit, 2)} mm, {result.part[move]} to {result.body[move]}, "
            f"{place(path, move)}{OFF_THE_LINE if result.astray[move] else ''}.{said}"
        ),
        advice="As for tool contact." if touching else remedy,
        otherwise="warn"
        if least > 0.0 or (by_head and bool(touching) and _doubtful(path, touching))
        else "fail",
    )


def _too_deep(path: PathFigures, stage: str, shape: str) -> Verdict:
    result = path.clearance
    first = next((touch for touch in result.touches if touch.kind == "gouge"), None)
    at = "" if first is None or result.gouge_depth <= GOUGE else f", first in {place(path, first.move)}"
    return at_most(
        f"cut below the {shape}",
        stage,
        result.gouge_depth,
        GOUGE,
        "mm",
        basis=f"the {shape} as stated",
        message=f"the path cuts {near(result.gouge_depth, GOUGE, 3)} mm below the {shape}{at}.",
        advice=f"Use an insert or an approach angle that follows the {shape}'s contour."
        if not path.file
        else f"Correct the program or the tool's nose radius, or state the {shape} as it shall be.",
    )


def _left(path: PathFigures, stage: str, shape: str) -> Verdict:
    return at_most(
        f"stock left {'in' if shape == 'pocket' else 'on'} the {shape}",
        stage,
        path.clearance.leftover_depth,
        LEFTOVER,
        "mm",
        basis=f"{PRACTICE}: nose radius in a relieved corner",
        message=f"the path leaves {near(path.clearance.leftover_depth, LEFTOVER, 2)} mm at most beyond the "
        f"{shape} as stated.",
        advice="Choose a smaller nose radius, a slimmer insert or a wider relief groove."
        if not path.file
        else f"Complete the program, or state the {shape} as it shall be.",
        otherwise="warn",
    )


def _depth(path: PathFigures, stage: str) -> Iterator[Verdict]:
    """Yield the verdict on the depth of cut for the tool that comes nearest to its limit, if any has one."""
    worst: tuple[float, int, float] | None = None
    start = 0
    for run in path.runs:
        depths = path.clearance.depth_of_cut[start : start + len(run.moves)]
        if run.depth_limit is not None and len(depths):
            move = int(np.argmax(depths))
            share = float(depths[move]) / run.depth_limit
            if worst is None or share > worst[0]:
                worst = share, start + move, run.depth_limit
        start += len(run.moves)
    if worst is None:
        return
    _, move, limit = worst
    depth = float(path.clearance.depth_of_cut[move])
    yield at_most(
        "depth of cut",
        stage,
        depth,
        limit + TOUCH,
        "mm",
        basis="largest_depth_of_cut of the tool",
        message=f"{near(depth, limit, 2)} mm are cut in {place(path, move)}; the tool takes {limit:g} mm.",
        advice="Take more passes.",
    )


def _rapid_plane(parts: Parts, path: PathFigures, stage: str) -> Verdict:
    limit = parts.scenario.limits.clearance
    below = rapids_across(path.moves, path.safe_plane)
    plane = f"z = {path.safe_plane:.1f} mm, the highest body and {limit:g} mm"
    near = np.minimum(path.clearance.clearance, path.clearance.approach)[below]
    message = f"no rapid move runs across below {plane}."
    if len(below):
        move, least = int(below[int(near.argmin())]), float(near.min())
        shown = f"{least:.2f} mm away" if math.isfinite(least) else "nothing near"
        run = "rapid move runs" if len(below) == 1 else "rapid moves run"
        message = f"{len(below)} {run} across below {plane}; nearest in {place(path, move)}, {shown}."
    return at_most(
        "rapid plane",
        stage,
        float((near < limit - ROUNDING).sum()),
        0.0,
        "moves",
        basis=f"{PRACTICE}: rapid moves run across above what turns, or keep the wanted clearance",
        message=message,
        advice=f"Run across above z = {path.safe_plane:.1f} mm, or keep {limit:g} mm off.",
        otherwise="warn",
    )
