"""Every file goes through one reader: what is none is refused within a second, by each of the functions that read."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

from sim.base import limits
from sim.manual import page

# What reads a file of each kind, as the commands call it; run in a child, which a reader that waits cannot outlive.
CHILD = """
import json, sys, time
from pathlib import Path
from types import SimpleNamespace as Named

from sim.base import answers, limits
from sim.base.errors import ChuckSceneError
from sim.base.files import file_content
from sim.commands.from_code import _content
from sim.contact.cache import stored
from sim.exports.job_archive import read_job
from sim.layouts.written import with_values
from sim.part_files.part import part_bytes
from sim.readings.csv_file import rows_of
from sim.readings.dial_file import read_dial
from sim.scenario import read
from sim.scenario.program import CuttingProgram
from sim.scenario.study import Study
from sim.scenario.toml_file import read_as
from sim.setup.files import drawing_bytes, jaw_bytes, program_text
from sim.views.web.watching import fingerprint, named_files


def jaw(path):
    return jaw_bytes(Named(file=str(path)), path.parent)


READERS = {
    "toml": [read, lambda p: read_as(Study, p, "a study"), lambda p: with_values(p, {})],
    "nc": [lambda p: program_text(CuttingProgram.model_construct(file=str(p)), "boring.program", p.parent)],
    "csv": [lambda p: rows_of(p, ""), lambda p: read_dial(p, 8.0)],
    "dxf": [part_bytes, lambda p: drawing_bytes(Named(file=str(p)), p.parent, "plate.drawing")],
    "stl": [part_bytes, jaw], "glb": [part_bytes, jaw], "step": [part_bytes], "3mf": [part_bytes], "obj": [part_bytes],
    "zip": [read_job],
    "txt": [lambda p: _content(str(p))],
    "parquet": [lambda p: file_content(p, limits.BLOCK)],
}
GIVING_NOTHING = {
    "npz": [lambda p: stored(p.parent, p.stem, {"a": (1,)})],
    "answers": [answers._read],
    "page": [named_files, lambda p: None if fingerprint(p).count(" ") == 3 else fingerprint(p)],
}
found = []
for path in map(Path, sys.argv[1:]):
    for reader in [*READERS.get(path.suffix[1:], ()), *GIVING_NOTHING.get(path.suffix[1:], ())]:
        begin = time.monotonic()
        try:
            given = reader(path)
            told = "" if given else "nothing"
        except (ChuckSceneError, ValueError) as error:
            told = str(error)
        found.append((path.name, told, time.monotonic() - begin))
print(json.dumps(found))
"""
SUFFIXES = {
    "toml": limits.SCENARIO, "nc": limits.PROGRAM, "csv": limits.READINGS, "dxf": limits.DRAWING, "stl": limits.PART,
    "glb": limits.PART, "step": limits.PART, "3mf": limits.PART, "obj": limits.PART, "zip": limits.JOB,
    "txt": limits.CODE, "parquet": limits.BLOCK, "npz": limits.KEPT, "answers": limits.KEPT, "page": limits.SCENARIO,
}  # fmt: skip
OWN_NOTHING = {"npz", "answers", "page"}


@pytest.fixture(scope="module")
def refused(root: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[tuple[str, float]]]:
    """What each reader says of a pipe nobody writes into, a device without end, a folder, a file one byte too large."""
    import os

    folder = tmp_path_factory.mktemp("places")
    for suffix, kind in SUFFIXES.items():
        os.mkfifo(folder / f"pipe.{suffix}")
        (folder / f"zero.{suffix}").symlink_to("/dev/zero")
        (folder / f"folder.{suffix}").mkdir()
        with (folder / f"large.{suffix}").open("wb") as file:
            file.truncate(max(kind.most, 50_000_000) + 1)  # takes no room on the disk
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", CHILD, *map(str, sorted(folder.iterdir()))],
        cwd=root, capture_output=True, text=True, check=True, timeout=100,
    )  # fmt: skip
    found: dict[str, list[tuple[str, float]]] = {}
    for name, told, seconds in json.loads(done.stdout):
        found.setdefault(name, []).append((told, seconds))
    assert len(found) == 4 * len(SUFFIXES)
    return found


WORDS = {
    "pipe": ("a device or a pipe", "found none at", "nothing"),
    "zero": ("a device or a pipe", "found none at", "nothing"),
    "folder": ("found a directory", "found none at", "nothing"),
    "large": ("must be under", "nothing"),
}


@pytest.mark.parametrize("place", WORDS)
def test_what_is_no_file_or_too_large_is_refused_by_each_reader(
    place: str, refused: dict[str, list[tuple[str, float]]]
) -> None:
    for suffix in SUFFIXES:
        for told, seconds in refused[f"{place}.{suffix}"]:
            assert any(words in told for words in WORDS[place]), (suffix, told)
            assert ("nothing" in told) == (suffix in OWN_NOTHING), (suffix, told)
            assert "\n" not in told
            assert seconds < 1.0, (suffix, told, seconds)


# Files of the package itself, of a folder that the function has made, or of nobody else: what may be opened elsewhere.
OWN = {
    "sim/base/files.py": "the reader",
    "sim/base/answers.py": "its own sources and metadata; a file that it has made",
    "sim/base/beside.py": "what it makes itself, locked",
    "sim/base/error_report.py": "a report that is not there yet",
    "sim/base/scope.py": "data of the package",
    "sim/base/tables.py": "data of the package",
    "sim/commands/streams.py": "the system's null device, for writing",
    "sim/contact/cache.py": "its own sources; arrays out of memory; a file that it has made",
    "sim/drawing/phrases.py": "data of the package",
    "sim/exports/job_archive.py": "an entry of a zip in memory, bounded",
    "sim/exports/zipped.py": "a zip in memory",
    "sim/first_setup/classes.py": "data of the package",
    "sim/manual/__init__.py": "data of the package",
    "sim/part_files/step.py": "in a folder of its own what its child has made; a model in memory",
    "sim/part_files/step_child.py": "in that folder what its parent has written; reads bytes",
    "sim/part_files/three_mf.py": "an entry of a zip in memory, bounded",
    "sim/part_files/triangles.py": "a model in memory",
    "sim/setup/jaw_model.py": "a model in memory",
    "sim/studies/versions.py": "its own sources",
    "sim/uncertainty/typical.py": "data of the package",
    "sim/views/film_file.py": "in a folder of its own what the encoder has made",
    "sim/views/kept_pieces.py": "data of the package",
    "sim/views/web/document.py": "data of the package",
    "sim/views/web/server.py": "a browser",
}
OPENING = {
    "open",
    "read_bytes",
    "read_text",
    "load",
    "loadtxt",
    "genfromtxt",
    "fromfile",
    "ZipFile",
    "memmap",
}
NOT_FILES = {"sweep", "json", "sim", "_open", "Image"}  # what else has a method of such a name


def _opens(path: Path) -> bool:
    text = path.read_text(encoding="utf-8")
    if not any(name in text for name in OPENING):
        return False  # most modules: none of them is worth parsing
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        of = getattr(node.func.value, "id", "") if isinstance(node.func, ast.Attribute) else ""
        # `load` by itself is that of a scenario.
        if name in OPENING and of not in NOT_FILES and not (name == "load" and not of):
            return True
    return False


def test_no_other_module_opens_a_file(root: Path) -> None:
    found = {
        path.relative_to(root).as_posix() for folder in ("sim", "meshes") for path in (root / folder).rglob("*.py")
        if _opens(path)
    }  # fmt: skip
    assert found == set(OWN)


def test_the_manual_prints_every_limit() -> None:
    text = page("security").text
    for one in limits.FILES:
        assert f"\n| {one.what} | {one.size} |\n" in text
    for count in limits.COUNTS:
        assert f"\n| {count.what} | {count.most:,} |" in text
    named = {value for value in vars(limits).values() if isinstance(value, limits.FileKind | limits.Count)}
    assert named == {*limits.FILES, *limits.COUNTS}
