"""Try drawn inputs by hand: ``python tests/fuzz/try_inputs.py scenario --inputs 100000 --seed 1 --out FILE``."""

from __future__ import annotations

import argparse
import json
import sys
import warnings
from pathlib import Path

if __name__ == "__main__":
    ROOT = Path(__file__).parents[2]
    others = ("tests/corpus", "tests/sim/worse", "tests/fuzz")
    sys.path[:0] = [str(ROOT), *(str(ROOT / one) for one in others)]

from file_trials import CACHE, DIAL, MODELS, READINGS, SEARCH, SHELF, STUDY
from scenario_trials import SCENARIO, remembered
from server_trials import SERVER
from trials import run

KINDS = {kind.name: kind for kind in (SCENARIO, READINGS, DIAL, STUDY, SEARCH, SHELF, MODELS, CACHE, SERVER)}


def main() -> None:
    """Try the inputs of a seed, write the findings, a line of JSON each, and say how many there were."""
    asked = argparse.ArgumentParser()
    asked.add_argument("kind", choices=KINDS)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--inputs", type=int, default=10_000)
    asked.add_argument("--out", type=Path)
    given = asked.parse_args()
    warnings.simplefilter("error")  # as in the tests
    remembered()
    tally = run(KINDS[given.kind], given.seed, given.inputs)
    if given.out is not None:
        lines = (json.dumps(one) + "\n" for one in tally.findings)
        given.out.write_text("".join(lines), encoding="utf-8")
    sys.stdout.write(f"{given.kind}, {tally}\n")


if __name__ == "__main__":
    main()
