"""Roughing along one axis (turning or facing), to a contour that stands off by an allowance; lengths in mm.

How controls do it (common practice, no source): the start moves off by the allowance, and from there each pass steps
one depth towards the part, feeds along to the contour, escapes at 45 deg by the retract amount and goes back at rapid.
In the end the contour with its allowance is followed once, and the tool goes back to the start at rapid. The step is
taken at rapid or at feed, as the contour's first block says. No pass is made at the depth of the contour's deepest
place: following the contour takes what is left there, no more than one depth.

Type I takes contours that run one way in both axes. Type II takes those with hollows: each pass then follows the
contour up to the pass before, hollows are entered along their flank at feed, and are emptied one after another from the
side of the start. In which order hollows are emptied differs between controls; metal and depths are the same. An escape
longer than its pass runs at rapid into the flank behind it, and the way back from the contour's end is straight: both
are given as they are, for whoever judges the moves, since a control may do no better. The escape keeps its 45 deg also
where a control runs other rapid moves with each axis at a rate of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from meshes.points import Point
from sim.programs.cycles.contour import (
    RUNS_BACK,
    TIE,
    Contour,
    Crossing,
    climbing,
    crossings,
    falling,
    pieces_of,
    require_outside,
)
from sim.programs.cycles.frame import Frame, back, seen, shifted
from sim.programs.path import Move, MoveKind
from sim.programs.words import ProgramError

MOST_PASSES = 2000
MOST_CROSSINGS = 300_000  # passes times moves of the contour


@dataclass(frozen=True, slots=True)
class Roughing:
    """What a cycle that roughs along one axis is told.

    Attributes
    ----------
    facing : bool
        Passes feed along x and step along z (else the other way round).
    hollows : bool
        Type II: the contour may fall and rise.
    depth : float
        Of each pass, mm.
    retract : float
        Away from the contour behind each pass, along both axes, mm.
    allowance : (x, z)
        By which the roughed contour stands off, mm, x as radius.
    code : str
        Of the cycle, for stages and messages.
    line : int
        Of its block.
    """

    facing: bool
    hollows: bool
    depth: float
    retract: float
    allowance: Point
    code: str
    line: int


class _Pass(NamedTuple):
    """A stretch of one level between two crossings; from the start's side or up to the contour's end without."""

    step: int
    entry: Crossing | None
    leaving: Crossing | None


def roughed(contour: Contour, told: Roughing) -> tuple[Move, ...]:
    """Return the moves of a roughing cycle, from its start and back to it; speeds and feeds are not in them.

    Raises
    ------
    ProgramError
        If the contour cannot be roughed so; names the line of the contour, or that of the cycle.
    """
    frame = _frame(contour, told)
    start = frame.seen(contour.approach.start)
    shape = [seen(frame, move) for move in contour.shape]
    _require_one_way(shape, start, frame, told)
    by = frame.seen(told.allowance)
    require_outside(shape, by, 1, "U and W")
    corner = (start[0] + by[0], start[1] + by[1])
    shape = [shifted(move, by) for move in shape]
    begin = frame.seen(contour.approach.end)
    made = [Move("rapid", start, start, stage=f"rough pass 1 ({told.code})")]
    _go(made, "rapid", corner, made[-1].stage)
    _passes(made, pieces_of(shape), corner, contour.approach.kind, told)
    if told.hollows:
        _go(made, "rapid", (corner[0], made[-1].end[1]), made[-1].stage)
    _go(made, "rapid", (made[-1].end[0], corner[1]), made[-1].stage)
    stage = f"rough contour pass ({told.code})"
    _go(made, contour.approach.kind, (begin[0] + by[0], begin[1] + by[1]), stage)
    made += [_plain(move, stage) for move in shape]
    _go(made, "rapid", start, f"return ({told.code})")
    return tuple(back(frame, move) for move in made[1:])


def _passes(
    made: list[Move], pieces: tuple[Move, ...], corner: Point, step_kind: MoveKind, told: Roughing
) -> None:
    """Add every pass and the way to it; `corner` is the start moved off by the allowance."""
    lowest = min(corner[0], *(min(piece.start[0], piece.end[0]) for piece in pieces))
    count = _count(corner[0] - lowest, told)
    if count * len(pieces) > MOST_CROSSINGS:
        raise ProgramError(
            told.line, told.code,
            f"would make {count} passes to a contour of {len(pieces)} moves; their product must be at most "
            f"{MOST_CROSSINGS}",
        )  # fmt: skip
    levels = [corner[0] - step * told.depth for step in range(count + 1)]
    stretches = [_stretches(pieces, levels[step], step, told) for step in range(1, count + 1)]
    waiting = stretches[0][::-1] if stretches else []
    number = 0
    while waiting:
        one = waiting.pop()
        number += 1
        stage = f"rough pass {number} ({told.code})"
        floor, level = levels[one.step - 1], levels[one.step]
        if one.entry is None:
            _travel(made, corner[1], floor + told.retract)
            _go(made, step_kind, (level, corner[1]), stage)
        else:
            flank = falling(pieces, one.entry, floor)
            _travel(made, flank[0].start[1], floor + told.retract)
            _go(made, "rapid", (floor + told.retract, made[-1].end[1]), stage)
            _go(made, "feed", flank[0].start, stage)
            made += [_plain(move, stage) for move in flank]
        _go(made, "feed", (level, pieces[-1].end[1]) if one.leaving is None else one.leaving.point, stage)
        if told.hollows and one.leaving is not None:
            made += [_plain(move, stage) for move in climbing(pieces, one.leaving, floor)]
        at = made[-1].end
        if told.retract > 0.0:
            away = (at[0] + told.retract, at[1] + told.retract)
            made.append(Move("rapid", at, away, stage=stage, on_its_line=True))
        if one.step < count:
            waiting += [inner for inner in stretches[one.step] if _lies_in(inner, one)][::-1]


def _count(height: float, told: Roughing) -> int:
    """Return how many passes stay above the deepest place of a contour."""
    if height / told.depth > MOST_PASSES:
        raise ProgramError(
            told.line, told.code,
            f"would make {height / told.depth:.0f} passes of {told.depth:g} mm; at most {MOST_PASSES} are followed",
        )  # fmt: skip
    count = 0
    while (count + 1) * told.depth < height - TIE:
        count += 1
    return count


def _stretches(pieces: tuple[Move, ...], level: float, step: int, told: Roughing) -> list[_Pass]:
    """Return the stretches of a level that lie outside of the contour, from the side of the start."""
    found: list[_Pass] = []
    entry: Crossing | None = None
    outside = pieces[0].start[0] <= level + TIE
    for crossing in crossings(pieces, level):
        if crossing.rises and outside:
            found.append(_Pass(step, entry, crossing))
        elif not crossing.rises:
            entry = crossing
        outside = not crossing.rises
    if outside:
        found.append(_Pass(step, entry, None))
    return found if told.hollows else [one for one in found[:1] if one.entry is None]


def _lies_in(inner: _Pass, outer: _Pass) -> bool:
    """Tell whether a stretch lies below another one of the level above it."""
    after = outer.entry is None or (inner.entry is not None and inner.entry.piece >= outer.entry.piece)
    before = outer.leaving is None or (
        inner.leaving is not None and inner.leaving.piece <= outer.leaving.piece
    )
    return after and before


def _travel(made: list[Move], along: float, height: float) -> None:
    """Go at rapid along the part, lifted first to where all is cut already."""
    at = made[-1].end
    if abs(along - at[1]) <= TIE:
        return
    if at[0] < height - TIE:
        _go(made, "rapid", (height, at[1]), made[-1].stage)
    _go(made, "rapid", (made[-1].end[0], along), made[-1].stage)


def _go(made: list[Move], kind: MoveKind, end: Point, stage: str) -> None:
    """Add a straight move to a point, unless the tool stands there."""
    if end != made[-1].end:
        made.append(Move(kind, made[-1].end, end, stage=stage))


def _plain(move: Move, stage: str) -> Move:
    return Move(move.kind, move.start, move.end, move.centre, move.clockwise, stage=stage)


def _frame(contour: Contour, told: Roughing) -> Frame:
    """Return the frame in which the metal lies up the first axis and passes feed down the second."""
    plain = Frame(told.facing, 1, 1)
    start, begin = plain.seen(contour.approach.start), plain.seen(contour.approach.end)
    points = [begin, *(plain.seen(piece.end) for piece in pieces_of(contour.shape))]
    far = max((point[0] for point in points), key=lambda value: abs(value - start[0]), default=begin[0])
    along = points[-1][1] - begin[1]
    step, feed = ("z", "x") if told.facing else ("x", "z")
    if abs(far - start[0]) <= TIE or abs(along) <= TIE:
        raise ProgramError(
            told.line, told.code,
            f"must have a contour that lies off its start in {step} and runs along {feed}, found "
            f"{abs(far - start[0]):g} mm and {abs(along):g} mm",
        )  # fmt: skip
    return Frame(told.facing, 1 if far < start[0] else -1, 1 if along < 0.0 else -1)


def _require_one_way(shape: list[Move], start: Point, frame: Frame, told: Roughing) -> None:
    """Refuse a contour that runs back, or beyond the start."""
    step, feed = ("z", "x") if frame.facing else ("x", "z")
    if shape and shape[0].start[1] > start[1] + TIE:
        raise ProgramError(
            shape[0].line or 0, "",
            f"begins the contour behind the start of {told.code} in {feed}: start the cycle clear of it",
        )  # fmt: skip
    for piece in pieces_of(shape):
        if piece.end[1] > piece.start[1] + RUNS_BACK:
            raise ProgramError(
                piece.line or 0, "",
                f"runs back in {feed}: {told.code} cannot feed into such an undercut; write its cuts out by G0 and G1",
            )  # fmt: skip
        if piece.end[0] < piece.start[0] - RUNS_BACK and not told.hollows:
            raise ProgramError(
                piece.line or 0, "",
                f"runs back in {step}: {told.code} takes such a contour (type II) only if its first block names both "
                "X and Z",
            )  # fmt: skip
        if max(piece.start[0], piece.end[0]) > start[0] + RUNS_BACK:
            raise ProgramError(
                piece.line or 0, "",
                f"takes the contour beyond the start of {told.code} in {step}: the passes would leave metal there; "
                "start the cycle at the raw part",
            )  # fmt: skip
