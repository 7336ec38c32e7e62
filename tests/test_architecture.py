"""The architecture as checks that import contracts cannot make: the top level, and what a run really loads."""

from __future__ import annotations

import itertools
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import sim

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
DRAWINGS = ("fpdf", "ezdxf", "fontTools")  # only a drawing does
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
    """Nothing else is under version control at the top: README, map, licence, the packages, tests, scenarios."""
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


# Forbidden imports for each contract, in modules that no contract names: the line, and how its answer tells it.
# At the top of a module or in a function, whole or in part, of a library, of a neighbour, of what stands above.
PLANTED = {
    "meshes knows geometry only": (
        ("meshes/pocket.py", "import pyvista", "meshes.pocket -> pyvista"),
        (
            "meshes/sides.py",
            "def f():\n    from sim.base.floats import hypot",
            "meshes.sides -> sim.base.floats",
        ),
    ),
    "only tests import pint": (
        ("sim/setup/jaw_model.py", "import pint", "sim.setup.jaw_model -> pint"),
        ("sim/programs/flow.py", "def f():\n    from pint import Unit", "sim.programs.flow -> pint"),
    ),
    "only the views draw": (
        ("sim/setup/rebore.py", "import matplotlib", "sim.setup.rebore -> matplotlib"),
        ("sim/readings/fit.py", "import PIL.Image", "sim.readings.fit -> PIL"),
        ("sim/exports/folder.py", "import vtk", "sim.exports.folder -> vtk"),
        ("sim/report/moves.py", "from vtkmodules import vtkIOXML", "sim.report.moves -> vtkmodules"),
        ("meshes/t_nut.py", "import matplotlib", "meshes.t_nut -> matplotlib"),
    ),
    "only drawings write PDF and DXF": (
        ("sim/setup/heads.py", "import ezdxf", "sim.setup.heads -> ezdxf"),
        ("meshes/plug.py", "import ezdxf", "meshes.plug -> ezdxf"),
    ),
    "only a study imports pyarrow and dask": (
        ("sim/setup/seat.py", "import dask", "sim.setup.seat -> dask"),
        ("sim/layouts/space.py", "if True:\n    import pyarrow.parquet", "sim.layouts.space -> pyarrow"),
    ),
    "one direction": (
        ("sim/contact/face.py", "import sim.report", "sim.contact.face -> sim.report"),
        (
            "sim/holding/faces.py",
            "from sim.clearance import touch",
            "sim.holding.faces -> sim.clearance.touch",
        ),
        ("sim/base/files.py", "from sim.scenario import Scenario", "sim.base.files -> sim.scenario"),
    ),
    "a setup is built in one direction": (
        ("sim/setup/parts.py", "import sim.setup.metal", "sim.setup.parts -> sim.setup.metal"),
        ("sim/setup/tooling.py", "import sim.setup.jaw_place", "sim.setup.tooling -> sim.setup.jaw_place"),
    ),
    "forces follow in one direction": (
        (
            "sim/mechanics/screws.py",
            "import sim.mechanics.fixtures",
            "sim.mechanics.screws -> sim.mechanics.fixtures",
        ),
        (
            "sim/mechanics/kienzle.py",
            "from sim.mechanics import cutting",
            "sim.mechanics.kienzle -> sim.mechanics.cutting",
        ),
    ),
}


@pytest.mark.parametrize("planted", [False, True], ids=["as it is", "with forbidden imports"])
def test_each_import_contract_can_break(root: Path, tmp_path: Path, *, planted: bool) -> None:
    for folder in ("sim", "meshes"):
        shutil.copytree(
            root / folder, tmp_path / folder, ignore=shutil.ignore_patterns("__pycache__", "assets")
        )
    shutil.copy(root / "pyproject.toml", tmp_path)
    if planted:
        for name, line, _ in itertools.chain(*PLANTED.values()):
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
    for contract, lines in PLANTED.items():
        assert f"{contract} {'BROKEN' if planted else 'KEPT'}" in found.stdout, found.stdout
        for *_, told in lines:
            assert (f"{told} (l." in found.stdout) is planted, told
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
            "import meshes.boring_bar, meshes.boring_ring, meshes.chuck_body, meshes.jaw_screw\n"
            "import meshes.mass, meshes.master_jaw, meshes.outer_ring, meshes.plug, meshes.pocket\n"
            "import meshes.soft_jaw, meshes.t_nut, meshes.tool_holder, meshes.workpiece",
            (*HEAVY, "sim", "pint", "pydantic"),
        ),
    ],
    ids=["sim", "command", "assessment", "meshes"],
)
def test_what_an_import_loads(root: Path, code: str, absent: tuple[str, ...]) -> None:
    assert loaded(root, code).isdisjoint(absent)


def test_units_are_read_without_pint(root: Path) -> None:
    """Its factors are written down: importing it takes a tenth of a check, more where it finds dask."""
    code = "from sim.base.units import read\nassert read('1 in', 'length') == 25.4"
    assert loaded(root, code).isdisjoint(("pint", "jinja2", *STUDIES))
    assert loaded(root, "import sim.cli").isdisjoint((*STUDIES, *DRAWINGS))


LITTLE = 300  # modules; typer takes some 130 of them, a setup with its solids and solvers 1,200


def test_the_command_starts_with_little(root: Path) -> None:
    """`--help`, a completion or a refused file need neither solids nor solvers."""
    code = f"import sim.cli, sys\nassert len(sys.modules) < {LITTLE}, len(sys.modules)"
    assert loaded(root, code).isdisjoint(("trimesh", "scipy", "skfem", "numpy"))


def test_the_package_waits_for_what_is_asked(root: Path) -> None:
    """`import sim` loads some of Python's own modules and none of its own, `sim.load` no contact and no judge."""
    own = "{name for name in sys.modules if name.startswith('sim.')}"
    found = loaded(
        root,
        "import sys\nbefore = set(sys.modules)\nimport sim\n"
        f"assert not {own}, {own}\n"
        "assert len(set(sys.modules) - before) < 60, set(sys.modules) - before\n"
        "assert {'assess', 'load'} <= set(dir(sim))\n"
        "assert sim.load is sys.modules['sim.setup.loading'].load\n"
        f"assert not {{name for name in {own} if name.startswith(('sim.assessment', 'sim.contact'))}}, {own}\n",
    )
    assert "skfem" not in found


def test_a_name_that_the_package_does_not_have() -> None:
    assert not hasattr(sim, "asses")
    with pytest.raises(ImportError, match="asses"):
        exec("from sim import asses")  # noqa: S102


THREADS = (
    "import os\nos.environ.pop('OPENBLAS_NUM_THREADS', None)\nbefore = dict(os.environ)\n"
    "def blas():\n"
    "    import threadpoolctl\n"
    "    return [p['num_threads'] for p in threadpoolctl.threadpool_info() if p['user_api'] == 'blas']\n"
)


def test_the_environment_is_left_alone(root: Path) -> None:
    """A program that imports the package keeps its environment and the threads of its own linear algebra."""
    loaded(
        root,
        THREADS + "import numpy.linalg, scipy.linalg, threadpoolctl\n"
        "threadpoolctl.threadpool_limits(3, 'blas')\n"
        "import sim\n"
        "assert dict(os.environ) == before\n"
        "within = []\n"
        "sim.assess(sim.load('scenarios/cast_hub_on_ring.toml'), lambda _: within.append(blas()), 'foundation')\n"
        "assert dict(os.environ) == before\n"
        "assert within and all(set(found) == {1} for found in within), within\n"
        "assert set(blas()) == {3}, blas()\n",
    )


@pytest.mark.parametrize(("given", "threads"), [(None, 1), ("2", 2)], ids=["not set", "set by the user"])
def test_a_commands_blas_has_one_thread(root: Path, given: str | None, threads: int) -> None:
    """The command's process is its own: BLAS does not even start threads, unless the user says so."""
    loaded(
        root,
        THREADS + f"given = {given!r}\n"
        "if given: os.environ['OPENBLAS_NUM_THREADS'] = given\n"
        "os.environ.pop('OMP_NUM_THREADS', None)\n"
        "import contextlib, io, sys\nfrom sim.cli import main\n"
        "sys.argv = ['chuckscene', 'schema']\n"
        "with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n    main()\n"
        "import numpy.linalg\n"
        f"assert max(blas()) <= {threads}, blas()\n"
        f"assert os.environ['OPENBLAS_NUM_THREADS'] == '{threads}'\n",
    )


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
    assert found.isdisjoint((*HEAVY, "pint"))


def test_a_setup_without_a_program_loads_no_reader_of_programs(root: Path) -> None:
    loaded(
        root,
        "import sys, sim\nbuilt = sim.load('scenarios/cast_hub_on_ring.toml')\nsim.assess\n"
        "assert not {'sim.programs.program', 'sim.programs.reading'} & set(sys.modules)\n",
    )


def test_garbage_is_looked_for_again_after_loading(root: Path) -> None:
    """A command looks for none while it loads; who imports the package is left as he was."""
    loaded(
        root,
        "import gc, sys\nfrom sim.commands.shared import loading\n"
        "with loading():\n    assert not gc.isenabled()\n    import sim.assessment.stages\n"
        "assert gc.isenabled() and gc.get_freeze_count() > 0\n"
        "gc.unfreeze()\n"
        "with loading():\n    assert gc.isenabled()\n"
        "assert gc.get_freeze_count() == 0\n",
    )


def test_the_python_contract(root: Path) -> None:
    """Promised: `sim.load(path) -> Scenario` and `sim.assess(scenario) -> Assessment`, without a display."""
    found = loaded(
        root,
        "import sim\n"
        "assessment = sim.assess(sim.load('scenarios/cast_hub_by_program.toml'))\n"
        "assert assessment.status == 'pass', assessment.status\n",
    )
    assert found.isdisjoint(HEAVY)
