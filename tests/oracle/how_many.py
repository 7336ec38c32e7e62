"""How many cases of a question a run of the tests draws, and how many it draws by hand.

Each case of these is a search in three dimensions, a program cut in small steps, a fit of readings. A run draws the
first of the same sequence; `CHUCKSCENE_DRAW=anew` (see `tests/conftest.py`) draws the whole number.
"""

from __future__ import annotations

import os

# (in every run, by hand), by what is drawn.
DRAWN = {
    "setups beside a search in three dimensions": (120, 300),
    "paths cut in small steps": (12, 25),
    "solids whose circles are looked at": (40, 80),
    "plates swept in three dimensions": (40, 80),
    "moves of a path stood on": (4, 12),
}


def how_many(what: str) -> int:
    """Return how many cases this run draws."""
    few, all_of_them = DRAWN[what]
    return all_of_them if os.environ.get("CHUCKSCENE_DRAW") == "anew" else few
