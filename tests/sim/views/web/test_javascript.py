"""The page's scripts without a browser: linter, type check and unit tests, by the Deno that the test extra installs.

The scripts are no modules: they share one page. So they are put together as the page puts them together, and a finding
is told with the file and line that it comes from.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from itertools import accumulate
from pathlib import Path

import pytest

from sim.views.web.document import EDITING, SCRIPTS, asset

HERE = Path(__file__).parent / "javascript"
ASSETS = Path("sim/views/web/assets")
STARTS = ("live.js", "written.js", "begin.js", "mending.js")
ALL = (*SCRIPTS, *EDITING, *STARTS)
# Held to a type of every argument; in the rest, which has a document behind it, an argument may be anything.
TYPED = ("linear.js", "camera.js", "units.js", "picking.js", "outline.js", "coarse.js")
NO_COLOUR = {"NO_COLOR": "1", "DENO_NO_UPDATE_CHECK": "1"}


def deno(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Run Deno without the network and without a file of what it has locked."""
    beside = Path(sys.executable).with_name("deno")
    found = str(beside) if beside.is_file() else shutil.which("deno")
    assert found, "deno is not installed: pip install '.[test]' brings it"
    return subprocess.run(  # noqa: S603
        [found, *map(str, arguments)],
        env={**os.environ, **NO_COLOUR},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


def page(path: Path, planted: str = "") -> list[tuple[int, str]]:
    """Write the scripts into one file as the page does; return the line after which each begins, and its name."""
    texts = {**{name: asset(name) for name in ALL}, "planted.js": planted}
    path.write_text("\n".join(texts.values()), encoding="utf-8")
    begins = accumulate((text.count("\n") + 1 for text in texts.values()), initial=0)
    return list(zip(begins, texts, strict=False))


def placed(said: str, parts: list[tuple[int, str]], path: Path) -> str:
    """Return what a tool said with the lines of the file put together named as those of the scripts."""

    def own(match: re.Match[str]) -> str:
        line = int(match[1])
        begin, name = max(part for part in parts if part[0] < line)
        return f"{ASSETS / name}:{line - begin}"

    return re.sub(rf"(?:file://)?{re.escape(str(path))}:(\d+)", own, said)


def checked(folder: Path, planted: str = "") -> list[str]:
    """Type check the scripts in one file; return the errors, but for missing types in scripts that are not `TYPED`."""
    path = folder / "page.js"
    parts = page(path, planted)
    found = deno("check", "--quiet", "--no-lock", "--no-remote", "--config", HERE / "deno.json", path)
    said = placed(found.stderr, parts, path)
    errors = re.findall(r"^TS\d+ \[ERROR\]:.*?^ +at \S+$", said, re.DOTALL | re.MULTILINE)
    assert bool(errors) == bool(found.returncode), said
    return [error for error in errors if Path(place_of(error)).name in TYPED or not error.startswith("TS70")]


def place_of(error: str, *, line: bool = False) -> str:
    """Return the file that an error of the type check is in, and its line where that is asked for."""
    file, number, _ = error.rsplit(" at ", 1)[1].split(":")
    return f"{file}:{number}" if line else file


def linted(folder: Path, planted: str = "") -> str:
    """Lint the scripts in one file, so that a name is used where another script uses it; return the findings."""
    path = folder / "page.js"
    parts = page(path, planted)
    found = deno("lint", "--quiet", "--config", HERE / "deno.json", path)
    return placed(found.stdout + found.stderr, parts, path) if found.returncode else ""


def test_linter(tmp_path: Path) -> None:
    assert not linted(tmp_path)


def test_linter_of_the_tests() -> None:
    found = deno("lint", "--quiet", "--config", HERE / "deno.json", *sorted(HERE.glob("*.js")))
    assert found.returncode == 0, found.stdout + found.stderr


def test_types(tmp_path: Path) -> None:
    """Every script of the page against each other and against the browser's own types."""
    assert not checked(tmp_path)


def test_every_script_asks_an_editor_for_the_same_check(root: Path) -> None:
    files = sorted((root / ASSETS).glob("*.js"))
    assert {path.name for path in files} == set(ALL)
    for path in files:
        assert path.read_text(encoding="utf-8").startswith('// @ts-check\n"use strict";\n'), path.name


PLANTED = """// @ts-check
"use strict";
const sum = Linear.ad([0, 0, 0], [1, 1, 1]);
const long = Linear.dot([0, 0, 0]);
const far = Camera.distanceFor("12 mm", 1);
let one = 1;
window.onload = () => { if (one == sum + long + far) debugger; };
"""


def test_mistakes_are_found_where_they_stand(tmp_path: Path) -> None:
    """A name, a number of arguments and a kind of argument that are wrong, told with file and line."""
    found = {place_of(error, line=True): error for error in checked(tmp_path, PLANTED)}
    for line, said in {
        3: "Property 'ad' does not exist",
        4: "Expected 2 arguments, but got 1",
        5: "'string' is not assignable to parameter of type 'number'",
    }.items():
        assert said in found.pop(f"{ASSETS}/planted.js:{line}")
    assert not found


def test_findings_of_the_linter_are_told(tmp_path: Path) -> None:
    found = linted(tmp_path, PLANTED)
    assert set(re.findall(r"error\[([a-z-]+)\]", found)) == {"eqeqeq", "no-debugger", "prefer-const"}
    assert f"{ASSETS}/planted.js:7:" in found


@pytest.mark.parametrize("path", sorted(HERE.glob("test_*.js")), ids=lambda path: path.stem)
def test_units_without_a_browser(root: Path, path: Path) -> None:
    """The tests beside: each script is run in the page's order, in an interpreter without a document."""
    found = deno("test", "--no-check", "--no-lock", "--no-remote", f"--allow-read={root}", path)
    assert found.returncode == 0, found.stdout + found.stderr
    passed = re.search(r"(\d+) passed \|", found.stdout)
    assert passed, found.stdout
    assert int(passed[1]) > 0
