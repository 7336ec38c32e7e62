"""Small mistakes put into a module one at a time, to see whether its tests notice; run by hand, no test itself.

    python tests/mutation.py sim/mechanics/grip.py [--sample 40] [--seed 1] [--minutes 5]
    python tests/mutation.py --list

Comparisons are turned, + and -, * and / exchanged, min and max, and and or; a not or a minus sign is dropped; numbers
are changed by a tenth, whole ones by one. Each mutant runs in a copy of the tree with the tests that `COVERED` names
for its module. A survivor is a line that could be wrong unnoticed, or a mutant that means the same (as 'x < y' for
'x <= y' where both give one figure); which of both, a reader decides.
"""

from __future__ import annotations

import argparse
import ast
import copy
import importlib
import math
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
TIMEOUT = 900  # s, of one mutant at most: one that never ends is found
SLOWER = (
    10  # times as long as the tests of the module as it stands, and half a minute: on a machine that is busy
)
# Imported once for all mutants.
LIBRARIES = (
    "numpy", "pint", "pydantic", "scipy.interpolate", "scipy.optimize", "scipy.sparse", "scipy.stats",
    "shapely", "trimesh",
)  # fmt: skip

SIM, SOURCES = "tests/sim/", "tests/reference/"
VERDICTS, WORST = "tests/scenarios/test_verdicts.py", f"{SIM}assessment/test_worst_state.py"
FORMS = (
    f"{SOURCES}test_fixture_forms.py",
    f"{SIM}mechanics/test_fixtures.py",
    f"{SIM}mechanics/test_fixtures_many.py",
)
HOLDING = (
    f"{SIM}holding/test_closed_forms.py",
    f"{SIM}holding/test_revolution.py",
    f"{SIM}holding/test_least_grip.py",
    f"{SIM}holding/test_supports.py",
    f"{SIM}holding/test_props.py",
    f"{SIM}holding/test_independent.py",
    f"{SIM}holding/test_one_after_the_other.py",
)
PROGRAM = (f"{SIM}assessment/test_program.py", f"{SIM}assessment/test_program_state.py")
FIT = f"{SIM}readings/test_fit.py"
CLAMPING = f"{SIM}assessment/test_clamping.py"
KEYS = f"{SIM}report/test_assessment_keys.py"
# Modules, and for each the tests that must notice a mistake in it.
COVERED: dict[str, tuple[str, ...]] = {
    "sim/mechanics/stroke.py": (
        f"{SIM}mechanics/test_stroke.py", f"{SOURCES}test_stroke.py", "tests/properties/test_stroke.py",
    ),
    "sim/mechanics/grip.py": (
        f"{SIM}mechanics/test_grip.py", f"{SOURCES}test_grip.py", "tests/properties/test_grip.py",
    ),
    "sim/mechanics/spin.py": (f"{SIM}mechanics/test_spin.py", f"{SOURCES}test_vdi3106.py"),
    "sim/mechanics/cutting.py": (f"{SIM}mechanics/test_cutting.py",),
    "sim/mechanics/drilling.py": (
        f"{SIM}mechanics/test_drilling.py", f"{SIM}mechanics/test_batches.py", f"{SOURCES}test_worked_out.py",
    ),
    "sim/mechanics/kienzle.py": (
        f"{SIM}mechanics/test_kienzle.py", f"{SOURCES}test_kienzle.py", f"{SOURCES}test_worked_out.py",
    ),
    "sim/mechanics/hold.py": (f"{SIM}mechanics/test_hold.py", "tests/properties/test_hold.py"),
    "sim/mechanics/distortion.py": (
        f"{SIM}mechanics/test_distortion.py", f"{SOURCES}test_ring_formula.py", f"{SOURCES}test_ring_series.py",
        f"{SOURCES}test_ring_stress.py",
    ),
    "sim/mechanics/threading.py": (f"{SIM}mechanics/test_threading.py",),
    "sim/mechanics/cut_surface.py": (f"{SIM}mechanics/test_cut_surface.py",),
    "sim/mechanics/fixtures/bar.py": (f"{SOURCES}test_fixture_forms.py",),
    "sim/mechanics/fixtures/outer_ring.py": FORMS,
    "sim/mechanics/fixtures/plug.py": FORMS,
    "sim/mechanics/fixtures/ring.py": FORMS,
    "sim/mechanics/fixtures/strain.py": FORMS,
    "sim/mechanics/jaw_seat.py": (f"{SIM}mechanics/test_jaw_seat.py",),
    "sim/mechanics/screws.py": (f"{SIM}mechanics/test_screws.py", f"{SOURCES}test_vdi2230.py"),
    "sim/mechanics/balance.py": (f"{SIM}mechanics/test_balance.py",),
    "sim/mechanics/run_out.py": (
        f"{SIM}mechanics/test_run_out_by_hand.py", f"{SOURCES}test_run_out.py::test_weights_of_a_full_face",
        f"{SOURCES}test_run_out.py::test_weights_of_edges_and_middles",
        f"{SOURCES}test_run_out.py::test_three_lobes_shift_nothing_and_jaws_by_two_thirds",
    ),
    "sim/mechanics/across.py": (f"{SIM}mechanics/test_across.py",),
    "sim/mechanics/centre.py": (f"{SIM}mechanics/test_centre.py",),
    "sim/mechanics/part_bend.py": (f"{SIM}mechanics/test_part_bend.py",),
    "sim/mechanics/spindle.py": (f"{SIM}mechanics/test_spindle.py",),
    "sim/assessment/running.py": (f"{SIM}assessment/test_running.py",),
    "sim/contact/tableau.py": (f"{SIM}contact/test_tableau.py",),
    "sim/contact/pivot.py": (f"{SIM}contact/test_further.py",),
    "sim/contact/solve.py": (f"{SIM}contact/test_solve.py", f"{SIM}contact/test_speed.py"),
    "sim/assessment/clamping.py": (
        f"{SIM}assessment/test_both_states.py", f"{CLAMPING}::test_the_worst_size_counts",
        f"{CLAMPING}::test_same_force_in_boring_needs_no_taper", f"{CLAMPING}::test_loss_of_grip_by_stiffness",
        f"{CLAMPING}::test_the_part_goes_with_the_heavier_jaw",
        f"{CLAMPING}::test_without_grip_at_speed_there_is_no_turn",
        f"{CLAMPING}::test_the_roundness_of_the_worst_size_counts",
    ),
    "sim/assessment/demand.py": (f"{SIM}assessment/test_demand.py",),
    "sim/assessment/fixture.py": (
        f"{SIM}assessment/test_fixture_sizes.py", f"{SIM}assessment/test_fixture.py::test_load_at_speed_by_statics",
    ),
    "sim/assessment/holding.py": (
        f"{SIM}assessment/test_held_weight.py", f"{SIM}assessment/test_holding.py::test_where_the_part_stands",
        f"{SIM}assessment/test_holding.py::test_a_part_that_stands_on_nothing_has_no_back_face",
    ),
    "sim/assessment/side.py": (f"{SIM}assessment/test_side.py",),
    "sim/assessment/stress.py": (
        f"{SIM}assessment/test_stress.py",
        f"{SIM}assessment/verdicts/test_part.py::test_limits_are_shown_in_the_unit_of_their_figures",
    ),
    "sim/assessment/bodies.py": (CLAMPING,),
    "sim/assessment/boring.py": (f"{SIM}assessment/test_boring.py", f"{SIM}assessment/verdicts/test_boring.py"),
    "sim/assessment/jaws.py": (f"{SIM}assessment/verdicts/test_jaw.py", f"{SIM}assessment/test_jaw_masses.py"),
    "sim/assessment/machining.py": (f"{SIM}assessment/test_machining.py",),
    "sim/assessment/move_demand.py": (
        f"{SIM}assessment/test_move_demand.py",
        f"{SIM}assessment/test_machining.py",
        f"{SIM}assessment/test_drilling.py",
    ),
    "sim/assessment/meeting.py": (f"{SIM}assessment/test_meeting.py", f"{SIM}assessment/test_seating.py"),
    "sim/assessment/part_wall.py": (f"{SIM}assessment/test_part_wall.py",),
    "sim/assessment/program.py": PROGRAM,
    "sim/assessment/run_out.py": (f"{SOURCES}test_run_out.py", WORST),
    "sim/assessment/moment.py": (f"{SIM}views/test_moment.py",),
    "sim/assessment/state.py": (f"{SIM}assessment/test_state.py",),
    "sim/assessment/face_gap.py": (
        f"{SIM}assessment/test_state.py::test_where_jaw_and_part_are_nearest",
        f"{SIM}assessment/test_state.py::test_the_part_stops_the_jaws",
    ),
    "sim/assessment/gripped_again.py": (f"{SIM}assessment/test_state.py",),
    "sim/assessment/results.py": (KEYS, WORST),
    "sim/assessment/verdict.py": (KEYS, WORST),
    "sim/assessment/figures/boring.py": (KEYS, WORST),
    "sim/assessment/figures/clamping.py": (KEYS, WORST),
    "sim/assessment/figures/cut.py": (KEYS, WORST),
    "sim/assessment/figures/grip.py": (KEYS, WORST),
    "sim/assessment/figures/machining.py": (KEYS, WORST),
    "sim/assessment/figures/operation.py": (KEYS, WORST),
    "sim/assessment/figures/path.py": (KEYS, WORST),
    "sim/assessment/verdicts/rule.py": (f"{SIM}assessment/verdicts/test_rule.py",),
    "sim/assessment/verdicts/jaw.py": (
        f"{SIM}assessment/verdicts/test_jaw.py", f"{SIM}assessment/test_jaw_masses.py",
    ),
    "sim/assessment/verdicts/grip.py": (f"{SIM}assessment/verdicts/test_grip.py",),
    "sim/assessment/verdicts/part.py": (
        f"{SIM}assessment/verdicts/test_part.py", f"{WORST}::test_advice_on_run_out_names_what_is_behind_it",
    ),
    "sim/assessment/verdicts/bar.py": (f"{SIM}assessment/verdicts/test_bar.py",),
    "sim/assessment/verdicts/boring.py": (f"{SIM}assessment/verdicts/test_boring.py",),
    "sim/assessment/verdicts/fixture.py": (
        f"{SIM}assessment/verdicts/test_fixture.py",
        f"{SIM}assessment/test_fixture.py::test_advice_is_followed_and_then_passes",
        f"{SIM}assessment/test_fixture.py::test_fails",
    ),
    "sim/assessment/verdicts/fixture_loads.py": (
        f"{SIM}assessment/verdicts/test_fixture.py",
        f"{SIM}assessment/test_fixture.py::test_advice_is_followed_and_then_passes",
        f"{SIM}assessment/test_fixture.py::test_fails",
    ),
    "sim/assessment/verdicts/friction.py": (f"{SIM}assessment/test_friction_known.py",),
    "sim/assessment/verdicts/metal.py": (
        f"{SIM}assessment/verdicts/test_metal.py",
        f"{SIM}assessment/test_pointed_jaws.py::test_only_the_face_of_a_point_carries",
    ),
    "sim/assessment/verdicts/pockets.py": (f"{SIM}assessment/verdicts/test_pockets.py",),
    "sim/assessment/verdicts/program.py": PROGRAM,
    "sim/assessment/verdicts/seating.py": (f"{SIM}assessment/test_seating.py",),
    "sim/assessment/verdicts/path.py": (f"{SIM}assessment/verdicts/test_path.py",),
    "sim/assessment/verdicts/across.py": (f"{SIM}assessment/test_pointed_jaws.py",),
    "sim/assessment/verdicts/neighbours.py": (f"{SIM}assessment/test_pointed_jaws.py",),
    "sim/assessment/verdicts/part_balance.py": (f"{SIM}assessment/test_part_model.py",),
    "sim/assessment/verdicts/cuts.py": (
        f"{SIM}assessment/test_cut_places.py", "tests/sim/variants/test_places.py",
    ),
    "sim/assessment/verdicts/included.py": (f"{SIM}assessment/verdicts/test_included.py",),
    "sim/assessment/verdicts/pocket_limits.py": (f"{SIM}assessment/verdicts/test_pocket_limits.py",),
    "sim/assessment/verdicts/machining.py": (f"{SIM}assessment/verdicts/test_machining.py",),
    "sim/assessment/verdicts/running.py": (f"{SIM}assessment/verdicts/test_running.py",),
    "sim/assessment/verdicts/spindle.py": (f"{SIM}assessment/verdicts/test_spindle.py",),
    "sim/assessment/verdicts/supports.py": (f"{SIM}assessment/verdicts/test_supports.py",),
    "sim/assessment/verdicts/cutting.py": (
        f"{SIM}assessment/verdicts/test_cutting.py", f"{SIM}assessment/test_drilling.py",
        f"{SIM}assessment/test_cutting_edges.py", VERDICTS,
    ),
    "sim/readings/fit.py": (
        f"{FIT}::test_a_straight_line_by_hand", f"{FIT}::test_a_line_through_a_known_intercept_has_one_degree_more",
        f"{FIT}::test_two_stated_figures_beside_three_found_ones", f"{FIT}::test_against_scipys_regression",
        f"{FIT}::test_no_scenario_takes_an_efficiency_over_one", f"{FIT}::test_an_estimate_in_another_unit",
        f"{FIT}::test_friction_is_found_where_the_search_begins_and_far_up",
    ),
    "sim/holding/faces.py": HOLDING,
    "sim/holding/program.py": HOLDING,
    "sim/holding/revolution.py": HOLDING,
    "sim/holding/supports.py": HOLDING,
    "sim/clearance/check.py": (f"{SIM}clearance/test_check.py",),
    "sim/clearance/removal.py": (f"{SIM}clearance/test_check.py",),
    "sim/clearance/cells.py": (f"{SIM}clearance/test_tiles.py",),
    "sim/clearance/tiles.py": (f"{SIM}clearance/test_tiles.py",),
    "sim/clearance/touch.py": (f"{SIM}clearance/test_check.py",),
    "sim/programs/compensation.py": (f"{SIM}programs/test_compensation.py",),
    "sim/programs/contour_blocks.py": (f"{SIM}programs/test_cycles.py",),
    "sim/programs/cycle_moves.py": (f"{SIM}programs/test_cycles.py",),
    "sim/programs/cycle_words.py": (f"{SIM}programs/test_cycles.py",),
    "sim/programs/cycles/contour.py": (f"{SIM}programs/cycles/test_roughing.py",),
    "sim/programs/cycles/pattern.py": (f"{SIM}programs/cycles/test_roughing.py",),
    "sim/programs/cycles/roughing.py": (f"{SIM}programs/cycles/test_roughing.py",),
    "sim/programs/corners.py": (f"{SIM}programs/test_corners.py",),
    "sim/programs/arithmetic.py": (f"{SIM}programs/test_expressions.py",),
    "sim/programs/expressions.py": (f"{SIM}programs/test_expressions.py",),
    "sim/programs/flow.py": (f"{SIM}programs/test_flow.py",),
    "sim/programs/cycles/threads.py": (f"{SIM}programs/cycles/test_threads.py",),
    "sim/programs/cycles/pecks.py": (f"{SIM}programs/cycles/test_single_and_pecks.py",),
    "sim/programs/cycles/holes.py": (f"{SIM}programs/cycles/test_single_and_pecks.py",),
    "sim/programs/cycles/single.py": (f"{SIM}programs/cycles/test_single_and_pecks.py",),
    "sim/programs/thread_words.py": (f"{SIM}programs/test_single_cycle_words.py",),
    "sim/programs/hole_words.py": (f"{SIM}programs/test_single_cycle_words.py",),
    "sim/programs/single_cycle_words.py": (f"{SIM}programs/test_single_cycle_words.py",),
    "sim/programs/code_systems.py": (f"{SIM}programs/test_system_words.py", f"{SIM}programs/test_program.py"),
    "sim/programs/home_words.py": (f"{SIM}programs/test_home_words.py", f"{SIM}programs/test_motion.py"),
    "sim/programs/idle_words.py": (f"{SIM}programs/test_idle_words.py",),
    "sim/programs/system_words.py": (f"{SIM}programs/test_system_words.py",),
    "sim/programs/tool_digits.py": (f"{SIM}programs/test_tool_digits.py",),
    "sim/programs/tool_words.py": (f"{SIM}programs/test_tool_digits.py", f"{SIM}programs/test_program.py"),
    "sim/programs/zero_words.py": (f"{SIM}programs/test_zero_words.py",),
    "sim/report/assessment.py": (KEYS,),
    "sim/report/path.py": (KEYS,),
    "sim/report/verdicts.py": (KEYS, f"{SIM}report/test_other_reports.py"),
    "sim/report/layouts.py": (f"{SIM}report/test_other_reports.py",),
    "sim/report/uncertainty.py": (f"{SIM}report/test_other_reports.py",),
    "sim/report/readings.py": (f"{SIM}report/test_other_reports.py",),
    "sim/report/typical.py": (f"{SIM}report/test_compared_reports.py",),
    "sim/report/revisions.py": (f"{SIM}report/test_compared_reports.py",),
    "sim/report/running.py": (f"{SIM}report/test_compared_reports.py", KEYS),
    "sim/report/studies.py": (f"{SIM}report/test_other_reports.py",),
    "sim/report/boring_program.py": (f"{SIM}report/test_boring_program.py",),
    "sim/report/schema_nodes.py": (f"{SIM}report/test_schema_nodes.py",),
    "sim/report/moves.py": (KEYS, f"{SIM}report/test_moves.py"),
}  # fmt: skip

COMPARED = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
EXCHANGED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
COMPUTING = (ast.BinOp, ast.BoolOp, ast.Compare, ast.UnaryOp, ast.Name, ast.Attribute)
NAMED = {
    "min": "max",
    "max": "min",
    "sin": "cos",
    "cos": "sin",
    "any": "all",
    "all": "any",
    "argmin": "argmax",
}


@dataclass(frozen=True, slots=True)
class Mutant:
    """A module with one mistake: where it is, what it says, and the whole text."""

    line: int
    was: str
    now: str
    text: str


def mutants(source: str) -> Iterator[Mutant]:
    """Yield every mutant of a module's text."""
    tree = ast.parse(source)
    for number, node in enumerate(_mutable(tree)):
        was, now = ast.unparse(node), copy.deepcopy(node)
        if _mutate(now) and ast.unparse(now) != was:
            changed = copy.deepcopy(tree)
            _mutate(list(_mutable(changed))[number])
            yield Mutant(node.lineno, was, ast.unparse(now), ast.unparse(ast.fix_missing_locations(changed)))


def _mutable(tree: ast.AST) -> Iterator[ast.expr]:
    """Yield the expressions that compute something: no annotations, decorators, words or formats of words."""
    for field, value in ast.iter_fields(tree):
        if field in ("annotation", "returns", "decorator_list", "format_spec", "type_params"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if not isinstance(child, ast.AST) or isinstance(child, ast.JoinedStr | ast.Raise):
                continue
            if isinstance(child, ast.Assign) and "Literal" in ast.unparse(child.value):
                continue
            number = isinstance(child, ast.Constant) and type(child.value) in (int, float)
            if number or isinstance(child, COMPUTING):
                assert isinstance(child, ast.expr)
                yield child
            yield from _mutable(child)


def _mutate(node: ast.expr) -> bool:
    """Put the mistake into a node; False where there is none to make."""
    if isinstance(node, ast.BinOp | ast.BoolOp):
        other = EXCHANGED.get(type(node.op))
        node.op = node.op if other is None else other()  # type: ignore[assignment]
    elif isinstance(node, ast.Compare):
        node.ops[0] = COMPARED[type(node.ops[0])]()
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        node.op = ast.UAdd() if isinstance(node.op, ast.USub) else ast.Not()
        if isinstance(node.op, ast.Not):
            node.operand = ast.UnaryOp(ast.Not(), node.operand)
    elif isinstance(node, ast.Constant):
        node.value = node.value + 1 if type(node.value) is int else 1.1 * node.value or 0.1  # type: ignore[operator]
    elif isinstance(node, ast.Name) and node.id in NAMED:
        node.id = NAMED[node.id]
    elif isinstance(node, ast.Attribute) and node.attr in NAMED:
        node.attr = NAMED[node.attr]
    else:
        return False
    return True


def passes(copied: Path, tests: tuple[str, ...], *, plain: bool = False, within: float = TIMEOUT) -> bool:
    """Tell whether the tests of a copy of the tree pass; `plain` ones need no fixtures, which take seconds to import.

    They run in a child of this process, with the libraries in memory already, and of the tree what no mutant is in.
    """
    child = os.fork()
    if child == 0:
        os.chdir(copied)
        sys.path.insert(0, str(copied))
        os.environ["PYTHONPATH"] = str(copied)  # of processes that tests start
        quiet = os.open(os.devnull, os.O_WRONLY)
        for stream in (1, 2):
            os.dup2(quiet, stream)
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.alarm(math.ceil(within))
        asked = [
            "-x",
            "-q",
            "-p",
            "no:cacheprovider",
            *(["--noconftest", "--hypothesis-profile=ci"] if plain else []),
            *tests,
        ]
        code = 1
        try:
            code = int(pytest.main(asked))
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    return status == 0


def stale() -> list[str]:
    """Return the paths that `COVERED` names and that are not there (any more)."""
    named = [*COVERED, *(test.partition("::")[0] for tests in COVERED.values() for test in tests)]
    return [path for path in named if not (ROOT / path).is_file()]


def apart(module: str) -> list[str]:
    """Return the modules of the tree that import none of `module`, nor what imports it: one import does for all."""
    names = {
        ".".join(p.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): p
        for package in ("sim", "meshes")
        for p in (ROOT / package).rglob("*.py")
    }
    imported = {
        name: {*_imports(path), *_with_packages(name)} & set(names) - {name} for name, path in names.items()
    }
    touched, size = {next(name for name, path in names.items() if path == ROOT / module)}, 0
    while size != len(touched):
        size = len(touched)
        touched |= {name for name, others in imported.items() if others & touched}
    return sorted(set(names) - touched - {name for name in names if name.startswith("sim.views")})


def _imports(path: Path) -> Iterator[str]:
    """Yield what a module's text imports, with the packages around that."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    # What a package imports for the type checker alone is not imported when it runs.
    tree.body = [
        n for n in tree.body if not (isinstance(n, ast.If) and ast.unparse(n.test) == "TYPE_CHECKING")
    ]
    for node in ast.walk(tree):
        found = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom) and node.module:
            found = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        for name in found:
            yield from _with_packages(name)


def _with_packages(name: str) -> Iterator[str]:
    steps = name.split(".")
    yield from (".".join(steps[:n]) for n in range(1, len(steps) + 1))


def apart_judged(module: str, told: argparse.Namespace) -> int:
    """Judge a module in a child, which may keep modules of its copy of the tree in memory."""
    child = os.fork()
    if child == 0:
        code = 255
        try:
            code = min(judge(module, told.sample, told.seed, 60 * told.minutes), 254)
        except SystemExit as refused:
            print(refused)  # noqa: T201
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def judge(module: str, sample: int | None, seed: int, seconds: float) -> int:
    """Run the mutants of a module, print the survivors and the score, and return how many survive.

    After `seconds` no further one is begun; in the order drawn, so that those that ran are a sample as well.
    """
    source, tests = (ROOT / module).read_text(encoding="utf-8"), COVERED[module]
    found = list(mutants(source))
    chosen = found if sample is None else random.Random(seed).sample(found, min(sample, len(found)))  # noqa: S311
    with tempfile.TemporaryDirectory(prefix="chuckscene-mutation-") as folder:
        copied = Path(folder) / "tree"
        shutil.copytree(
            ROOT, copied, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache")
        )
        sys.path.insert(0, str(copied))
        for name in apart(module):
            importlib.import_module(name)
        assert module.removesuffix(".py").replace("/", ".") not in sys.modules
        plain = passes(copied, tests, plain=True)
        whole = time.monotonic()
        if not passes(copied, tests, plain=plain):
            raise SystemExit(f"the tests of {module} do not pass before anything was changed")
        begin, ran, left = time.monotonic(), 0, 0
        within = min(TIMEOUT, 30 + SLOWER * (begin - whole))
        for mutant in chosen:
            if time.monotonic() - begin > seconds:
                break
            (copied / module).write_text(mutant.text, encoding="utf-8")
            ran += 1
            if passes(copied, tests, plain=plain, within=within):
                left += 1
                print(f"{module}:{mutant.line}: survived: {mutant.was}  ->  {mutant.now}", flush=True)  # noqa: T201
        took = time.monotonic() - begin
    print(f"{module}: {ran - left} of {ran} killed ({len(found)} mutants in all), {took:.0f} s")  # noqa: T201
    return left


def main() -> int:
    """Judge the modules that the command line names."""
    sys.dont_write_bytecode = True
    for library in LIBRARIES:
        importlib.import_module(library)
    parser = argparse.ArgumentParser(description="run the mutants of a module against its tests")
    parser.add_argument(
        "modules", nargs="*", help="as in sim/mechanics/grip.py; none for all that are covered"
    )
    parser.add_argument("--sample", type=int, help="so many mutants of a module, drawn")
    parser.add_argument("--seed", type=int, default=1, help="of the drawing")
    parser.add_argument("--minutes", type=float, default=math.inf, help="begin none later, of a module")
    parser.add_argument("--list", action="store_true", help="the modules covered, and their tests")
    told = parser.parse_args()
    if told.list:
        for module, tests in COVERED.items():
            print(module, *tests, sep="\n    ")  # noqa: T201
        return 0
    unknown = [module for module in told.modules if module not in COVERED]
    if unknown:
        raise SystemExit(f"{unknown[0]} is not among the modules covered; --list names them")
    if stale():
        raise SystemExit(f"COVERED names what is not there: {', '.join(stale())}")
    return int(sum(apart_judged(module, told) for module in told.modules or COVERED) > 0)


if __name__ == "__main__":
    raise SystemExit(main())
