"""Which cycle a block calls or repeats, and single turning, facing and threading from its words.

Single cycles hold until another motion is given: the next blocks with X or Z, U or W repeat them. Their taper word, R
(in older programs I, or K for facing), counts as a radius and is where the cut begins less where it ends. Common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

from meshes.points import Point
from sim.programs import hole_words, thread_words
from sim.programs.axis_words import length, target
from sim.programs.code_groups import CodeSystem, single_cycle
from sim.programs.code_systems import Place
from sim.programs.compensation import Programmed
from sim.programs.cycles.single import facing, turning
from sim.programs.cycles.threads import threading
from sim.programs.in_force import MODAL, Cycle, CycleKind
from sim.programs.modal import State
from sim.programs.one_block_cycle import CycleBlock, called, finished, require_steady, system_of, with_lead
from sim.programs.read_block import ReadBlock
from sim.programs.reading import Reading
from sim.programs.words import Block, ProgramError, Word

_AXES = "XZUW"
_MOTIONS = frozenset((0.0, 1.0, 2.0, 3.0))
# Blocks with these move nothing, or by themselves: they neither repeat a cycle nor end it.
_BY_THEMSELVES = (4.0, 10.0, 28.0, 30.0, 50.0, 52.0, 53.0)
_HOLES: dict[float, CycleKind] = {
    81.0: "drilling", 82.0: "drilling", 83.0: "pecking", 84.0: "tapping", 85.0: "boring",
}  # fmt: skip
_FIRST: dict[float, CycleKind] = {32.0: "thread", 33.0: "thread", **_HOLES}
_WITH_32: dict[float, CycleKind] = {
    32.0: "thread", 74.0: "peck along z", 75.0: "peck along x", 76.0: "thread cycle", **_HOLES,
}  # fmt: skip
_WITH_33: dict[float, CycleKind] = {
    33.0: "thread", 74.0: "peck along z", 75.0: "peck along x", 76.0: "thread cycle", **_HOLES,
}  # fmt: skip
# What the codes of cycles are, by code system (common practice, no source).
_KINDS: dict[CodeSystem, dict[float, CycleKind]] = {
    "G90 cycles": _WITH_32,
    "G77 cycles": _WITH_33,
    "G20 cycles": {
        33.0: "thread", 76.0: "peck along z", 77.0: "peck along x", 78.0: "thread cycle", **_HOLES,
    },
    "ISO": {33.0: "thread", **_HOLES},
}  # fmt: skip
_EITHER = {74.0: "peck along z", 75.0: "peck along x", 76.0: "thread cycle"}
_ASK = "code_system must state which code system the control uses"


def one_block_cycle_of(block: Block, state: State, reading: Reading) -> tuple[CycleKind, Word | None] | None:
    """Return the cycle that a block calls, with its code, or repeats, without one; None if it does neither.

    Raises
    ------
    ProgramError
        If it is open which cycle is meant, or which motion holds.
    """
    codes = [word for word in block.words if word.letter == "G"]
    if state.cycle is None and _MOTIONS.issuperset([code.value for code in codes]):
        return None
    axis = next((word for word in block.words if word.letter in _AXES), None)
    called: tuple[CycleKind, Word] | None = None
    for code in codes:
        kind = _kind(block, code, system_of(reading), state, moves=axis is not None)
        if kind is None:
            continue
        if called is not None:
            raise ProgramError(block.line, code.text, f"and {called[1].text} exclude each other in a block")
        called = kind, code
    if called is not None:
        return called
    if state.cycle is None or axis is None:
        return None
    if any(code.value in (*_MOTIONS, *_BY_THEMSELVES, 80.0) for code in codes):
        return None
    if state.cycle.kind in MODAL:
        return state.cycle.kind, None
    place = state.cycle.place
    raise ProgramError(
        block.line, axis.text,
        f"moves an axis without G0, G1, G2 or G3 after {place.text} of line {place.line}: which motion holds after "
        "such a cycle differs from control to control; write the motion into this block",
    )  # fmt: skip


def _kind(
    block: Block, code: Word, system: CodeSystem | None, state: State, *, moves: bool
) -> CycleKind | None:
    """Return the cycle that one code is."""
    if system is not None:
        single = single_cycle(code.value, system)
        if single is not None and moves:
            return single
        if code.value in _EITHER and code.value not in _KINDS[system]:
            raise ProgramError(block.line, code.text, f"is no cycle of the stated code system, {system}")
        return _KINDS[system].get(code.value)
    if code.value in _FIRST:
        return _FIRST[code.value]
    if code.value not in _EITHER:
        return None
    letters = {word.letter for word in block.words}
    kind: CycleKind
    if code.value == 76.0:
        # A thread by its first block of P, Q and R, or by height and first depth in one block.
        kind = "thread cycle"
        thread = ("P" in letters) if not moves else ("K" in letters or state.first_blocks.thread is not None)
        if thread:
            return kind
    elif not letters & {"U", "W"}:
        kind = "peck along z" if code.value == 74.0 else "peck along x"
        return kind
    raise ProgramError(
        block.line, code.text,
        f"is {'a thread' if code.value == 76.0 else 'pecking'} in two code systems of lathes and another cycle in a "
        f"third one: {_ASK}",
    )  # fmt: skip


def follow_cycle(kind: CycleKind, code: Word | None, one: ReadBlock) -> State:
    """Follow a block that calls a cycle, or repeats it, and return what holds after it.

    Raises
    ------
    ProgramError
        If the cycle cannot be followed.
    """
    place = Place(one.block.line, "" if code is None else code.text)
    if code is None and one.state.cycle is not None:
        place = one.state.cycle.place
    name = place.text
    asked = called(one, code, name, LETTERS[kind])
    try:
        after = FOLLOWERS[kind](asked, kind, place, fresh=code is not None, programmed=one.programmed)
    except ValueError as error:
        raise ProgramError(one.block.line, name, str(error)) from None
    return after._replace(motion=None)


def after_cycle(block: Block, state: State, notes: list[str]) -> tuple[Block, State]:
    """Return a block without G80, and what is left of the cycle in force after a block that calls none."""
    if state.cycle is not None:
        words = [word for word in block.words if not (word.letter == "G" and word.value == 80.0)]
        if len(words) < len(block.words):
            notes.append(f"line {block.line}: G80 ends a cycle")
            block, state = block._replace(words=tuple(words)), state._replace(cycle=None)
        if any(word.letter == "G" and word.value in _MOTIONS for word in block.words):
            state = state._replace(cycle=None)
    if state.lead is not None and any(word.letter == "F" for word in block.words):
        state = state._replace(lead=None)
    return block, state


def _single(
    asked: CycleBlock, kind: CycleKind, place: Place, *, fresh: bool, programmed: list[Programmed]
) -> State:
    """Follow single turning, facing or threading."""
    state = asked.state
    before = state.cycle if state.cycle is not None and state.cycle.kind == kind else None
    at, end = state.at, _end(asked, before)
    if end[0] == at[0] or (end[1] == at[1] and kind != "facing"):
        raise ProgramError(
            asked.block.line, asked.name, "must end at another X and another Z than where it starts"
        )
    if kind == "facing" and end[1] == at[1]:
        raise ProgramError(asked.block.line, asked.name, "must end at another Z than where it starts")
    taper = _taper(asked, kind, before, fresh=fresh)
    axis = 1 if kind == "facing" else 0
    if (at[axis] - end[axis] - taper) * (at[axis] - end[axis]) < 0.0:
        raise asked.refused(
            "R",
            f"begins the cut {abs(at[axis] - end[axis] - taper):.4g} mm beyond where the tool stands: start farther "
            "out, or mend its sign (where the cut begins less where it ends, as a radius)",
        )
    now = Cycle(kind, place, end, taper)
    if kind == "threading":
        require_steady(asked)
        lead = thread_words.stated_lead(asked, None if before is None else before.lead)
        turned = thread_words.start_angle(asked, 0.0 if before is None else before.turned)
        moves = threading(
            at, end, taper, lead,
            height=0.0, depths=(0.0,), pull_out=asked.reading.amounts.pull_out * lead, turned=turned, name=asked.name,
        )  # fmt: skip
        thread_words.note_of_pull_out(asked)
        now = now._replace(lead=lead, turned=turned)
        asked = asked._replace(state=with_lead(state, lead))
    else:
        cut = turning if kind == "turning" else facing
        moves = cut(at, end, taper, None, f"{kind} ({asked.name})")
    return finished(asked, moves, programmed)._replace(cycle=now)


def _end(asked: CycleBlock, before: Cycle | None) -> Point:
    """Return where the cut ends; an axis that is not named ends where it did before."""
    found = target(asked.block, asked.words, asked.state, asked.reading)
    if before is None or before.end is None:
        return found
    x = found[0] if "X" in asked.words or "U" in asked.words else before.end[0]
    z = found[1] if "Z" in asked.words or "W" in asked.words else before.end[1]
    return x, z


def _taper(asked: CycleBlock, kind: CycleKind, before: Cycle | None, *, fresh: bool) -> float:
    other = "K" if kind == "facing" else "I"
    if "R" in asked.words and other in asked.words:
        raise asked.refused(other, "and R exclude each other")
    for letter in "IK":
        if letter != other and letter in asked.words:
            raise asked.refused(letter, f"has no meaning here ({asked.name})")
    word = asked.words.get("R", asked.words.get(other))
    if word is not None:
        return length(asked.block, word, asked.state, asked.reading)
    if before is None or before.taper == 0.0:
        return 0.0
    if fresh:
        raise ProgramError(
            asked.block.line, asked.name,
            f"leaves open whether the taper of {before.place.text} of line {before.place.line} still holds: write R",
        )  # fmt: skip
    return before.taper


Follower = Callable[..., State]
FOLLOWERS: dict[CycleKind, Follower] = {
    "turning": _single, "facing": _single, "threading": _single,
    "thread": thread_words.thread_move, "thread cycle": thread_words.thread_cycle,
    "peck along z": hole_words.pecks, "peck along x": hole_words.pecks,
    "drilling": hole_words.holes, "pecking": hole_words.holes, "tapping": hole_words.holes,
    "boring": hole_words.holes,
}  # fmt: skip
LETTERS: dict[CycleKind, str] = {
    "turning": "XZUWRI", "facing": "XZUWRK", "threading": "XZUWRIFQ",
    "thread": "XZUWFKIQ", "thread cycle": "XZUWRIKDAPQF",
    "peck along z": "XZUWRIKDPQ", "peck along x": "XZUWRIKDPQ",
    "drilling": "XZUWRP", "pecking": "XZUWRPQ", "tapping": "XZUWRPF", "boring": "XZUWRP",
}  # fmt: skip
