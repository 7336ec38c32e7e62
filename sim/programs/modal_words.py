"""Words that set what holds from block to block: G functions, F, S, T; M words that end or call."""

from __future__ import annotations

from dataclasses import replace

from sim.programs.code_systems import Place, question
from sim.programs.compensation import Side
from sim.programs.feed_words import feed_of
from sim.programs.modal import State
from sim.programs.read_block import ReadBlock
from sim.programs.reading import Reading
from sim.programs.speed_words import spindle, told_of_speed
from sim.programs.tool_words import called, takes_offset_off
from sim.programs.words import Block, ProgramError, Word, require_whole
from sim.programs.zero_words import work_offset

_CONSTANT = 96.0  # cutting speed
_SUBPROGRAMS = {96.0, 97.0, 98.0, 198.0}


def settings(one: ReadBlock) -> State:
    """Take over everything modal in a block but the position."""
    block, codes, words, state = one.block, one.codes, one.words, one.state
    number = int(words["N"].value) if "N" in words else None
    if number != state.block:
        state = state._replace(block=number)
    if "O" in words:
        if state.named is not None:
            raise ProgramError(
                block.line, words["O"].text, f"begins another program than that of line {state.named}"
            )
        state = state._replace(named=block.line)
    if "return" in codes:
        one.note(f"{codes['return'].text} says how far a drilling cycle returns")
    if codes:
        state = _modes(block, codes, state, one.reading)
    if "datum" in codes:
        state = work_offset(one.after(state))
    if "limit" not in codes and "dwell" not in codes:
        state = spindle(block, codes, words, state)
        if "F" in words:
            fed = _feed(block, words["F"], state, one.reading)
            state = state._replace(feed=fed, feed_unsaid=None)
            if state.doubts.dropped is not None:
                state = state._replace(doubts=replace(state.doubts, dropped=None))
        state = told_of_speed(one.after(state))
    return _functions(one.after(state))


def _functions(one: ReadBlock) -> State:
    """Take over the tool, and note the machine functions."""
    block, words, state, reading = one.block, one.words, one.state, one.reading
    if "T" in words:
        tool = called(block, words["T"], state.tool, reading.tools, one.notes, reading.tool_word)
        off = takes_offset_off(words["T"], reading.tools, reading.tool_word)
        state = state._replace(
            tool=tool, reached=False, without_offset=Place(block.line, words["T"].text) if off else None
        )
        one.note(f"tool {words['T'].text}")
    if "D" in words:
        state = _offset(one.after(state), words.pop("D"))
    for word in block.words:
        if word.letter == "M":
            if word.value in _SUBPROGRAMS:
                raise ProgramError(block.line, word.text, "calls or ends a subprogram, which is not followed")
            one.note(f"machine function {word.text}")
    return state


def _offset(one: ReadBlock, word: Word) -> State:
    """Take over D, which calls the offset of the tool near to the standard; D0 takes it off."""
    require_whole(one.block, word)
    if "speed" in one.codes and one.codes["speed"].value == _CONSTANT:
        raise one.refused(
            word,
            f"beside {one.codes['speed'].text} is a limit of the speed on some controls and the tool's offset on "
            "others: write the offset on a line of its own, and a limit by LIMS= or G26 S",
        )
    off = Place(one.block.line, word.text) if word.value == 0.0 else None
    if off is not None:
        one.note(f"{word.text} takes the offset off; moves are judged as if it stayed on")
    elif word.value != 1.0:
        one.note(
            f"{word.text} calls another offset than the tool's first: the tip is judged where that has it"
        )
    return one.state._replace(without_offset=off, reached=False)


def _modes(block: Block, codes: dict[str, Word], state: State, reading: Reading) -> State:
    """Take over the preparatory functions that hold from block to block."""
    number = {group: int(word.value) for group, word in codes.items()}
    if number.keys() == {"motion"}:
        motion = number["motion"]
        return state if motion == state.motion else state._replace(motion=motion)
    inch = number["unit"] in (20, 70) if "unit" in number else state.inch
    if inch != reading.inch:
        _all_figures(block, codes, state)
    per_minute = number["feed"] in (94, 98) if "feed" in number else state.feed_per_minute
    doubts = state.doubts
    if per_minute != state.feed_per_minute and state.feed is not None and number["feed"] >= 98:
        doubts = replace(doubts, dropped=Place(block.line, codes["feed"].text))
    changed = Place(block.line, codes["unit"].text) if inch != state.inch else None
    sides: dict[int, Side] = {40: "none", 41: "left", 42: "right"}
    return state._replace(
        motion=number.get("motion", state.motion),
        inch=inch,
        unit_told=state.unit_told or "unit" in number,
        absolute=number["distance"] == 90 if "distance" in number else state.absolute,
        side=sides[number["compensation"]] if "compensation" in number else state.side,
        feed_per_minute=per_minute,
        doubts=doubts if len(state.systems) > 1 else state.doubts,
        feed=state.feed if per_minute == state.feed_per_minute else None,
        # One control keeps the length, another the number: F, and S as a cutting speed, must be written anew.
        feed_unsaid=changed if changed is not None and state.feed is not None else state.feed_unsaid,
        lead=None if changed is not None else state.lead,
        unsaid=changed
        if changed is not None and state.constant_cut and state.speed is not None
        else state.unsaid,
    )


def _all_figures(block: Block, codes: dict[str, Word], state: State) -> None:
    """Refuse to change the unit where it is open whether feeds and cutting speeds change with it."""
    word = codes.get("unit")
    if word is None or "ISO" not in state.systems or (len(state.systems) > 1 and word.value < 70.0):
        return
    raise ProgramError(
        block.line, word.text,
        "changes between mm and inches, and whether feeds and cutting speeds change with it differs between controls "
        "near to the standard: unit must state 'inch' if all of the program is in inches, or 'mm'"
        + ("" if len(state.systems) == 1 else f"; {question(state.systems)}"),
    )  # fmt: skip


def _feed(block: Block, word: Word, state: State, reading: Reading) -> float:
    return feed_of(
        block, word, state.doubts, inch=state.inch, per_minute=state.feed_per_minute,
        increments=reading.points_count,
    )  # fmt: skip
