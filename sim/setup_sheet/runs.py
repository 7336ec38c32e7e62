"""Words of a row in which figures stand out: what is set, turned or read off is bold and larger than the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from meshes.points import Point
from sim.drawing.letters import shown, words_width, wrapped
from sim.drawing.primitives import Anchor, Item, Words

NARROW = 0.9  # of all letters on a sheet: as the condensed fonts of this family are made
SMALLEST = 2.06  # mm, height of capitals of 8 pt letters: nothing on a sheet is smaller
BODY, STRONG, FAR = 2.1, 2.6, 3.2  # mm, of capitals: 8, 10 and 12 pt
BOLDER = 1.13  # by how much bold letters are wider
MARK = "\x0e"  # on both sides of what stands out; no text has it otherwise, and nothing worse follows where one does
BETWEEN = "; "  # two things that are told on one line


@dataclass(frozen=True, slots=True)
class Run:
    """Words of one font.

    Attributes
    ----------
    words : str
    height : float
        Of capitals, mm.
    bold : bool
    """

    words: str
    height: float
    bold: bool

    @property
    def wide(self) -> float:
        """Width, mm."""
        return wide_of(self.words, self.height, bold=self.bold)


Token = tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """Runs on one line, each with how far it stands from the line's beginning, and how high the line is, mm."""

    runs: tuple[tuple[float, Run], ...]
    pitch: float

    @property
    def capitals(self) -> float:
        """Height of its largest capitals, mm."""
        return max((run.height for _, run in self.runs), default=BODY)


def wide_of(words: str, height: float, *, bold: bool = False) -> float:
    """Return how wide words are on a sheet, mm."""
    return NARROW * words_width(words, height, bold=bold)


def lettered(at: Point, words: str, height: float, anchor: Anchor = "left", *, bold: bool = False) -> Words:
    """Return words as a sheet has them."""
    return Words(at, words, height, anchor, bold=bold, stretch=NARROW)


def broken(words: str, height: float, wide: float, *, bold: bool = False) -> tuple[str, ...]:
    """Return words in lines no wider than `wide` mm."""
    return wrapped(words, height, wide / (NARROW * (BOLDER if bold else 1.0)))


def under_each_other(
    x: float, top: float, lines: Sequence[str], height: float, *, bold: bool = False
) -> list[Item]:
    """Return lines of words, the first with its capitals' top at `top`."""
    return [
        lettered((x, top - height - n * pitch(height)), line, height, bold=bold)
        for n, line in enumerate(lines)
    ]


def lines_high(count: int, height: float) -> float:
    """Return how high so many lines are, from the first capitals' top to below the last."""
    return count * pitch(height)


def strong(words: str) -> str:
    """Return words that are to stand out."""
    return f"{MARK}{words}{MARK}"


def plain_words(words: str) -> str:
    """Return words without what makes them stand out."""
    return words.replace(MARK, "")


def pitch(height: float) -> float:
    """Return how far a line with capitals so high stands from the next, mm; small letters want more air."""
    return 0.75 + 1.2 * height


def rows_of(
    told: Sequence[str], wide: float, *, body: float = BODY, bold: float = STRONG, first: float = STRONG
) -> tuple[Row, ...]:
    """Return what is told in lines no wider than `wide` mm; what fits behind the one before it does not begin a line.

    Parameters
    ----------
    told : sequence of str
    wide : float
    body, bold, first : float
        Heights of capitals of what is said, of what stands out, and of what stands out in the first of them, mm.
    """
    lines: list[list[Token]] = []
    space = wide_of(" ", body)
    for number, one in enumerate(told):
        tokens = list(_tokens(one, wide, (body, first if number == 0 else bold)))
        if lines and tokens:
            end = BETWEEN.strip() if lines[-1][-1][-1].words[-1] not in ".;:" else ""
            joined = [
                *lines[-1][:-1],
                (*lines[-1][-1], *([Run(end, body, bold=False)] if end else [])),
                *tokens,
            ]
            if _wide(joined, space) <= wide:
                lines[-1] = joined
                continue
        lines += _wrapped(tokens, wide, space)
    return tuple(_row(line, space) for line in lines)


def rows_high(rows: Sequence[Row]) -> float:
    """Return how high lines are together, mm."""
    return sum(row.pitch for row in rows)


def drawn_rows(x: float, top: float, rows: Sequence[Row]) -> list[Item]:
    """Return lines, the first one's capitals with their top at `top`."""
    items: list[Item] = []
    for row in rows:
        base = top - row.capitals
        items += [lettered((x + off, base), run.words, run.height, bold=run.bold) for off, run in row.runs]
        top -= row.pitch
    return items


def _tokens(text: str, wide: float, heights: tuple[float, float]) -> Iterator[Token]:
    """Yield what is not broken: words, and figures with their units."""
    open_token: list[Run] = []
    for number, part in enumerate(text.split(MARK)):
        bold = number % 2 == 1
        height = heights[bold]
        words = shown(part)
        pieces = [words] if bold and wide_of(words, height, bold=True) <= wide else words.split(" ")
        for count, piece in enumerate(pieces):
            if count and open_token:
                yield tuple(open_token)
                open_token = []
            if piece:
                open_token.append(Run(piece, height, bold))
    if open_token:
        yield tuple(open_token)


def _wide(tokens: Sequence[Token], space: float) -> float:
    return sum(run.wide for token in tokens for run in token) + space * max(0, len(tokens) - 1)


def _wrapped(tokens: Sequence[Token], wide: float, space: float) -> list[list[Token]]:
    lines: list[list[Token]] = []
    for token in tokens:
        if lines and _wide([*lines[-1], token], space) <= wide:
            lines[-1].append(token)
        elif _wide([token], space) <= wide:
            lines.append([token])
        else:
            lines += [[(one,)] for one in _broken(token, wide)]
    return lines


def _broken(token: Token, wide: float) -> Iterator[Run]:
    """Yield pieces of what is wider than a line alone."""
    for run in token:
        piece = ""
        for letter in run.words:
            if piece and wide_of(piece + letter, run.height, bold=run.bold) > wide:
                yield Run(piece, run.height, run.bold)
                piece = ""
            piece += letter
        yield Run(piece, run.height, run.bold)


def _row(tokens: Sequence[Token], between: float) -> Row:
    """Return a line, words of one font behind each other as one run."""
    runs: list[tuple[float, Run]] = []
    at = 0.0
    for number, token in enumerate(tokens):
        space = between if number else 0.0
        for run in token:
            if runs and not run.bold and not runs[-1][1].bold:
                before, last = runs[-1]
                runs[-1] = (
                    before,
                    Run(last.words + (" " if space else "") + run.words, run.height, bold=False),
                )
            else:
                runs.append((at + space, run))
            at += space + run.wide
            space = 0.0
    return Row(tuple(runs), pitch(max((run.height for _, run in runs), default=BODY)))
