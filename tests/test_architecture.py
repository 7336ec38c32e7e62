"""The architecture as checks that import contracts cannot make: the top level, and what a run really loads."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    ".gitignore",
    ".ci",
    "sim",
    "meshes",
    "tests",
    "scenarios",
}
HEAVY = ("pyvista", "vtk", "vtkmodules", "matplotlib", "trame", "jinja2")  # PIL comes with trimesh
STUDIES = ("dask", "distributed", "pyarrow")  # only a study needs them
LOADED = "import sys; print('\\n'.join(sorted({name.split('.')[0] for name in sys.modules})))"


def loaded(root: Path, code: str) -> set[str]:
    """Top-level modules in a fresh interpreter after it has run the code."""
    found = subprocess.run(  # noqa: S603
        [sys.executable, "-c", f"{code}\n{LOADED}"],
        cwd=root,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return set(found.stdout.splitlines())


def test_top_level(root: Path) -> None:
    """Only what the design names is under version control at the top."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"],  # noqa: S607
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
    )
    if listed.returncode != 0:
        pytest.skip(
            "the project is not a git checkout here (an unpacked archive), so nothing says what is its own"
        )
    assert {name.split("/")[0] for name in listed.stdout.split("\0") if name} == TOP_LEVEL


def test_no_tests_package(root: Path) -> None:
    """Tests are no package: a `tests` on the path may be anyone's."""
    assert not list((root / "tests").rglob("__init__.py"))


# One forbidden import for each contract, in modules that no contract names.
PLANTED = {
    "meshes knows geometry only": ("meshes/pocket.py", "import pyvista"),
    "only sim.base.units imports pint": ("sim/setup/jaw_model.py", "import pint"),
    "only the views draw": ("sim/setup/rebore.py", "import matplotlib"),
    "only a study imports pyarrow and dask": ("sim/setup/seat.py", "import dask"),
    "one direction": ("sim/contact/face.py", "import sim.report"),
    "a setup is built in one direction": ("sim/setup/parts.py", "import sim.setup.metal"),
    "forces follow in one direction": ("sim/mechanics/screws.py", "import sim.mechanics.fixtures"),
}


@pytest.mark.parametrize("planted", [False, True], ids=["as it is", "with forbidden imports"])
def test_each_import_contract_can_break(root: Path, tmp_path: Path, *, planted: bool) -> None:
    for folder in ("sim", "meshes"):
        shutil.copytree(
            root / folder, tmp_path / folder, ignore=shutil.ignore_patterns("__pycache__", "assets")
        )
    shutil.copy(root / "pyproject.toml", tmp_path)
    if planted:
        for name, line in PLANTED.values():
            path = tmp_path / name
            path.write_text(f"{path.read_text(encoding='utf-8')}\n{line}\n", encoding="utf-8")
        (tmp_path / "sim" / "unplaced.py").write_text("", encoding="utf-8")
    found = subprocess.run(  # noqa: S603
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    for contract in PLANTED:
        assert f"{contract} {'BROKEN' if planted else 'KEPT'}" in found.stdout, found.stdout
    assert ("unplaced" in found.stdout) is planted


@pytest.mark.parametrize(
    ("code", "absent"),
    [
        ("import sim", HEAVY),
        ("import sim.cli", HEAVY),
        (
            "import sim.assessment.stages, sim.setup.loading, sim.report.assessment, sim.terminal.assessment",
            HEAVY,
        ),
        (
            "import meshes.boring_bar, meshes.boring_ring, meshes.chuck_body, meshes.gap, meshes.jaw_screw\n"
            "import meshes.mass, meshes.master_jaw, meshes.outer_ring, meshes.plug, meshes.pocket\n"
            "import meshes.soft_jaw, meshes.t_nut, meshes.tool_holder, meshes.workpiece",
            (*HEAVY, "sim", "pint", "pydantic"),
        ),
    ],
    ids=["sim", "command", "assessment", "meshes"],
)
def test_what_an_import_loads(root: Path, code: str, absent: tuple[str, ...]) -> None:
    assert loaded(root, code).isdisjoint(absent)


def test_units_leave_dask_alone(root: Path) -> None:
    """pint looks for dask and would import it, and jinja2 with it; one that runs already is left where it is."""
    assert loaded(root, "import sim.base.units").isdisjoint((*STUDIES, "jinja2"))
    assert loaded(root, "import sim.cli").isdisjoint(STUDIES)
    code = "import dask, sim.base.units, sys\nassert sys.modules['dask'] is dask"
    assert "dask" in loaded(root, code)


@pytest.mark.xfail(
    strict=True, reason="sim/__init__.py imports every stage at once, which every command waits for"
)
def test_the_command_starts_with_little(root: Path) -> None:
    """`--help`, a completion or a refused file need neither solids nor solvers; design: pint only for a scenario."""
    assert loaded(root, "import sim.cli").isdisjoint(("pint", "trimesh", "scipy", "skfem"))


@pytest.mark.parametrize("arguments", [("check",), ("check", "--json")], ids=["table", "json"])
def test_a_check_loads_no_renderer(root: Path, arguments: tuple[str, ...]) -> None:
    """`check` must run where no display driver is installed, and quickly."""
    file = root / "scenarios" / "cast_hub_on_ring.toml"
    code = (
        "import sys, io, contextlib\n"
        f"sys.argv = ['chuckscene', *{arguments!r}, {str(file)!r}]\n"
        "from sim.cli import main\n"
        "with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n"
        "    main()\n"
    )
    found = loaded(root, code)
    assert "trimesh" in found  # it did run
    assert found.isdisjoint(HEAVY)


def test_the_python_contract(root: Path) -> None:
    """design: `sim.load(path) -> Scenario`, `sim.assess(scenario) -> Assessment`, without a display."""
    found = loaded(
        root,
        "import sim\n"
        "assessment = sim.assess(sim.load('scenarios/cast_hub_by_program.toml'))\n"
        "assert assessment.status == 'pass', assessment.status\n",
    )
    assert found.isdisjoint(HEAVY)
