"""Verdicts on a cutting path, made or read from a program: what touches, how near, what is left, where rapids run."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from meshes.insert import Insert
from meshes.tool_holder import ToolHolder
from meshes.turning_tool import TurningTool
from sim.assessment.edges import BEYOND, DEPTH_BASIS, usable_depth
from sim.assessment.figures.path import PathFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rule import Rule
from sim.base.rounding import at_least_text, near
from sim.clearance.left_over import face_layer
from sim.clearance.limits import rapids_across
from sim.clearance.result import Touch
from sim.clearance.tool_carried import CARRIER
from sim.clearance.touch import TOUCH
from sim.setup.parts import Parts

PRACTICE = "common practice"
# mm, in a corner: a nose of 1.6 mm leaves nearly as much in a square one, 1.6 (1 - 1/sqrt 2); beyond, an edge of the
# part stands on it (common practice, no source).
LEFTOVER = 0.5
GOUGE = 0.02  # mm
# mm, a layer on a face: as little as may be cut too deep. Beyond the second a pocket has another diameter than the one
# that grip, travel and contact are worked out for (of the order of a part's tolerance), and a part is off by a few
# tenths (common practice, no source).
LAYER = 0.02
LAYER_FAILS = {"pocket": 0.05, "part": 0.3}
ROUNDING = 1e-4  # mm, of coordinates in a program
FAR = 1e6  # mm, shown where a tool comes near nothing
OFF_THE_LINE = (
    ", only if the control runs the axes of a rapid move each at its own rate (state rapid = 'straight' in the "
    "program's table if it runs a line, else rapid = 'dogleg' and rapid_rates)"
)
APART = ("gouge", "depth of cut")  # touches that have a verdict of their own
BY_ASSUMPTION = (
    " Only the simplified head touches, which is assumed from the bar's diameter, f and the insert: state the least "
    "bore that the bar enters (least_bore, from the tool maker's table), or the true outline of its head (head)."
)
BY_LEAST_BORE = (
    " Only the simplified head touches, which is as large as the stated least bore (least_bore) allows: use a bar for "
    "a smaller bore, or state the true outline of its head (head)."
)
BY_TILT = (
    " Only the flank of an insert without clearance touches, whose tilt in the holder is assumed: state the tool as a "
    "bar with its least bore, if it is one."
)
BY_SHANK = (
    " Only the holder with a square shank touches, whose head is simplified on the large side: state its outline as a "
    "plate, or that of its head (head)."
)
BY_CARRIER = (
    " Only what carries the tool behind its stated reach or length touches: for a bar a sleeve of twice its diameter "
    "is assumed, a holder is assumed to go on as it ends. Check reach and length, or state the turret's side view "
    "(turret)."
)
BY_HEAD = "This is the simplified head, assumed from the bar's diameter, f and the insert: see least_bore."

TOOL_CONTACT = Rule(
    key="tool_contact",
    name="tool contact",
    unit="touches",
    at_least=False,
    basis="no contact allowed",
    background="exact in the half-plane; the head of a bar is assumed as large as its least bore allows, and "
    "where it alone touches it fails and the message says so",
    depends=frozenset({"size", "geometry"}),
    view="touch",
    asks="does bar, insert or head meet anything but the metal that it shall cut?",
)
TOOL_CLEARANCE = Rule(
    key="tool_clearance",
    name="tool clearance",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: wanted clearance of the scenario",
    background="exact in the half-plane; the head of a bar is assumed as large as its least bore allows, and "
    "where it alone touches it fails and the message says so",
    depends=frozenset({"size", "geometry"}),
    view="nearest",
    asks="does the tool keep clear of jaws, fixture, screws and chuck in any angular position?",
)
CUT_BELOW_THE_POCKET = Rule(
    key="cut_below_the_pocket",
    name="cut below the pocket",
    unit="mm",
    at_least=False,
    basis="the pocket as stated",
    background="the shape of the scenario; common practice: half a millimetre in a corner, 0.02 mm on a face; "
    "from 0.05 mm on a face of a pocket and 0.3 mm on one of a part it fails",
    depends=frozenset({"geometry"}),
    view="cut too deep",
    asks="does the path cut deeper than the pocket as stated?",
)
CUT_BELOW_THE_PART = Rule(
    key="cut_below_the_part",
    name="cut below the part",
    unit="mm",
    at_least=False,
    basis="the part as stated",
    background="the shape of the scenario; common practice: half a millimetre in a corner, 0.02 mm on a face; "
    "from 0.05 mm on a face of a pocket and 0.3 mm on one of a part it fails",
    depends=frozenset({"geometry"}),
    view="cut too deep",
    asks="does the program cut deeper than the part as stated?",
)
STOCK_LEFT_IN_THE_POCKET = Rule(
    key="stock_left_in_the_pocket",
    name="stock left in the pocket",
    unit="mm",
    at_least=False,
    basis=f"the pocket as stated; {PRACTICE}: what a nose radius leaves in a corner, {LAYER:g} mm on a face",
    background="the shape of the scenario; common practice: half a millimetre in a corner, 0.02 mm on a face; "
    "from 0.05 mm on a face of a pocket and 0.3 mm on one of a part it fails",
    depends=frozenset({"geometry"}),
    view="stock left",
    asks="does the path leave metal in the pocket?",
)
STOCK_LEFT_ON_THE_PART = Rule(
    key="stock_left_on_the_part",
    name="stock left on the part",
    unit="mm",
    at_least=False,
    basis=f"the part as stated; {PRACTICE}: what a nose radius leaves in a corner, {LAYER:g} mm on a face",
    background="the shape of the scenario; common practice: half a millimetre in a corner, 0.02 mm on a face; "
    "from 0.05 mm on a face of a pocket and 0.3 mm on one of a part it fails",
    depends=frozenset({"geometry"}),
    view="stock left",
    asks="does the program leave metal on the part?",
)
RAPID_PLANE = Rule(
    key="rapid_plane",
    name="rapid plane",
    unit="moves",
    at_least=False,
    basis=f"{PRACTICE}: rapid moves run across above what turns, or keep the wanted clearance",
    depends=frozenset({"size", "geometry"}),
    view="rapid move",
    asks="do rapid moves run across above what turns, or keep off it?",
)
DEPTH_OF_CUT = Rule(
    key="depth_of_cut",
    name="depth of cut",
    unit="mm",
    at_least=False,
    basis="largest_depth_of_cut of the tool; what the insert's edge takes (common practice)",
    depends=frozenset({"geometry"}),
    view="deepest move",
    asks="does a tool cut deeper than it may?",
)
CUT_BELOW = {"pocket": CUT_BELOW_THE_POCKET, "part": CUT_BELOW_THE_PART}
STOCK_LEFT = {"pocket": STOCK_LEFT_IN_THE_POCKET, "part": STOCK_LEFT_ON_THE_PART}


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


def tool_clearance_and_limit(least: float, wanted: float) -> tuple[float, float]:
    """Return how near a tool comes, as it is shown, and how far off it must stay, mm."""
    return min(least, FAR), wanted


def cut_below_the_pocket_and_limit(depth: float) -> tuple[float, float]:
    """Return how deep a path cuts below the shape as stated and how deep it may, mm."""
    return depth, GOUGE


cut_below_the_part_and_limit = cut_below_the_pocket_and_limit


def stock_left_in_the_pocket_and_limit(depth: float, layer: float) -> tuple[float, float]:
    """Return what is left of the stock and what may be, mm: the layer on a face if it counts, else the depth."""
    return (layer, LAYER) if on_a_face(layer) else (depth, LEFTOVER)


stock_left_on_the_part_and_limit = stock_left_in_the_pocket_and_limit


def on_a_face(layer: float) -> bool:
    """Tell whether what is left on a face is a layer (mm) that counts."""
    return layer > LAYER


def depth_of_cut_and_limit(depth: float, most: float) -> tuple[float, float]:
    """Return how deep a tool cuts and how deep it may, mm."""
    return depth, most + TOUCH


def place(path: PathFigures, move: int, *, name_tool: bool = True) -> str:
    """Say which move it is: its number, its block and line in the program, and the tool where there are several."""
    found = path.moves[move]
    block = [f"N{found.block}"] if found.block is not None and path.file else []
    line = [f"line {found.line} of {path.file}"] if found.line is not None and path.file else []
    named = f" ({', '.join(block + line)})" if block or line else ""
    tool = f", {path.tool_of(move).name}" if name_tool and len(path.runs) > 1 else ""
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
        message = f"nothing but the insert's cut touches in {len(path.moves)} moves."
        return TOOL_CONTACT.given(stage, "pass", 0.0, 0.0, message=message)
    said = _simplified(path, found)
    kinds = Counter(touch.kind for touch in found)
    counted = ", ".join(f"{count} {kind}{'s' if count > 1 else ''}" for kind, count in kinds.items())
    sure = [touch for touch in found if not touch.astray]
    if sure and len(sure) < len(found):
        counted += f", {len(found) - len(sure)} of them off the line of a rapid move"
    return TOOL_CONTACT.given(
        stage,
        "fail",
        float(len(found)),
        0.0,
        message=f"{where(path, (sure or found)[0])} ({(sure or found)[0].kind}); in all {counted}.{said}",
        advice=remedy,
    )


def _simplified(path: PathFigures, found: Sequence[Touch]) -> str:
    """Say which simplifications these touches hang on; empty where one of them hangs on none."""
    said: dict[str, None] = {}
    for touch in found:
        carrier = path.drawn[path.run_of(touch.move)].carrier
        if touch.part == CARRIER:
            said[BY_CARRIER] = None
        elif touch.part in path.tool_of(touch.move).assumed:
            if isinstance(carrier, ToolHolder):
                said[BY_TILT] = None
            else:
                said[BY_ASSUMPTION if carrier.stated_least_bore is None else BY_LEAST_BORE] = None
        elif isinstance(carrier, ToolHolder) and carrier.simplified and touch.part == "holder":
            said[BY_SHANK] = None
        else:
            return ""
    return "".join(said)


def _clearance(parts: Parts, path: PathFigures, stage: str, remedy: str) -> Verdict:
    result, wanted = path.clearance, parts.scenario.limits.clearance
    move = result.least_move
    if move < 0:
        nothing = tool_clearance_and_limit(wanted, wanted)
        return TOOL_CLEARANCE.given(stage, "pass", *nothing, message="nothing is to be cut.", basis=PRACTICE)
    least, limit = tool_clearance_and_limit(result.least_clearance, wanted)
    touching = [touch for touch in result.touches if touch.kind not in APART]
    met = np.flatnonzero(result.clearance <= 0.0).tolist()
    by_head = all(result.part[k] in path.tool_of(k).assumed - {CARRIER} for k in met or [move])
    said = f" {BY_HEAD}" if by_head and not touching and least < limit else ""
    return TOOL_CLEARANCE.verdict(
        stage,
        least,
        limit,
        message=(
            f"least clearance {near(least, limit, 2)} mm, {result.part[move]} to {result.body[move]}, "
            f"{place(path, move)}{OFF_THE_LINE if result.astray[move] else ''}.{said}"
        ),
        advice="As for tool contact." if touching else remedy,
        otherwise="warn" if least > 0.0 else "fail",
    )


def _too_deep(path: PathFigures, stage: str, shape: str) -> Verdict:
    result = path.clearance
    depth, most = cut_below_the_pocket_and_limit(result.gouge_depth)
    first = next((touch for touch in result.touches if touch.kind == "gouge"), None)
    at = "" if first is None or depth <= most else f", first in {place(path, first.move)}"
    return CUT_BELOW[shape].verdict(
        stage,
        depth,
        most,
        message=f"the path cuts {near(depth, most, 3)} mm below the {shape}{at}.",
        advice=f"Use an insert or an approach angle that follows the {shape}'s contour."
        if not path.file
        else f"Correct the program or the tool's nose radius, or state the {shape} as it shall be.",
    )


def _left(path: PathFigures, stage: str, shape: str) -> Verdict:
    """Judge what is left over: in corners by its depth, on faces by the thickness of the layer."""
    deepest = path.clearance.leftover_depth
    layer = face_layer(path.clearance.leftover, deepest) if deepest <= LEFTOVER else 0.0
    left, most = stock_left_in_the_pocket_and_limit(deepest, layer)
    on_face = on_a_face(layer)
    return STOCK_LEFT[shape].verdict(
        stage,
        left,
        most,
        message=(
            f"the path leaves a layer of {near(left, most, 3)} mm on a face of the {shape} as stated."
            if on_face
            else f"the path leaves {near(left, most, 2)} mm at most beyond the {shape} as stated."
        ),
        advice="Choose a smaller nose radius, a slimmer insert or a wider relief groove."
        if not path.file
        else f"Complete the program, or state the {shape} as it shall be.",
        otherwise="warn" if on_face and layer <= LAYER_FAILS[shape] else "fail",
    )


def _depth(path: PathFigures, stage: str) -> Iterator[Verdict]:
    """Yield the verdict on the depth of cut for the tool that comes nearest to its limit, if any has one.

    A tool's own limit is what its maker or the shop states; an insert's edge sets another, whatever is stated.
    """
    found: list[Verdict] = []
    start = 0
    for run, drawn in zip(path.runs, path.drawn, strict=True):
        depths = path.clearance.depth_of_cut[start : start + len(run.moves)]
        if len(depths):
            move = start + int(np.argmax(depths))
            found += _depths(path, stage, move, run.depth_limit, drawn)
        start += len(run.moves)
    if found:  # what is stated comes first where both are alike
        yield min(found, key=lambda v: v.rank)


def _depths(
    path: PathFigures, stage: str, move: int, stated: float | None, drawn: TurningTool
) -> Iterator[Verdict]:
    depth = float(path.clearance.depth_of_cut[move])
    if stated is not None:
        yield DEPTH_OF_CUT.verdict(
            stage,
            *depth_of_cut_and_limit(depth, stated),
            basis="largest_depth_of_cut of the tool",
            message=f"{near(depth, stated, 2)} mm are cut in {place(path, move)}; the tool takes {stated:g} mm.",
            advice="Take more passes.",
        )
    if isinstance(drawn.cutter, Insert):
        # As wide as the edge that is engaged, also where it only skims a wall with a thin chip: so the most counts, and
        # warns. A cut deeper than the edge cannot pass: the holder touches.
        most = BEYOND * usable_depth(drawn.cutter, drawn.approach_angle)
        name, edge = drawn.cutter.designation, drawn.cutter.edge_length
        yield DEPTH_OF_CUT.verdict(
            stage,
            *depth_of_cut_and_limit(depth, most),
            basis=DEPTH_BASIS,
            message=f"{near(depth, most, 2)} mm are cut in {place(path, move)}; the edge of {name}, {edge:.1f} mm "
            f"long, takes {most:.1f} mm at the very most.",
            advice="Take more passes, or a larger insert.",
            otherwise="warn",
        )


def _rapid_plane(parts: Parts, path: PathFigures, stage: str) -> Verdict:
    limit = parts.scenario.limits.clearance
    below = rapids_across(path.moves, path.safe_plane)
    plane = f"z = {path.safe_plane:.1f} mm, the highest body and {limit:g} mm"
    away = np.minimum(path.clearance.clearance, path.clearance.approach)[below]
    message = f"no rapid move runs across below {plane}."
    if len(below):
        move, least = int(below[int(away.argmin())]), float(away.min())
        shown = f"{near(least, limit, 2)} mm away" if math.isfinite(least) else "nothing near"
        run = "rapid move runs" if len(below) == 1 else "rapid moves run"
        message = f"{len(below)} {run} across below {plane}; nearest in {place(path, move)}, {shown}."
    return RAPID_PLANE.verdict(
        stage,
        float((away < limit - ROUNDING).sum()),
        0.0,
        message=message,
        advice=f"Run across above z = {at_least_text(path.safe_plane, 1)} mm, or keep {limit:g} mm off.",
        otherwise="warn",
    )
