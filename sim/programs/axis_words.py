"""X, Z, U and W: where a block ends, lengths in mm."""

from __future__ import annotations

from meshes.points import Point
from sim.programs.feed_words import INCH
from sim.programs.modal import State
from sim.programs.reading import Reading
from sim.programs.words import Block, ProgramError, Word

LARGEST_COORDINATE = 1e4  # mm, beyond any lathe: a slip of the decimal point


def told_of_lengths(block: Block, words: dict[str, Word], state: State, notes: list[str]) -> State:
    """Note once what is taken for granted about lengths: their unit, and what U and W mean."""
    if not state.unit_told:
        unit = "inches" if state.inch else "mm"
        notes.append(f"line {block.line}: the first move, before any G20 or G21; lengths are read in {unit}")
    increment = words.get("U", words.get("W"))
    if increment is not None and "G90 cycles" not in state.systems and not state.increments_told:
        notes.append(f"line {block.line}: {increment.text}, U and W are read as increments of X and Z")
        state = state._replace(increments_told=True)
    return state if state.unit_told else state._replace(unit_told=True)


def target(block: Block, words: dict[str, Word], state: State, reading: Reading) -> Point:
    """Where the block ends, x as radius, z in the frame of the chuck."""
    ends = []
    for axis, increment, at, share, zero in (
        ("X", "U", state.at[0], 0.5 if reading.diameter else 1.0, 0.0),
        ("Z", "W", state.at[1], 1.0, zero_z(block, state, reading, absolute="Z" in words)),
    ):
        if axis in words and increment in words:
            raise ProgramError(block.line, words[increment].text, f"and {words[axis].text} both move {axis}")
        if axis in words:
            value = share * length(block, words[axis], state, reading)
            ends.append(value + zero if state.absolute else at + value)
        elif increment in words:
            ends.append(at + share * length(block, words[increment], state, reading))
        else:
            ends.append(at)
        if abs(ends[-1]) > 2.0 * LARGEST_COORDINATE:
            raise ProgramError(block.line, "", f"runs beyond {2.0 * LARGEST_COORDINATE:g} mm in {axis}")
    return ends[0], ends[1]


def zero_z(block: Block, state: State, reading: Reading, *, absolute: bool = True) -> float:
    """Return z of the zero point in force in the frame of the chuck, mm.

    Raises
    ------
    ProgramError
        If several are stated and the program has called none of them; not for an increment.
    """
    if reading.datums and state.datum is None and absolute and state.absolute:
        raise ProgramError(
            block.line, "",
            "counts from a zero point before any of G54 to G59 is called: which of those of offsets is in force is "
            "open",
        )  # fmt: skip
    stated = reading.z_offset if state.datum is None else reading.datums.get(state.datum, reading.z_offset)
    return stated + state.shift + state.local


def length(block: Block, word: Word, state: State, reading: Reading) -> float:
    """Value of a word in mm."""
    unit = INCH if state.inch else 1.0
    if reading.point_required and not word.decimal and word.value != 0.0:
        raise ProgramError(
            block.line, word.text,
            f"has no decimal point and can mean {word.value:g} {'inch' if state.inch else 'mm'} or {word.value:g} "
            "increments: without_point must state which, or write the point",
        )  # fmt: skip
    if reading.least_increment is not None and not word.decimal:
        unit *= reading.least_increment * (0.1 if state.inch else 1.0)
    value = word.value * unit
    if abs(value) > LARGEST_COORDINATE:
        raise ProgramError(
            block.line, word.text, f"must lie within {LARGEST_COORDINATE:g} mm, found {value:g} mm"
        )
    return value
