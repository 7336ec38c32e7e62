"""Codes at the end of a set-up's pages: the paper gives the setup back."""

from __future__ import annotations

from collections.abc import Sequence

from sim.drawing.asked import Asked
from sim.drawing.letters import shown
from sim.drawing.primitives import Item
from sim.drawing.squares import code, squares_across
from sim.setup_sheet.blocks import RISE, Block, columns
from sim.setup_sheet.form import form_of
from sim.setup_sheet.runs import SMALLEST, broken, lettered, lines_high, pitch, under_each_other

# Of a square on the paper, mm. At 150 dpi an independent reader finds codes of 0.4 mm sharp and upright, of 0.6 mm also
# turned by 5 deg, in grey, grainy and unsharp (0.8 points); with twice the grain not even those. A phone that fills its
# picture with the code has more than twice as many points (common practice, no source).
SIDE, SIDES = 0.4, (0.6, 0.5)  # the least, and larger ones where two pages have room for them
LEAST_WIDE = 48.0  # of what is told without a code, mm
MARGIN = 1.6  # of what is told under a code, as wide as the white around that, mm
ONE = "This code holds the whole setup: read it with a phone and give its text to 'chuckscene from-code'."
SEVERAL = (
    "These {count} codes together hold the whole setup: read each with a phone and give all texts to "
    "'chuckscene from-code'."
)
TOO_LONG = "This setup is too long for codes on paper: keep its files with this sheet."
APART = "Not in it, keep them with this sheet: {files}."


def code_column(
    texts: Sequence[str], apart: Sequence[str], asked: Asked, *, across: int = 1, square: float = SIDE
) -> tuple[float, Block | None]:
    """Return the codes of a set-up, what they are for under them, and how wide they are; at the right of the page.

    None where there is nothing to tell.

    Parameters
    ----------
    texts : sequence of str
        What each code holds.
    apart : sequence of str
        Files of the scenario that they do not hold.
    asked : Asked
    across : int
        How many stand beside each other.
    square : float
        Side of a square of the codes, mm.
    """
    form = form_of(asked)
    told = [form.say(TOO_LONG)] if apart and not texts else []
    if texts:
        told = [form.say(ONE) if len(texts) == 1 else form.say(SEVERAL, count=len(texts))]
        told += [form.say(APART, files=shown(", ".join(apart)))] if apart else []
    if not told:
        return 0.0, None
    side = max((squares_across(text) * square for text in texts), default=LEAST_WIDE)
    across = min(across, max(1, len(texts)))
    wide = across * side
    lines = [line for one in told for line in broken(one, SMALLEST, wide - 2.0 * MARGIN)]
    high = side + (pitch(SMALLEST) if len(texts) > 1 else 0.0)
    left, rows = columns(asked).right - wide, -(-len(texts) // across)

    def drawn(top: float) -> list[Item]:
        items: list[Item] = []
        for number, text in enumerate(texts):
            x, upper = left + side * (number % across), top - RISE - high * (number // across)
            items.append(code(text, (x, upper - squares_across(text) * square), square))
            if len(texts) > 1:
                place = x + 0.5 * side, upper - side - SMALLEST + 0.8
                items.append(lettered(place, f"{number + 1}/{len(texts)}", SMALLEST, "middle"))
        return [*items, *under_each_other(left + MARGIN, top - RISE - high * rows, lines, SMALLEST)]

    return wide, Block(RISE + high * rows + lines_high(len(lines), SMALLEST) + 1.0, drawn)
