"""Codes at the end of a set-up's pages: the paper gives the setup back."""

from __future__ import annotations

from collections.abc import Sequence

from sim.drawing.asked import Asked
from sim.drawing.letters import shown, wrapped
from sim.drawing.primitives import Item, Words
from sim.drawing.squares import code, squares_across
from sim.setup_sheet.blocks import LABEL, TICK, Block, columns, lines_high, under_each_other
from sim.setup_sheet.form import form_of

SIDE = 0.4  # of a square on the paper, mm: a phone held over it reads it (common practice, no source)
IN_A_ROW = 2
ONE = (
    "This code holds the whole setup. Read it with a phone or a scanner and give its text to 'chuckscene from-code': "
    "the scenario comes back, with the same digest and the same figures."
)
SEVERAL = (
    "These {count} codes together hold the whole setup. Read each with a phone or a scanner and give all their texts "
    "to 'chuckscene from-code': the scenario comes back, with the same digest and the same figures."
)
TOO_LONG = "This setup is too long for codes on paper: keep its files with this sheet."
APART = "Not in it, keep them with this sheet: {files}."


def code_blocks(texts: Sequence[str], apart: Sequence[str], asked: Asked) -> list[Block]:
    """Return the codes of a set-up, two beside each other, what they are for beside them.

    Parameters
    ----------
    texts : sequence of str
        What each code holds.
    apart : sequence of str
        Files of the scenario that they do not hold.
    asked : Asked
    """
    form = form_of(asked)
    if not texts:
        return [_row((), 0, 0, (form.say(TOO_LONG),), asked)] if apart else []
    told = [form.say(ONE) if len(texts) == 1 else form.say(SEVERAL, count=len(texts))]
    told += [form.say(APART, files=shown(", ".join(apart)))] if apart else []
    return [
        _row(texts[at : at + IN_A_ROW], at, len(texts), told if at == 0 else (), asked)
        for at in range(0, len(texts), IN_A_ROW)
    ]


def _row(texts: Sequence[str], before: int, count: int, told: Sequence[str], asked: Asked) -> Block:
    at = columns(asked)
    sizes = [squares_across(text) * SIDE for text in texts]
    left = at.label + sum(sizes) + 1.0
    lines = [line for one in told for line in wrapped(one, LABEL, at.right - left)]
    numbered = 4.0 if count > 1 else 0.0
    high = max(max(sizes, default=0.0) + numbered, lines_high(len(lines), LABEL) + 4.0) + 3.0

    def drawn(top: float) -> list[Item]:
        items: list[Item] = [*under_each_other(left, top - 4.0, lines, LABEL)]
        x = at.label
        for number, (text, size) in enumerate(zip(texts, sizes, strict=True), start=before + 1):
            items.append(code(text, (x, top - 1.0 - size), SIDE))
            if count > 1:
                items.append(Words((x + 0.5 * size, top - size - 3.0), f"{number}/{count}", TICK, "middle"))
            x += size
        return items

    return Block(high, drawn)
