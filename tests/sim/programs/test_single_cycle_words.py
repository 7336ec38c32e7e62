"""Single cycles, threads, pecking and holes from their words. What the words mean is common practice, no source."""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.programs.code_systems import CodeSystem
from sim.programs.cycles.amounts import Amounts
from sim.programs.path import Move
from sim.programs.program import Program, read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

HEAD = "G97 S800 F.2\nG0 X54. Z5.\n"


def followed(text: str, **options: Any) -> Program:
    options = {"start": (50.0, 50.0), "code_system": "G90 cycles", **options}
    return read(HEAD + text, Reading(**options))


def path(text: str, **options: Any) -> str:
    """Return the moves behind the head in short: r or f, and where each ends, x as a diameter."""
    moves = followed(text, **options).moves[1:]
    return " ".join(f"{m.kind[0]}({2 * m.end[0]:g},{m.end[1]:g})" for m in moves)


def test_a_single_cycle_repeats_until_another_motion() -> None:
    """Turning at 50, then 46 by X alone, then 44 by U-10 from 54; G0 ends it."""
    found = path("G90 X50. Z-20.\nX46.\nM8\nU-10. Z-15.\nG0 X100.")
    assert found == (
        "r(50,5) f(50,-20) f(54,-20) r(54,5) r(46,5) f(46,-20) f(54,-20) r(54,5) "
        "r(44,5) f(44,-15) f(54,-15) r(54,5) r(100,5)"
    )
    lines = [move.line for move in followed("G90 X50. Z-20.\nX46.").moves[1:]]
    assert lines == [3] * 4 + [4] * 4


@pytest.mark.parametrize(
    ("system", "turn", "thread", "face"),
    [("G90 cycles", 90, 92, 94), ("G77 cycles", 77, 78, 79), ("G20 cycles", 20, 21, 24)],
)
def test_single_cycles_by_code_system(system: CodeSystem, turn: int, thread: int, face: int) -> None:
    """By hand: a cone of 2 mm radius, a thread of two passes, a face."""
    text = f"G{turn} X50. Z-20. R-2.\nG{thread} X52. Z-10. R0 F1.5\nX51.\nG{face} X20. Z1."
    assert path(text, code_system=system) == (
        "r(46,5) f(50,-20) f(54,-20) r(54,5) r(52,5) f(52,-10) r(54,-10) r(54,5) r(51,5) f(51,-10) r(54,-10) r(54,5) "
        "r(54,1) f(20,1) f(20,5) r(54,5)"
    )


def test_older_words_of_a_taper() -> None:
    assert path("G90 X50. Z-20. I-2.") == path("G90 X50. Z-20. R-2.")
    assert path("G94 X20. Z1. K-2.") == path("G94 X20. Z1. R-2.")


def test_a_taper_holds_for_the_next_blocks() -> None:
    assert path("G90 X50. Z-20. R-2.\nX48.").endswith("r(44,5) f(48,-20) f(54,-20) r(54,5)")


def test_a_feed_by_the_minute_counts_by_the_turn() -> None:
    """160 mm a minute at 800 turns a minute is 0.2 mm a turn."""
    text = "G95\nG0 X54. Z5.\nG94 G97 S800 F160.\nG77 X50. Z-20."
    assert [m.feed for m in read(text, Reading(code_system="G77 cycles")).moves if m.kind == "feed"] == [
        0.2,
        0.2,
    ]


def test_a_thread_pulled_out_as_stated() -> None:
    """One lead of 1.5 before -10 at 45 deg, from diameter 50 to 53."""
    found = path("G92 X50. Z-10. F1.5", amounts=Amounts(pull_out=1.0))
    assert found == "r(50,5) f(50,-8.5) f(53,-10) r(54,-10) r(54,5)"
    notes = followed("G92 X50. Z-10. F1.5", amounts=Amounts(pull_out=1.0)).notes
    assert any("left at 45 deg 1 leads before" in note for note in notes)
    assert any("cut in full to the end" in note for note in followed("G92 X50. Z-10. F1.5").notes)


def test_a_thread_cycle_in_two_blocks() -> None:
    """Height 0.92, first 0.46, roughed to 0.90: 0.46, 0.6505, 0.7967, 0.90 (0.46 sqrt(4) = 0.92); twice 0.92.

    As diameters, 50.16 + 2 (0.92 - depth): 51.08, 50.699, 50.4065, 50.2, 50.16, 50.16.
    """
    moves = followed("G76 P020060 Q50 R.02\nG76 X50.16 Z-10. P920 Q460 F1.5").moves
    cuts = [move for move in moves if move.thread is not None]
    assert [2 * m.end[0] for m in cuts] == pytest.approx(
        [51.08, 50.698923, 50.406513, 50.2, 50.16, 50.16], abs=1e-6
    )
    assert [m.stage for m in cuts][::5] == ["thread pass 1 (G76)", "thread pass 6 (G76)"]
    assert {m.line for m in cuts} == {4}
    assert [m.feed for m in cuts] == pytest.approx([1.5] * 6)


def test_the_same_thread_in_one_block() -> None:
    """D and K as P and Q of the second block; least pass, allowance and one finishing pass by default."""
    one = followed(
        "G76 X50.16 Z-10. K.92 D.46 A60 F1.5", amounts=Amounts(least_pass=0.05, finish_allowance=0.02)
    )
    two = followed("G76 P010060 Q50 R.02\nG76 X50.16 Z-10. P920 Q460 F1.5")
    ends = [[value for move in program.moves for value in move.end] for program in (one, two)]
    assert ends[0] == pytest.approx(ends[1])
    assert sum("by default" in note for note in one.notes) == 3
    assert not any("by default" in note for note in two.notes)


def test_a_thread_along_a_line() -> None:
    """G32 goes on by axis words, and keeps its start while it does; a lead along z counts for the way of the tip."""
    moves = followed("G32 Z-20. F1.5\nX60. Z-24.\nG0 X70.").moves[1:]
    assert [m.kind for m in moves] == ["feed", "feed", "rapid"]
    assert [m.feed for m in moves] == pytest.approx([1.5, 1.5 * 5 / 4, None])
    assert moves[0].thread == moves[1].thread is not None
    assert path("G33 Z-20. K1.5", code_system=None) == "f(54,-20)"
    assert followed("G33 Z-20. K1.5", code_system="ISO").moves[-1].feed == 1.5


def test_a_lead_holds_until_another_f() -> None:
    """A cut after a thread feeds by its lead, if a cut can; a later thread takes it up, unless F was given since."""
    assert followed("G32 Z-20. F1.5\nG1 X60.").moves[-1].feed == 1.5
    assert followed("G32 Z-20. F12.\nG1 X60.").moves[-1].feed is None
    assert followed("G32 Z-20. F1.5\nG0 Z5.\nG32 Z-20.").moves[-1].feed == 1.5
    with pytest.raises(ProgramError, match="must state the lead"):
        followed("G32 Z-20. F1.5\nG1 Z5. F.2\nG32 Z-20.")


def test_two_starts_of_a_thread() -> None:
    """Half a turn later by Q, with or without a point: as if it began half a lead of 3 mm farther out."""
    moves = followed("G92 X52. Z-10. F3.\nX52. Q180000\nX52. Q180.\nG0 Z6.5\nG92 X52. Z-10. F3.").moves
    starts = [move.thread for move in moves if move.thread is not None]
    assert starts[1] == starts[2] == pytest.approx(starts[3])
    assert abs(starts[1] - starts[0]) == pytest.approx(0.5)


def test_pecking_in_one_block_and_in_two() -> None:
    two = path("G75 R.2\nG75 X40. Z3. P3000 Q2000")
    assert two == path("G75 X40. Z3. I3. K2.", amounts=Amounts(back_off=0.2))
    assert two.startswith("f(48,5) r(48.4,5) f(42,5) r(42.4,5) f(40,5) r(54,5) r(54,3)")
    assert path("G74 R.5\nG74 Z-7. Q6000") == "f(54,-1) r(54,-0.5) f(54,-7) r(54,5)"
    assert path("G76 R.5\nG76 Z-7. Q6000", code_system="G20 cycles") == path("G74 R.5\nG74 Z-7. Q6000")
    assert any("backs off by 0.5 mm" in note for note in followed("G74 Z-7. Q6000").notes)


AXIS = "G0 X0\n"


def test_holes_on_the_axis() -> None:
    assert path(AXIS + "G83 Z-7. Q6000\nZ-9.\nG80\nG0 Z9.") == (
        "r(0,5) f(0,-1) r(0,5) r(0,-0.5) f(0,-7) r(0,5) f(0,-1) r(0,5) r(0,-0.5) f(0,-7) r(0,5) r(0,-6.5) f(0,-9) "
        "r(0,5) r(0,9)"
    )
    from_start = Amounts(plane="from the start")
    assert path(AXIS + "G81 Z-7. R-3.", amounts=from_start) == "r(0,5) r(0,2) f(0,-7) r(0,5)"
    absolute = Amounts(plane="absolute")
    assert path(AXIS + "G81 Z-7. R2.", amounts=absolute) == "r(0,5) r(0,2) f(0,-7) r(0,5)"
    assert path(AXIS + "G84 Z-7. F1.5") == "r(0,5) f(0,-7) f(0,5)"
    assert path(AXIS + "G85 Z-7.", code_system=None) == "r(0,5) f(0,-7) f(0,5)"


@pytest.mark.parametrize(
    ("text", "line", "word", "what", "options"),
    [
        ("G76 X52. Z-10. P920 Q300 F1.5", 3, "G76", "code_system must state", {"code_system": None}),
        ("G76 R.5", 3, "G76", "code_system must state", {"code_system": None}),
        ("G74 W-2. R.5", 3, "G74", "code_system must state", {"code_system": None}),
        ("G90 X50. Z-10.", 3, "G90", "single cycles", {"code_system": None}),
        ("G77 X50. Z-10.", 3, "G77", "not followed", {"code_system": None}),
        ("G76 X50. Z-10. Q9", 3, "G76", "no cycle of the stated", {"code_system": "ISO"}),
        ("G74 Z-10.", 3, "G74", "no cycle of the stated", {"code_system": "G20 cycles"}),
        ("G90 X54. Z-10.", 3, "G90", "another X", {}),
        ("G90 X50.", 3, "G90", "another X and another Z", {}),
        ("G94 X50. Z5.", 3, "G94", "another Z", {}),
        ("G90 X50. Z-10. R3.", 3, "R3.", "mend its sign", {}),
        ("G90 X50. Z-10. R-1. I-1.", 3, "I-1.", "exclude each other", {}),
        ("G90 X50. Z-10. R-1.\nG90 X48.", 4, "G90", "write R", {}),
        ("G90 X50. Z-10. K1.", 3, "K1.", "no meaning here", {}),
        ("G0 G90 X50. Z-10.", 3, "G0", "exclude each other", {}),
        ("G90 X50. Z-10. X4.", 3, "X4.", "second time", {}),
        ("G41 G90 X50. Z-10.", 3, "G90", "G41 or G42", {}),
        ("G92 X50. Z-10.", 3, "G92", "state the lead", {}),
        ("G92 X50. Z-10. F60.", 3, "F60.", "0.05 to 50 mm", {}),
        ("G92 X50. Z-10. F0", 3, "F0", "0.05 to 50 mm", {}),
        ("G92 X50. Z-10. F2", 3, "F2", "no decimal point", {"point_required": True}),
        ("G98 F200.\nG92 X50. Z-10. F2.", 4, "F2.", "by the minute", {}),
        ("G96 S200\nG92 X50. Z-10. F2.", 4, "G92", "constant cutting speed", {}),
        ("G92 X50. Z-10. F2. Q180", 3, "Q180", "angle", {}),
        ("G92 X53. Z-10. F2.", 3, "G92", "farther than the tool stands off", {"amounts": Amounts(pull_out=1.0)}),
        ("G32 Z-10. F1.5 K1.5", 3, "K1.5", "exclude each other", {}),
        ("G32 X10. Z4. K1.5", 3, "K1.5", "along the longer way", {}),
        ("G76 P60 Q50 R.02", 3, "P60", "six digits", {}),
        ("G76 P000060 Q50 R.02", 3, "P000060", "1 to 99 finishing", {}),
        ("G76 P1000.6 Q50 R.02", 3, "P1000.6", "six digits", {}),
        ("G76 X52. Z-10. P920 Q300", 3, "G76", "state the lead", {}),
        ("G76 X52. Z-10. P92 F1.5", 3, "G76", "first pass by Q", {}),
        ("G76 X52. Z-10. Q92 F1.5", 3, "G76", "height of the thread by P", {}),
        ("G76 X52. Z-10. P1 Q300 F1.5", 3, "P1", "count increments", {}),
        ("G76 X50. Z-10. P9200 Q300 F1.5", 3, "P9200", "at most the lead", {}),
        ("G76 X52. Z-10. P920 Q920000 F1.5", 3, "G76", "first pass", {}),
        ("G76 X53. Z-10. P920 Q300 F1.5", 3, "G76", "through its crests", {}),
        ("G76 P010060 Q400 R0\nG76 X50. Z-10. P920 Q300 F1.5", 4, "G76", "least pass", {}),
        ("G76 X50. Z-10. K.92 F1.5", 3, "G76", "first pass by D", {}),
        ("G76 X50. Z-10. K.92 D.3 Q3 F1.5", 3, "Q3", "form of two blocks", {}),
        ("G76 X50. Z-10. K.92 D.3 P2 F1.5", 3, "P2", "infeed that is not followed", {}),
        ("G76 X50. Z-10. K.92 D.3 A150 F1.5", 3, "A150", "between the flanks", {}),
        ("G76 X50. Z-10. K.92 D300 F1.5", 3, "D300", "no decimal point", {"point_required": True}),
        ("G76 P010060 Q50 R0\nX50. Z-10.", 4, "X50.", "write the motion", {}),
        ("G75 X40. Z3. P3000 Q2000 R.1", 3, "R.1", "leave it out", {}),
        ("G75 X40. Z3. I3. K2. D1.", 3, "D1.", "leave it out", {}),
        ("G75 X40.", 3, "G75", "depth of a peck by P", {}),
        ("G75 X40. Z3. P3000", 3, "G75", "place to place by Q", {}),
        ("G75 X40. P3", 3, "P3", "count increments", {}),
        ("G75 X40. P3000 I3.", 3, "I3.", "exclude each other", {}),
        ("G74 X40. P3000", 3, "G74", "another Z", {}),
        ("G74 Q5", 3, "Q5", "without X, Z, U or W", {}),
        ("G75", 3, "G75", "must name X or Z", {}),
        ("G75 X40. P3000\nX30.", 4, "X30.", "write the motion", {}),
        ("G83 Z-7. Q6000", 3, "G83", "radius of 27 mm", {}),
        (AXIS + "G83 Z-7. R2.", 4, "R2.", "drill_plane must state", {}),
        (AXIS + "G83 Z-7. R-3.", 4, "R-3.", "how far the tool goes back",
         {"code_system": None, "amounts": Amounts(plane="from the start")}),
        (AXIS + "G83 Z-7. R3.", 4, "G83", "must lie between", {"amounts": Amounts(plane="from the start")}),
        (AXIS + "G83 Q3000", 4, "G83", "bottom of the hole", {}),
        (AXIS + "G84 Z-7.", 4, "G84", "pitch of the tap", {}),
        (AXIS + "G83 Z-7. K3", 4, "K3", "no meaning here", {}),
        (AXIS + "G81 Z-7.\nG80\nZ-9.", 6, "Z-9.", "before any of G0", {}),
        ("M5 S0\nG92 X50. Z-10. F2.", 4, "", "at rest", {}),
    ],
)  # fmt: skip
def test_what_is_not_followed(text: str, line: int, word: str, what: str, options: dict[str, Any]) -> None:
    with pytest.raises(ProgramError) as error:
        followed(text, **options)
    assert what in str(error.value)
    assert (error.value.line, error.value.word) == (line, word)
    assert "\n" not in str(error.value)


PIECES = st.lists(
    st.sampled_from(
        ["G90", "G92", "G94", "G76", "G74", "G75", "G32", "G83", "G84", "G80", "G0", "G1", "X40.", "X0", "Z-20.",
         "U-3.", "W-9.", "R-1.", "R.5", "I2.", "K.9", "D.3", "P010060", "P900", "Q300", "F1.5", "A60", "S900", "G96",
         "G97", "G98", "G41", "G40", "\n", "\n", "\n"]
    ), max_size=50,
).map(" ".join)  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(PIECES, st.sampled_from([None, "G90 cycles", "G77 cycles", "G20 cycles", "ISO"]))
def test_any_cycle_is_followed_on_a_connected_path_or_refused(text: str, system: CodeSystem | None) -> None:
    refused = None
    try:
        moves = followed(text, code_system=system, amounts=Amounts(plane="from the start")).moves
    except ProgramError as error:
        refused = error
    if refused is not None:
        assert refused.line >= 1
        assert "\n" not in str(refused)
        return
    for before, after in itertools.pairwise(moves):
        assert before.end == pytest.approx(after.start, abs=1e-6)
    assert all(isinstance(move, Move) and move.line is not None for move in moves)
