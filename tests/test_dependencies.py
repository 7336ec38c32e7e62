"""What pyproject.toml promises of other packages: all that are imported are named, the lowest named work."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

# Import names that are not the distribution's name.
DISTRIBUTION = {
    "PIL": "pillow",
    "distributed": "dask",
    "fcl": "python-fcl",
    "fpdf": "fpdf2",
    "markdown_it": "markdown-it-py",
    "pydantic_core": "pydantic",
    "skfem": "scikit-fem",
    "vtkmodules": "vtk",
    "zxingcpp": "zxing-cpp",
}


def declared(root: Path, extra: str = "") -> set[str]:
    """Names of the distributions that the project, or one of its extras, asks for."""
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *(project["optional-dependencies"][extra] if extra else [])]
    return {re.split(r"[\[<>=~ ]", line)[0].replace("_", "-").lower() for line in asked}


def imported(folder: Path) -> set[str]:
    """Distributions that the modules under a folder import, also inside functions."""
    found: set[str] = set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                found.add(node.module.split(".")[0])
    own = {path.stem for path in folder.rglob("*.py")} if folder.name == "tests" else set()
    others = found - set(sys.stdlib_module_names) - {"sim", "meshes"} - own
    return {DISTRIBUTION.get(name, name).replace("_", "-").lower() for name in others}


def test_what_is_imported_is_declared(root: Path) -> None:
    optional = declared(root, "video") | declared(root, "study") | declared(root, "step")
    assert imported(root / "sim") - optional <= declared(root)
    assert imported(root / "meshes") <= declared(root)
    assert imported(root / "tests") - optional <= declared(root, "test") | {
        "atheris"
    }  # its fuzzing is run by hand


def test_what_is_declared_is_imported(root: Path) -> None:
    """An entry that nothing imports is either an error or says in its line for what it is there."""
    used = imported(root / "sim") | imported(root / "meshes")
    assert declared(root) - used <= {"mapbox-earcut", "vtk"}  # trimesh and pyvista call them


def test_the_lowest_versions_work(root: Path, tmp_path: Path) -> None:
    """Install the lowest version that each direct dependency may have, and judge a setup and draw it with them."""
    uv = [str(Path(sys.executable).with_name("uv"))]
    environment = {**os.environ, "UV_CACHE_DIR": str(Path.home() / ".cache" / "uv")}
    # What is installed here is compiled by the first command that imports it, not by each of them anew.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    python = tmp_path / "lowest" / "bin" / "python"
    subprocess.run(  # noqa: S603
        [*uv, "venv", "-q", "--python", sys.executable, str(python.parent.parent)],
        env=environment,
        check=True,
    )
    made = subprocess.run(  # noqa: S603
        [*uv, "pip", "install", "-q", "--python", str(python), "--resolution", "lowest-direct", str(root)],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    if "error sending request" in made.stderr or "dns error" in made.stderr:
        pytest.skip("no package registry can be reached from here")
    assert made.returncode == 0, made.stderr
    command, file = str(python.with_name("chuckscene")), str(root / "scenarios" / "cast_hub_on_ring.toml")
    review = ["review", file, "--quick", "--out", "page.html"]
    told = {}
    for arguments in (["--help"], ["check", "--help"], review, ["manual", "stroke"], ["manual", "--html"]):
        found = subprocess.run(  # noqa: S603
            [command, *arguments],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
            timeout=300,
        )
        assert found.returncode == 0, f"{arguments}: {found.stderr[-2000:]}"
        told[tuple(arguments)] = found.stdout
    assert "scenario file (TOML)" in told["check", "--help"]
    assert "data:image/webp" in (tmp_path / "page.html").read_text(), "no picture was drawn"
