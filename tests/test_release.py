"""What a release hands out: a wheel with every table, page and script, a source archive that builds the same one."""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

CODE = """
import sys
from pathlib import Path
import sim, meshes
assert Path(sim.__file__).is_relative_to(sys.argv.pop(1)), sim.__file__
from sim.cli import main
main()
"""


@pytest.fixture(scope="module")
def built(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder with wheel and source archive, as a release builds them."""
    folder = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "hatchling", "build", "-d", str(folder)]
    made = subprocess.run(command, cwd=root, capture_output=True, text=True, check=False)  # noqa: S603
    assert made.returncode == 0, made.stderr
    return folder


@pytest.fixture(scope="module")
def unpacked(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel's content in a folder away from the sources, as installed."""
    (wheel,) = built.glob("*.whl")
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)  # noqa: S202 - of our own
    return folder


def shipped(root: Path) -> set[str]:
    """Every file of the two packages that is kept in the sources."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "sim", "meshes"],  # noqa: S607
        cwd=root, capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    return {name for name in listed.split("\0") if name and (root / name).is_file()}


def test_every_file_of_the_packages_is_in_the_wheel(root: Path, unpacked: Path) -> None:
    found = {path.relative_to(unpacked).as_posix(): path for path in unpacked.rglob("*") if path.is_file()}
    expected = shipped(root)
    assert {Path(name).suffix for name in expected} >= {".py", ".toml", ".md", ".js", ".css"}
    assert expected - found.keys() == set()
    assert all(found[name].read_bytes() == (root / name).read_bytes() for name in expected)
    others = {name for name in found.keys() - expected if ".dist-info/" not in name}
    # What is being written and is not yet kept among the sources may be there too.
    assert {name.split("/")[0] for name in others} <= {"sim", "meshes"}


def test_the_source_archive_holds_what_the_wheel_is_built_from(root: Path, built: Path) -> None:
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as tar:
        names = {name.partition("/")[2] for name in tar.getnames()}
    assert {
        "pyproject.toml",
        "README.md",
        "LICENSE",
        "DEVELOPERS.md",
        ".ci/run",
        "tests/conftest.py",
    } <= names
    assert shipped(root) <= names
    assert any(name.startswith("scenarios/") for name in names)
    assert not any(name.startswith(("out/", ".venv/", "dist/")) for name in names)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--version",), "chuckscene"),
        (("check", "{hub}", "--quick"), "0 fail"),
        (("manual", "changes"), "0.1.0"),
        (("sheet", "{hub}", "--quick", "--to", "{here}/a.pdf"), "a.pdf"),
    ],
    ids=lambda one: one[0] if isinstance(one, tuple) else "",
)
def test_what_is_installed_runs_from_another_folder(
    arguments: tuple[str, ...], words: str, unpacked: Path, root: Path, tmp_path: Path
) -> None:
    hub = root / "scenarios" / "cast_hub_on_plug.toml"
    given = [one.format(hub=hub, here=tmp_path) for one in arguments]
    # -P: not from the current folder. What PYTHONPATH names comes before the sources that are installed for work.
    found = subprocess.run(  # noqa: S603
        [sys.executable, "-P", "-c", CODE, str(unpacked), *given],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(unpacked)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (found.returncode, found.stderr) == (0, "")
    assert words in found.stdout
