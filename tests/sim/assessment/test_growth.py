"""Many assessments in one process, as of a page or a study that goes on for days, need no more memory than some."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

# Each at another pressure and depth of cut, so that none is an answer that was kept.
MANY = """
import resource, sys
from pathlib import Path
from sim.assessment.stages import assess
from sim.setup.loading import load
file, some, many = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])

def now():
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS"))

for number in range(many):
    changes = {
        "operations.0.gripping.pressure": f"{10 + 0.01 * number:.2f} bar",
        "operations.0.cuts.0.depth_of_cut": f"{1 + 0.001 * number:.3f} mm",
    }
    assess(load(file, changes), contact_model="foundation")
    if number + 1 in (some, many):
        print(now(), flush=True)
"""


def test_memory_stays_what_it_was(root: Path) -> None:
    """In kB. By hand `CHUCKSCENE_HARD=1` asks for 1,000; what is kept for the next one is full after some."""
    some, many, most = (200, 1000, 25_000) if os.environ.get("CHUCKSCENE_HARD") else (25, 60, 25_000)
    found = subprocess.run(  # noqa: S603
        [sys.executable, "-c", MANY, str(root / "scenarios" / "thin_ring_distorts.toml"), str(some), str(many)],
        env={**os.environ, "PYTHONPATH": str(root)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr
    early, late = map(int, found.stdout.split())
    assert late - early < most, (early, late)
