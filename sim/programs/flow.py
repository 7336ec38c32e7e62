"""Which block of a program comes next: jumps, loops, subprograms and variables, worked out into plain blocks.

Programs stand one behind the other in a text, each from its O word on; the first is run. M98 P calls another by its
number, with L or with digits before the last four as often as these say; M97 P calls a part of the same program from
its N word on; G65 P calls a macro with arguments as its local variables #1 to #33. M99 returns behind the call, and in
the first program ends it; with P it goes on at the block of that N word, of the program that has called or of the
first one itself. (Common practice, no source; ISO 6983-1 leaves variables and subprograms open.)

A jump leads to the one block of that N word in its own program, never into a loop. Whatever runs too often or calls
itself is refused, so that every text comes to an end.
"""

from __future__ import annotations

import itertools
from collections import ChainMap
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from sim.base.limits import BLOCKS
from sim.programs.calls import MACRO, PART, PROGRAM, Called, called, whole_name
from sim.programs.expressions import Node, number, whole
from sim.programs.plain_lines import PlainLine
from sim.programs.reading import Reading
from sim.programs.sections import Section, sections
from sim.programs.statements import (
    Assignment,
    Assignments,
    Computed,
    End,
    Jump,
    Loop,
    Statement,
    Then,
    Words,
    weight_of,
)
from sim.programs.words import Block, ProgramError, Word

MOST_BLOCKS = BLOCKS.most
DEEPEST = 8  # calls in calls
_MOST_NOTES = 20
_RETURN = ("M", 99.0)
_ENDS = (("M", 2.0), ("M", 30.0))
_LEADS = {*_ENDS, _RETURN, PROGRAM, PART, MACRO}
_LEAD_NUMBERS = frozenset(number for _, number in _LEADS)
_NAMES = "GMTNOPL"  # a word's number is a name or a count: its text is the number itself


class Flowed(NamedTuple):
    """Blocks in the order in which they run, with `Block.ordinal` and without those that are skipped; notes."""

    blocks: list[Block | PlainLine]
    notes: list[str]


@dataclass(slots=True)
class _Frame:
    """A program that runs.

    Attributes
    ----------
    section : Section
    at : int
        Place of the next statement.
    own : dict
        Local variables.
    called : Called, optional
        What called it.
    begin, left : int
        Where it begins, and how often it is still to be run, no unit.
    """

    section: Section
    at: int
    own: dict[str, float | None]
    called: Called | None = None
    begin: int = 0
    left: int = 1


@dataclass(slots=True)
class _Run:
    """What has run: frames with the innermost last, variables of all, blocks and notes, how often each line ran."""

    reading: Reading
    parts: list[Section]
    named: dict[int, list[Section]]
    left: int
    frames: list[_Frame]
    common: dict[str, float | None] = field(default_factory=dict)
    blocks: list[Block | PlainLine] = field(default_factory=list)
    notes: dict[str, None] = field(default_factory=dict)
    times: dict[int, int] = field(default_factory=dict)
    ordinal: int = 0


def flow(found: list[Statement | PlainLine], reading: Reading) -> Flowed:
    """Return the blocks of a program in the order in which a control runs them.

    Raises
    ------
    ProgramError
        If which block comes next, or a number, cannot be told; or if the program runs too long.
    """
    if not found:
        return Flowed([], [])
    parts = sections(found)
    named: dict[int, list[Section]] = {}
    for part in parts:
        if part.name is not None:
            named.setdefault(part.name, []).append(part)
    run = _Run(reading, parts, named, len(found) + MOST_BLOCKS, [_Frame(parts[0], 0, {})])
    end: Statement | None = None
    while end is None:
        frame = run.frames[-1]
        if frame.at >= len(frame.section.statements):
            _at_the_end(run, frame)
            break
        here = frame.section.statements[frame.at]
        if isinstance(here, PlainLine):
            _plain(run, frame)
            continue
        _count(run, here.line, here.weight)
        if _runs_on(run, frame, here):
            continue
        end = here
    return Flowed(run.blocks, [*run.notes, *_never_run(found, run, end), *_repeated(found, run)])


def _is_skipped(line: int, switch: str, reading: Reading) -> bool:
    """Tell whether a block behind a slash, its switch, is skipped.

    Raises
    ------
    ProgramError
        If that is not stated.
    """
    if switch in reading.skipped:
        return True
    if reading.skip_optional is None:
        raise ProgramError(
            line,
            "/",
            "lets an operator skip the block: optional_blocks must state whether they run",
        )
    return reading.skip_optional


def _plain(run: _Run, frame: _Frame) -> None:
    """Run plain lines that stand one behind the other."""
    statements = frame.section.statements
    while frame.at < len(statements):
        here = statements[frame.at]
        if not isinstance(here, PlainLine):
            return
        _count(run, here.line, weight_of(here.text))
        run.blocks.append(here if here.ordinal == run.ordinal else here._replace(ordinal=run.ordinal))
        frame.at += 1


def _count(run: _Run, line: int, weight: int) -> None:
    run.ordinal += 1
    run.times[line] = run.times.get(line, 0) + 1
    run.left -= weight
    if run.left < 0:
        raise ProgramError(
            line, "", f"is still run after {MOST_BLOCKS} blocks: a loop or a jump that does not end?"
        )


def _at_the_end(run: _Run, frame: _Frame) -> None:
    """Refuse a subprogram that ends without M99, and a program that runs into the next one."""
    if frame.called is not None:
        raise ProgramError(
            frame.section.statements[-1].line, "",
            f"ends the program that {frame.called.text} of line {frame.called.line} calls: it must return by M99",
        )  # fmt: skip
    if len(run.parts) > 1:
        raise ProgramError(
            run.parts[1].statements[0].line, f"O{run.parts[1].name}",
            f"begins another program than that of line {frame.section.statements[0].line}, which must end by M30 or M2 "
            "before it",
        )  # fmt: skip


def _runs_on(run: _Run, frame: _Frame, here: Statement) -> bool:
    """Run a statement, and tell whether the program goes on behind it."""
    action, place = here.action, frame.at
    frame.at += 1
    if here.switch:
        if isinstance(action, Loop | End):
            raise ProgramError(
                here.line, here.switch, "must not stand before the beginning or the end of a loop"
            )
        if _is_skipped(here.line, here.switch, run.reading):
            run.notes[f"line {here.line}: skipped (block delete)"] = None
            return True
    if isinstance(action, Block):
        return _block(run, frame, action)
    variables = ChainMap(frame.own, run.common)
    if isinstance(action, Words):
        words = tuple(
            _word(here, one, variables) if isinstance(one, Computed) else one for one in action.words
        )
        return _block(run, frame, Block(here.line, words, here.switch))
    if isinstance(action, Assignments):
        for one in action.each:
            _assign(run, frame, here, one)
    elif isinstance(action, Then):
        if action.condition.value(variables):
            _assign(run, frame, here, action.assignment)
    else:
        frame.at = _next(frame.section, here, action, place, variables)
    return True


def _next(
    section: Section,
    here: Statement,
    action: Jump | Loop | End,
    place: int,
    variables: ChainMap[str, float | None],
) -> int:
    """Return the place of the statement that comes behind a jump, or the beginning or end of a loop."""
    if isinstance(action, End):
        return section.begins[place]
    holds = action.condition is None or bool(action.condition.value(variables))
    if isinstance(action, Loop):
        return place + 1 if holds else section.ends[place] + 1
    if not holds:
        return place + 1
    label = whole(here.line, number(here.line, action.target, action.text, variables), action.text)
    return _place(section, label, section.loops[place], here.line, action.text)


def _word(here: Statement, one: Computed, variables: ChainMap[str, float | None]) -> Word:
    """Return a word with its number; it counts units, as if it had a decimal point."""
    value = one.sign * number(here.line, one.node, one.text, variables)
    if one.letter in _NAMES:
        found = whole(here.line, value, one.text)
        return Word(one.letter, float(found), decimal=False, text=f"{one.letter}{found}")
    return Word(one.letter, value, decimal=True, text=one.text)


def _assign(run: _Run, frame: _Frame, here: Statement, one: Assignment) -> None:
    variables = ChainMap(frame.own, run.common)
    assert one.variable.name is not None  # noqa: S101 - asked when the line was read
    name = one.variable.name(variables)
    kept = frame.own if name[0] == "#" and int(name[1:]) <= 33 else run.common
    kept[name] = _value(here, one.node, one.text, variables)


def _value(here: Statement, node: Node, text: str, variables: ChainMap[str, float | None]) -> float | None:
    return None if node.kind == "no value" else number(here.line, node, text, variables)


def _place(section: Section, label: int, within: tuple[int, ...], line: int, text: str) -> int:
    """Return the place of a block by its N word, as seen from within some loops."""
    places = section.labels.get(label, ())
    if len(places) != 1:
        where = " and ".join(str(section.statements[place].line) for place in places[:2])
        raise ProgramError(
            line, text,
            f"leads to N{label}, which stands in line {where}" if places else
            f"leads to N{label}, which its program does not hold",
        )  # fmt: skip
    loops = section.loops[places[0]]
    if within[: len(loops)] != loops:
        raise ProgramError(
            line,
            text,
            f"leads into the loop of line {section.statements[loops[-1]].line}, which must begin with it",
        )
    return places[0]


def _block(run: _Run, frame: _Frame, block: Block) -> bool:
    """Take a block, and follow the word of it that calls, returns or ends."""
    words = block.words
    if frame.section is not run.parts[0] and any(word.letter == "O" for word in words):
        words = tuple(word for word in words if word.letter != "O")
    leads = [word for word in words if word.value in _LEAD_NUMBERS and (word.letter, word.value) in _LEADS]
    block = Block(block.line, words, block.switch, run.ordinal)
    if not leads:
        run.blocks.append(block)
        return True
    if (leads[0].letter, leads[0].value) == _RETURN:
        named = next((word for word in words if word.letter == "P"), None)
        if frame.called is not None:
            _return(run, frame, block, leads, named)
            return True
        if named is not None:
            _only_with(block, leads, "NP")
            within = frame.section.loops[frame.at - 1]
            frame.at = _place(frame.section, whole_name(block, named), within, block.line, named.text)
            return True
    found = called(block, run.named, run.reading)
    if found is None:
        run.blocks.append(block)
        return not any((word.letter, word.value) in (*_ENDS, _RETURN) for word in leads)
    _call(run, frame, found)
    return True


def _only_with(block: Block, leads: Sequence[Word], letters: str) -> None:
    """Refuse what does not go with M99, or with M99 P."""
    other = next(iter(leads[1:]), None)
    other = other or next(
        (word for word in block.words if word is not leads[0] and word.letter not in letters), None
    )
    if other is not None:
        raise ProgramError(
            block.line, other.text, f"stands in a block with {leads[0].text}: write it on a line before it"
        )


def _return(run: _Run, frame: _Frame, block: Block, leads: Sequence[Word], named: Word | None) -> None:
    """Go back behind the call or to the block that M99 P names, or to the beginning where the call asks for more."""
    if named is not None:
        _only_with(block, leads, "NP")
        if frame.left > 1:
            raise ProgramError(
                block.line, named.text,
                "leaves a program that is to run again: whether it then does differs from control to control; call it "
                "once each time",
            )  # fmt: skip
        run.frames.pop()
        caller = run.frames[-1]
        within = caller.section.loops[caller.at - 1]
        caller.at = _place(caller.section, whole_name(block, named), within, block.line, named.text)
        return
    other = next((word for word in block.words if word.letter == "L"), None) or next(iter(leads[1:]), None)
    if other is not None:
        raise ProgramError(
            block.line,
            other.text,
            f"stands in a block with {leads[0].text}, which is followed back to its call, or by P to a block, only",
        )
    words = tuple(word for word in block.words if word is not leads[0])
    if any(word.letter != "N" for word in words):
        run.blocks.append(block._replace(words=words))
    frame.left -= 1
    if frame.left:
        frame.at = frame.begin
    else:
        run.frames.pop()


def _call(run: _Run, frame: _Frame, found: Called) -> None:
    if len(run.frames) > DEEPEST:
        raise ProgramError(
            found.line, found.text, f"calls more than {DEEPEST} deep: does a subprogram call itself?"
        )
    if found.note:
        run.notes[found.note] = None
    if found.what == "part":
        begin = _place(frame.section, found.number, (), found.line, found.text)
        run.frames.append(_Frame(frame.section, begin, frame.own, found, begin, found.times))
        return
    parts = run.named[found.number]
    if len(parts) > 1:
        lines = " and ".join(str(part.statements[0].line) for part in parts[:2])
        raise ProgramError(
            found.line,
            found.text,
            f"calls O{found.number}, which begins in line {lines}: give one another number",
        )
    own = frame.own
    if found.what == "macro":
        own = dict.fromkeys((f"#{one}" for one in range(1, 34)), None) | dict(found.arguments)
    run.frames.append(_Frame(parts[0], 0, own, found, 0, found.times))


def _never_run(found: list[Statement | PlainLine], run: _Run, end: Statement | None) -> list[str]:
    """Note the lines that no control comes to."""
    if len(run.times) == len(found):
        return []
    notes = []
    behind = None if end is None else found.index(end) + 1
    done = 0
    for runs, group in itertools.groupby(found, key=lambda one: one.line in run.times):
        lines = [one.line for one in group]
        if not runs and done == behind and done + len(lines) == len(found) and end is not None:
            last = run.blocks[-1]
            words = last.words if isinstance(last, Block) else ()
            word = next(word for word in words if (word.letter, word.value) in _LEADS)
            notes.append(
                f"line {lines[0]}: not followed, nor what comes after it: {word.text} of line {end.line} ends the "
                "program"
            )
        elif not runs:
            notes.append(f"{_lines(lines)}: never run")
        done += len(lines)
    return _first(notes)


def _repeated(found: list[Statement | PlainLine], run: _Run) -> list[str]:
    """Note how often lines of loops and subprograms are run."""
    if max(run.times.values()) == 1:
        return []
    notes = []
    for times, group in itertools.groupby(found, key=lambda one: run.times.get(one.line, 0)):
        lines = [one.line for one in group]
        if times > 1:
            notes.append(f"{_lines(lines)}: run {times} times")
    return _first(notes)


def _lines(lines: list[int]) -> str:
    return f"line {lines[0]}" if len(lines) == 1 else f"lines {lines[0]} to {lines[-1]}"


def _first(notes: list[str]) -> list[str]:
    if len(notes) <= _MOST_NOTES:
        return notes
    return [*notes[:_MOST_NOTES], f"the same of {len(notes) - _MOST_NOTES} other stretches of lines"]
