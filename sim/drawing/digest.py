"""A short digest of a scenario: another one as soon as any value of it, or of a file that it names, is another."""

from __future__ import annotations

import hashlib
from typing import Any

from sim.base.files import regular_bytes
from sim.base.limits import JOB_FILE
from sim.scenario import Scenario
from sim.scenario.named_files import read_files
from sim.setup.size_limits import TOLERANCES

LARGEST_NAMED = JOB_FILE.most
SHOWN = 12  # digits


def scenario_digest(scenario: Scenario) -> str:
    """Return the first digits of the SHA-256 of all its values, defaults too, and of the files that it names."""
    # Where a value was stated, here or in a shop's file, is no value.
    values = scenario.model_copy(update={"shop_files": ()})
    # Papers from before there was a revision keep their digest.
    unstated: dict[str, Any] = {"include": True} | ({} if scenario.revision else {"revision": True})
    # So do those from before a pocket had tolerances.
    unstated["pockets"] = {
        number: {field for field in TOLERANCES.values() if getattr(pocket, field) is None}
        for number, pocket in enumerate(scenario.pockets)
    }
    found = hashlib.sha256(values.model_dump_json(exclude=unstated).encode())
    for _, name in read_files(scenario):
        found.update(hashlib.sha256(_content(scenario, name)).digest())
    digits = found.hexdigest()[:SHOWN]
    return " ".join(digits[at : at + 4] for at in range(0, SHOWN, 4))


def _content(scenario: Scenario, file: str) -> bytes:
    try:
        return regular_bytes(scenario.folder / file, LARGEST_NAMED)
    except (OSError, ValueError):
        return b"-"
