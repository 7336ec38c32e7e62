"""What the page on security says of a check on somebody else's file, held by what Python tells of the process."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

# An audit hook (PEP 578) sees every file that is opened, every socket, every process and every place that is changed.
WATCHED = """
import json, os, sys
seen = []
def hook(event, given):
    if event == "open":
        writing = isinstance(given[2], int) and given[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        seen.append(["write" if writing else "read", str(given[0])])
    elif event.startswith(("socket.", "subprocess.", "os.system", "os.exec", "os.posix_spawn", "os.fork")):
        seen.append([event, ""])
    elif event in ("os.remove", "os.rename", "os.mkdir", "os.rmdir", "os.link", "os.symlink", "shutil.rmtree"):
        seen.append(["change", str(given[0])])
sys.addaudithook(hook)
from sim.cli import main
try:
    main()
except SystemExit:
    pass
sys.stderr.write(json.dumps(seen))
"""


def test_a_check_of_a_foreign_file_opens_no_connection_and_writes_its_cache_alone(
    root: Path, scenario_file: Callable[[str], Path], tmp_path: Path
) -> None:
    cache = tmp_path / "cache"
    environment = os.environ | {
        "PYTHONPATH": str(root),
        "XDG_CACHE_HOME": str(cache),
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", WATCHED, "check", str(scenario_file("cast_hub_by_program")), "--quick"],
        env=environment, cwd=tmp_path, capture_output=True, text=True, check=True, timeout=300,
    )  # fmt: skip
    seen = json.loads(done.stderr)
    assert {kind for kind, _ in seen} <= {"read", "write", "change"}
    assert any(place.endswith("cast_hub_jaws.nc") for kind, place in seen if kind == "read")
    places = {place for kind, place in seen if kind != "read"}
    assert places
    for place in places - {"/dev/null"}:
        assert place.isdigit() or Path(place).is_relative_to(cache) or Path(place) == cache, place
    assert [one.name for one in tmp_path.iterdir()] == ["cache"]
