"""A small share of the drawn texts, the same each time; ``python tests/fuzz/fuzz.py`` reads as many as one likes."""

from __future__ import annotations

import random

import pytest
from corpus import TABLE, reading_of, text_of
from drawn_programs import GENERATORS
from fuzz import FindingError, bounded, once, run
from same_meaning import WAYS, meaning, renumbered, split

from sim.programs import cycle_moves, flow
from sim.programs.path import Move
from sim.programs.program import Program, read
from sim.programs.words import ProgramError


@pytest.fixture(autouse=True)
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(flow, "MOST_BLOCKS", flow.MOST_BLOCKS)
    monkeypatch.setattr(cycle_moves, "MOST_MOVES", cycle_moves.MOST_MOVES)
    bounded()


def test_drawn_texts_are_read_or_refused_and_mean_the_same_written_otherwise() -> None:
    count, whole, findings = run(seed=7, texts=2500)
    assert findings == []
    assert count >= 2500
    assert whole > 250  # else the other half of what is held is not tried


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
def test_the_corpus_means_the_same_written_otherwise(way) -> None:  # type: ignore[no-untyped-def]
    draw = random.Random(11)  # noqa: S311 - drawn, not guarded
    changed = 0
    for name in draw.sample(sorted(TABLE), 60):
        text, reading = text_of(name), reading_of(TABLE[name])
        other = way(draw, text)
        changed += other != text
        try:
            expected = meaning(read(text, reading))
        except ProgramError:
            with pytest.raises(ProgramError):
                read(other, reading)
        else:
            assert meaning(read(other, reading)) == expected, (name, other)
    assert changed > 40


def test_other_ways_of_writing_leave_a_mistake_and_a_jump_as_they_are() -> None:
    draw = random.Random(1)  # noqa: S311 - drawn, not guarded
    assert renumbered(draw, "N7 G4 S3 N9.5") == "N7 G4 S3 N9.5"
    assert {split(draw, "N10 G97 S400 M3") for _ in range(20)} <= {"N10 G97 S400 M3", "N10 G97 S400\nM3"}
    ends = "N10 X60.\nN20 G40 X28.\nG70 P10 Q20"
    assert {split(draw, ends) for _ in range(20)} == {ends}
    assert {split(draw, ends.replace("Q20", "Q30")) for _ in range(20)} > {ends.replace("Q20", "Q30")}
    assert once("W(A COMMENT).1", reading_of({})) is not None


def test_every_generator_draws_what_can_be_told_apart() -> None:
    draw = random.Random(3)  # noqa: S311 - drawn, not guarded
    for made in set(GENERATORS):
        assert len({made(draw)[0] for _ in range(20)}) > 15


def test_a_reader_that_fails_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """A move that does not join, a crash and a refusal of no line are told; each would pass if nothing were held."""
    apart = (Move("rapid", (0.0, 0.0), (1.0, 0.0)), Move("rapid", (2.0, 0.0), (3.0, 0.0)))
    monkeypatch.setattr("fuzz.read", lambda *_: Program(apart, (None, None), ()))
    reading = reading_of({})
    with pytest.raises(FindingError, match="do not join"):
        once("G0 X1.", reading)

    def refuse(*_: object) -> Program:
        raise ProgramError(3, "X1", "is nothing")

    monkeypatch.setattr("fuzz.read", refuse)
    with pytest.raises(FindingError, match="not one sentence on a line"):
        once("G0 X1.", reading)
    with pytest.raises(FindingError, match="half a word"):
        once("\n\nG0 X1.5", reading)
    with pytest.raises(FindingError, match="does not hold"):
        once("\n\nG0 Z1.5", reading)
    monkeypatch.setattr("fuzz.read", lambda *_: 1 // 0)
    count, _, findings = run(seed=1, texts=3)
    assert len(findings) == count == 3
