"""A block as it is followed: its words in order, what holds, how it is read; what it moves and notes goes beside."""

from __future__ import annotations

from typing import NamedTuple

from sim.programs.compensation import Programmed
from sim.programs.modal import State
from sim.programs.reading import Reading
from sim.programs.words import Block, ProgramError, Word


class ReadBlock(NamedTuple):
    """A block and all that its words are read with.

    Attributes
    ----------
    block : Block
    codes : dict of str to Word
        Its G words by group (`sim.programs.code_groups`).
    words : dict of str to Word
        Its other words by letter, but M.
    state : State
        What holds before what is still to be read of it.
    reading : Reading
    programmed : list of Programmed
        Moves of the program so far; those of the block are put behind them.
    notes : list of str
        What has been noted so far; those of the block are put behind them.
    """

    block: Block
    codes: dict[str, Word]
    words: dict[str, Word]
    state: State
    reading: Reading
    programmed: list[Programmed]
    notes: list[str]

    def after(self, state: State) -> ReadBlock:
        """Return the block with what holds once some of its words are read."""
        return self if state is self.state else self._replace(state=state)

    def note(self, message: str) -> None:
        """Note what was read, with the line."""
        self.notes.append(f"line {self.block.line}: {message}")

    def refused(self, word: Word | None, message: str) -> ProgramError:
        """Return the refusal of a word, or of the block as a whole."""
        return ProgramError(self.block.line, "" if word is None else word.text, message)

    def first(self, letters: str) -> Word | None:
        """Return the word of the first of some letters that the block has."""
        return next((self.words[letter] for letter in letters if letter in self.words), None)
