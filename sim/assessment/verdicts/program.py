"""Verdicts on what a program does beside its moves: turret, spindle, speed and feed, chuck, and where it ends."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from meshes.points import Point
from sim.assessment.figures.path import PathFigures
from sim.assessment.verdict import Status, Verdict
from sim.assessment.verdicts.path import PRACTICE, ROUNDING, place
from sim.assessment.verdicts.rule import Rule
from sim.programs.code_systems import Place
from sim.programs.machine_words import REPEATS, TURNS, AtWork
from sim.programs.path import Move

WORDS = (
    "M3, M4 and M5 of ISO 6983-1, on which controls agree; what M0 and M1 stop differs from one to the next"
)
CHUCK_WORDS = "chuck_opens and chuck_closes of the program's table"
PLACES = 33  # along each leg of a rapid move in which the turret may turn

TOOL_CHANGE = Rule(
    key="tool_change",
    name="tool change",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: the turret turns above everything that turns, and the wanted clearance",
    depends=frozenset({"geometry"}),
    view="tool change",
    asks="does the turret turn clear of all that turns, at the first T word, too?",
)
SPINDLE_TURNS = Rule(
    key="spindle_turns",
    name="spindle turns",
    unit="cuts",
    at_least=False,
    basis=WORDS,
    depends=frozenset(),
    view="spindle",
    asks="does an M3 or M4 turn the spindle under every cut, the way its tool cuts?",
)
SPEED_AND_FEED_STATED = Rule(
    key="speed_and_feed_stated",
    name="speed and feed stated",
    unit="cuts",
    at_least=False,
    basis=f"{PRACTICE}: a control goes on with what an earlier program has set",
    depends=frozenset(),
    view="",
    asks="has every cut an S and an F of its program?",
)
CHUCK_CLOSED = Rule(
    key="chuck_closed",
    name="chuck closed",
    unit="",
    at_least=False,
    basis=CHUCK_WORDS,
    depends=frozenset(),
    view="",
    asks="does the program open the chuck under a cut, between cuts, or with the spindle turning?",
)
END_OF_THE_PROGRAM = Rule(
    key="end_of_the_program",
    name="end of the program",
    unit="mm",
    at_least=True,
    basis=f"{PRACTICE}: a program ends with the tool above everything that turns, by M2 or M30",
    depends=frozenset({"geometry"}),
    view="last move",
    asks="does the program end, by M2 or M30, with the tool above what turns?",
)


def program_verdicts(path: PathFigures, stage: str, *, boring: bool) -> Iterator[Verdict]:
    """Yield the verdicts on a program; none for a path that was made.

    Parameters
    ----------
    path : PathFigures
    stage : str
    boring : bool
        The jaws are cut, under the load of their fixture; else a part in them.
    """
    told = path.at_work
    if told is None:
        return
    cuts = cutting_moves(path)
    turret = _turret(path, told, stage)
    if turret is not None:
        yield turret
    yield _spindle(path, told, cuts, stage)
    yield _stated(path, cuts, stage)
    if told.openings:
        yield _chuck(path, told, cuts, stage, boring=boring)
    elif told.makers_own:
        yield _perhaps_the_chuck(path, told, cuts, stage)
    yield _end(path, told, stage)


def tool_change_and_limit(height: float, plane: float) -> tuple[float, float]:
    """Return the height of a tip and that of the plane above everything that turns, mm."""
    return height, plane - ROUNDING


end_of_the_program_and_limit = tool_change_and_limit


def cutting_moves(path: PathFigures) -> list[int]:
    """Return the numbers of the moves that cut metal."""
    depths = path.clearance.depth_of_cut
    return [n for n, move in enumerate(path.moves) if move.kind == "feed" and depths[n] > 0.0]


def without_spindle(path: PathFigures) -> list[int]:
    """Return the cutting moves under which no M3 or M4 turns the spindle, or the other way than its tool states."""
    if path.at_work is None:
        return []
    found = []
    for number in cutting_moves(path):
        spin, stated = path.at_work.machine[number].spin, path.runs[path.run_of(number)].spindle
        if spin not in TURNS or (stated is not None and spin not in (stated, "unclear")):
            found.append(number)
    return found


def _turret(path: PathFigures, told: AtWork, stage: str) -> Verdict | None:
    """Judge where the turret turns: it swings other tools, of which the path says nothing, past the tip."""
    at: list[tuple[str, Iterable[Point]]] = [
        (
            f"the tool is changed by {_said(path, call.place)} with the tip at",
            [call.at, *_anywhere(call.moves)],
        )
        for call in told.calls
    ]
    if told.early:
        first = path.moves[0].line
        at.append(
            (
                f"which tool stands at the cut from line {first} of {path.file} on is not known before a T word, and "
                "the tip runs to",
                _anywhere(path.moves[: told.early]),
            )
        )
    if not at:
        return None
    words, point = min(
        ((words, point) for words, points in at for point in points), key=lambda one: _exposed(path, one[1])
    )
    return _clear_of_all(
        path,
        stage,
        TOOL_CHANGE,
        point,
        words=words,
        more=" How far the turret's other tools stand out is not known.",
        advice="Retract further before the tool is called.",
    )


def _end(path: PathFigures, told: AtWork, stage: str) -> Verdict:
    """Judge where the tool stands when the program ends: chuck and part are then handled beside it."""
    point = path.moves[-1].end
    last = f"{_said(path, told.ended)} ends the program" if told.ended is not None else "the program ends"
    verdict = _clear_of_all(
        path,
        stage,
        END_OF_THE_PROGRAM,
        point,
        words=f"{last} with the tip at",
        more="",
        advice="Retract before the program ends: parts and jaws are handled there, and the next run starts there.",
    )
    if verdict.status == "fail":
        return verdict
    if told.ended is not None and float(told.ended.text[1:]) == REPEATS:
        return replace(
            verdict,
            status="warn",
            message=f"{verdict.message} {told.ended.text} begins the program again without a stop, from where the tool "
            "then stands: judged once, from the stated start.",
            advice=f"{verdict.advice} End it by M30.".strip(),
        )
    if told.ended is not None:
        return verdict
    return replace(
        verdict,
        status="warn",
        message=f"{verdict.message} Neither M2 nor M30 stands at its end: what spindle and control do then is not "
        "said.",
        advice=f"{verdict.advice} End it by M30.".strip(),
    )


def _clear_of_all(
    path: PathFigures, stage: str, rule: Rule, point: Point, *, words: str, more: str, advice: str
) -> Verdict:
    """Judge a place of the tip below the safe plane: a fail within the radius of what turns, a warning beside it."""
    x, z = point
    return rule.verdict(
        stage,
        *tool_change_and_limit(z, path.safe_plane),
        message=(
            f"{words} radius {x:.1f} mm, z {z:.1f} mm; what turns reaches to radius {0.5 * path.swing:.1f} mm, and "
            f"with its clearance to z {path.safe_plane:.1f} mm.{more}"
        ),
        advice=advice,
        otherwise="warn" if _exposed(path, point)[0] else "fail",
    )


def _exposed(path: PathFigures, point: Point) -> tuple[bool, float]:
    """Return a key that is least for the worst place of a tip: within what turns before beside it, then by z."""
    x, z = point
    reach = 0.5 * path.swing + path.clearance.required
    return not (abs(x) < reach and z < path.safe_plane - ROUNDING), z


def _anywhere(moves: Sequence[Move]) -> list[Point]:
    """Return points along rapid moves, and along the ways on which axes at rates of their own would run them."""
    legs: list[tuple[Point, Point]] = []
    for move in moves:
        (x0, z0), (x1, z1) = move.start, move.end
        for corners in (
            (move.start, move.end),
            (move.start, (x0, z1), move.end),
            (move.start, (x1, z0), move.end),
        ):
            legs += itertools.pairwise(corners)
    return [
        (xa + share * (xb - xa), za + share * (zb - za))
        for (xa, za), (xb, zb) in legs
        for share in np.linspace(0.0, 1.0, PLACES).tolist()
    ]


def _spindle(path: PathFigures, told: AtWork, cuts: list[int], stage: str) -> Verdict:
    """Judge whether the spindle turns under every cut, and the right way."""
    wrong = without_spindle(path)
    doubtful = [
        n
        for n in cuts
        if told.machine[n].spin == "unclear"
        or (told.machine[n].spin == "backward" and path.runs[path.run_of(n)].spindle is None)
    ]
    message, advice = "an M3 or M4 turns the spindle under every cut.", ""
    if wrong:
        message, advice = _not_turning(path, told, wrong), "Start the spindle by M3 or M4 before the cut."
    elif doubtful:
        message, advice = _in_doubt(path, told, doubtful)
    return SPINDLE_TURNS.verdict(
        stage,
        float(len(wrong) or len(doubtful)),
        0.0,
        message=message,
        advice=advice,
        otherwise="fail" if wrong else "warn",
    )


def _not_turning(path: PathFigures, told: AtWork, wrong: list[int]) -> str:
    number = wrong[0]
    machine, stated = told.machine[number], path.runs[path.run_of(number)].spindle
    if machine.spin in TURNS:
        why = f"the spindle turns {machine.spin}, its tool cuts {stated}"
    elif machine.spin_by is None:
        why = "no M3 or M4 has started the spindle (M13 and M14 start a driven tool on some controls)"
    else:
        why = f"{_said(path, machine.spin_by)} has stopped the spindle"
    how = "turning the wrong way" if machine.spin in TURNS else "at rest"
    return f"{_counted(wrong)} with the spindle {how}, first in {place(path, number)}: {why}."


def _in_doubt(path: PathFigures, told: AtWork, doubtful: list[int]) -> tuple[str, str]:
    number = doubtful[0]
    machine = told.machine[number]
    by = "" if machine.spin_by is None else f" after {_said(path, machine.spin_by)}"
    if machine.spin == "unclear":
        return (
            f"whether the spindle turns{by} differs from control to control: {_counted(doubtful)}, first in "
            f"{place(path, number)}.",
            "Start it again by M3 or M4 before the cut, and stop it in a block of its own.",
        )
    return (
        f"the spindle turns backward{by}: {_counted(doubtful)}, first in {place(path, number)}.",
        "See that the tool's hand suits, and state it as spindle = 'backward' of the tool.",
    )


def _stated(path: PathFigures, cuts: list[int], stage: str) -> Verdict:
    """Judge whether the program says speed and feed of every cut: without, the control takes what it has kept."""
    slow = [n for n in cuts if path.moves[n].speed is None]
    unfed = [n for n in cuts if path.moves[n].feed is None]
    said = [
        f"{_counted(which)} without {what}, first in {place(path, which[0])}"
        for which, what in ((slow, "a speed (S)"), (unfed, "a feed (F)"))
        if which
    ]
    return SPEED_AND_FEED_STATED.verdict(
        stage,
        float(len({*slow, *unfed})),
        0.0,
        message=f"{'; '.join(said)}." if said else "every cut has a speed and a feed of the program.",
        advice="Write S and F before the first cut.",
    )


def _chuck(path: PathFigures, told: AtWork, cuts: list[int], stage: str, *, boring: bool) -> Verdict:
    """Judge the words that open the chuck: no cut, and no turning spindle, while it is open."""
    loose = [n for n in cuts if told.machine[n].open_by is not None]
    turning = [one for one in told.openings if one.spin in TURNS]
    # Opened between two cuts: what is held has been let go.
    again = [
        one
        for one in told.openings
        if any(_ordinal(path, n) < one.ordinal for n in cuts)
        and any(_ordinal(path, n) > one.ordinal for n in cuts)
    ]
    status: Status = "pass"
    message = f"{_said(path, told.openings[0].place)} opens the chuck with the spindle at rest and no cut behind it."
    if again:
        status = "fail" if boring else "warn"
        let_go = "the jaws' load on their fixture is gone" if boring else "the part lies anew in the jaws"
        message = f"{_said(path, again[0].place)} opens the chuck between cuts: {let_go}."
    if turning:
        status = "fail"
        message = f"{_said(path, turning[0].place)} opens the chuck while the spindle may turn."
    if loose:
        status = "fail"
        by = told.machine[loose[0]].open_by
        opened = "" if by is None else f", opened by {_said(path, by)}"
        message = f"{_counted(loose)} with the chuck open, first in {place(path, loose[0])}{opened}."
    return CHUCK_CLOSED.given(
        stage,
        status,
        float(len(loose) or len(turning) or len(again)),
        0.0,
        message=message,
        advice=""
        if status == "pass"
        else "Open the chuck behind the last cut, with the spindle stopped by M5 in a block before.",
    )


def _perhaps_the_chuck(path: PathFigures, told: AtWork, cuts: list[int], stage: str) -> Verdict:
    """Judge M words that may open the chuck on this machine, since it is not stated which do."""
    last = _ordinal(path, cuts[-1]) if cuts else 0
    before = [one.place for one in told.makers_own if one.ordinal <= last]
    words = ", ".join(dict.fromkeys(one.text for one in before))
    return CHUCK_CLOSED.verdict(
        stage,
        float(len(before)),
        0.0,
        message=(
            f"what {words} (first in line {before[0].line} of {path.file}) does is the machine maker's: whether it "
            "opens the chuck is not known."
            if before
            else "no word that may open the chuck comes before a cut."
        ),
        advice="State chuck_opens and chuck_closes of this machine in the program's table.",
        otherwise="warn",
    )


def _ordinal(path: PathFigures, move: int) -> int:
    """Return the number of a move's block in the order in which they run, which lines of a loop do not keep."""
    return path.moves[move].ordinal or 0


def _counted(cuts: list[int]) -> str:
    return "1 cut" if len(cuts) == 1 else f"{len(cuts)} cuts"


def _said(path: PathFigures, place: Place) -> str:
    return f"{place.text} in line {place.line} of {path.file}"
