"""How many cases of a question a run of the tests draws, and how many it draws by hand.

For cases that each cost a search of their own. `CHUCKSCENE_DRAW=anew` (see `tests/conftest.py`) draws the whole number.
What stands here has had the same mistakes planted under both numbers; one that only many cases find keeps them all.
"""

from __future__ import annotations

import os

# (in every run, by hand), by what is drawn.
DRAWN = {
    "moves of a path stood on": (4, 12),
    "setups against solids in three dimensions": (100, 300),
}


def how_many(what: str) -> int:
    """Return how many cases this run draws."""
    few, all_of_them = DRAWN[what]
    return all_of_them if os.environ.get("CHUCKSCENE_DRAW") == "anew" else few
