"""What a setup rests on that nobody has read off, as the rows of pages: what matters most first."""

from __future__ import annotations

from typing import Any

from sim.assessment.verdict import Verdict
from sim.terminal.typical import fallen_text
from sim.uncertainty.typical import End, Rests
from sim.views.colours import STATUS_SYMBOL, STATUS_WORD

NONE = "Every value that has a usual range is stated and none is called typical."
HEADS = ("not read off", "taken", "because", "at worst", "what loses most there", "worst verdict there")


def typical_table(worst: Verdict | None, found: tuple[Rests, ...]) -> dict[str, Any]:
    """Return its words as a page shows them; JSON."""
    stands = f"As it stands: {_verdict(worst)}. Margin 1 is at the limit; contact by elastic columns."
    return {
        "told": stands if found else NONE,
        "heads": list(HEADS) if found else [],
        "rows": [_row(one) for one in found],
    }


def _row(one: Rests) -> dict[str, Any]:
    end = one.worse
    return {
        "field": one.field,
        "place": one.field.split("."),
        "cells": [one.value, one.basis, end.value, fallen_text(end), _end(end)],
        "status": "fail" if end.worst is None else end.worst.status,
    }


def _end(end: End) -> str:
    return f"refused: {end.refused}" if end.worst is None and end.refused else _verdict(end.worst)


def _verdict(verdict: Verdict | None) -> str:
    if verdict is None:
        return "no verdict has a margin"
    mark = f"{STATUS_SYMBOL[verdict.status]} {STATUS_WORD[verdict.status]}"
    return f"{mark}: {verdict.name} ({verdict.stage}), margin {verdict.margin:.2f}"
