"""Answers on disk: given for the very same values and code, and for nothing that differs or is damaged."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path
from types import SimpleNamespace

import grimp
import numpy as np
import pytest

from sim.base import answers
from sim.base.answers import LIBRARIES, answers_in, maker, sources, written

WORKED: list[object] = []
ROOT = Path(answers.__file__).parents[2]


@written
def doubled(value: object) -> object:
    WORKED.append(value)
    if isinstance(value, float) and value < 0.0:
        raise ValueError("less than nothing")
    return value * 2  # type: ignore[operator]


@pytest.fixture(autouse=True)
def _nothing_worked_out() -> Iterator[None]:
    WORKED.clear()
    yield
    WORKED.clear()


def ask(folder: Path, *values: object, subject: str = "a") -> list[object]:
    """What is answered, in a process that has the folder only."""
    with answers_in(folder, subject):
        return [doubled(value) for value in values]


def only(folder: Path) -> Path:
    (path,) = folder.iterdir()
    return path


def test_nothing_is_kept_unless_asked() -> None:
    assert [doubled(1.5), doubled(1.5)] == [3.0, 3.0]
    assert WORKED == [1.5, 1.5]


def test_the_same_values_are_worked_out_once(tmp_path: Path) -> None:
    first = ask(tmp_path, 1.5, (1, "a"))
    assert ask(tmp_path, 1.5, (1, "a")) == first == [3.0, (1, "a", 1, "a")]
    assert WORKED == [1.5, (1, "a")]


def test_a_value_that_differs_anywhere_is_another_question(tmp_path: Path) -> None:
    ask(tmp_path, 1.0)
    ask(tmp_path, np.nextafter(1.0, 2.0), 1, True, (1.0,), [1.0])
    assert len(WORKED) == 6


def test_what_is_not_asked_again_is_dropped(tmp_path: Path) -> None:
    ask(tmp_path, 1.0, 2.0)
    ask(tmp_path, 2.0, 3.0)
    assert WORKED == [1.0, 2.0, 3.0]
    ask(tmp_path, 1.0)
    assert WORKED[3:] == [1.0]


def test_subjects_do_not_share(tmp_path: Path) -> None:
    ask(tmp_path, 1.0)
    ask(tmp_path, 1.0, subject="b")
    assert WORKED == [1.0, 1.0]


def test_errors_are_not_kept(tmp_path: Path) -> None:
    for _ in range(2):
        with pytest.raises(ValueError, match="less"):
            ask(tmp_path, -1.0)
    assert WORKED == [-1.0, -1.0]


def test_what_has_no_text_is_worked_out_each_time(tmp_path: Path) -> None:
    for _ in range(2):
        with answers_in(tmp_path, "a"):
            assert doubled(value=np.array([1.0, 2.0])[::-1]).tolist() == [4.0, 2.0]  # type: ignore[attr-defined]
    assert len(WORKED) == 2


@pytest.mark.parametrize("share", [0.0, 0.01, 0.2, 0.5, 0.8, 1.0])
def test_no_flipped_bit_gives_another_answer(tmp_path: Path, share: float) -> None:
    want = ask(tmp_path, 1.5, 2.5)
    path = only(tmp_path)
    whole = path.read_bytes()
    at = round(share * (len(whole) - 1))
    for bit in range(8):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1 << bit]) + whole[at + 1 :])
        WORKED.clear()
        assert ask(tmp_path, 1.5, 2.5) == want
        assert WORKED == [1.5, 2.5]


@pytest.mark.parametrize("content", [b"", b"\n", b"no file of answers", b"[]\n{}"])
def test_a_foreign_file_counts_as_none(tmp_path: Path, content: bytes) -> None:
    ask(tmp_path, 1.5)
    only(tmp_path).write_bytes(content)
    assert ask(tmp_path, 1.5) == [3.0]
    assert WORKED == [1.5, 1.5]


def test_an_answer_that_cannot_be_read_is_worked_out(tmp_path: Path) -> None:
    """Even under a checksum that holds."""
    ask(tmp_path, 1.5)
    path = only(tmp_path)
    known = json.loads(path.read_bytes().partition(b"\n")[2])
    body = json.dumps(dict.fromkeys(known, '["frozen","os","system",{}]')).encode()
    path.write_bytes(answers._sum(body) + b"\n" + body)
    assert ask(tmp_path, 1.5) == [3.0]
    assert WORKED == [1.5, 1.5]


def test_other_code_has_its_own_answers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ask(tmp_path, 1.5)
    monkeypatch.setattr(answers, "maker", lambda: "other code")
    ask(tmp_path, 1.5)
    assert WORKED == [1.5, 1.5]


def test_a_folder_that_cannot_be_written_costs_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert ask(tmp_path / "file", 1.5) == [3.0]


def test_old_files_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "_KEPT", 3)
    for number in range(6):
        ask(tmp_path, 1.5, subject=str(number))
    assert len(list(tmp_path.iterdir())) == 3


def planted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, more: str) -> tuple[str, str]:
    """Digest of a copy of the packages before and after text is put at the end of one of its files."""
    for package in answers.PACKAGES:
        shutil.copytree(
            ROOT / package, tmp_path / package, ignore=shutil.ignore_patterns("__pycache__", "views")
        )
    monkeypatch.setattr(
        answers,
        "find_spec",
        lambda package: SimpleNamespace(submodule_search_locations=[str(tmp_path / package)]),
    )
    before = maker.__wrapped__()
    assert maker.__wrapped__() == before
    path = tmp_path / name
    path.write_text(path.read_text(encoding="utf-8") + more, encoding="utf-8")
    return before, maker.__wrapped__()


@pytest.mark.parametrize(
    "name",
    [
        "sim/contact/solve.py",
        "sim/assessment/stress.py",
        "sim/base/floats.py",
        "meshes/soft_jaw.py",
        "sim/data/materials.toml",
        "sim/clearance/union.py",
        "sim/mechanics/fixtures/__init__.py",
    ],
)
def test_a_planted_change_has_answers_of_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    before, after = planted(tmp_path, monkeypatch, name, "\n")
    assert before != after


def test_another_version_of_a_library_has_answers_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    now, known = maker.__wrapped__(), answers.version
    for library in LIBRARIES:
        with monkeypatch.context() as patch:
            patch.setattr(answers, "version", lambda name, other=library: known(name) + "x" * (name == other))
            assert maker.__wrapped__() != now
    assert maker.__wrapped__() == now


def test_versions_are_those_of_the_packages() -> None:
    assert {name: answers.version(name) for name in LIBRARIES} == {
        name: f"Version: {metadata.version(name)}" for name in LIBRARIES
    }


def test_a_library_without_a_version_gives_answers_to_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "LIBRARIES", (*LIBRARIES, "no such library"))
    assert maker.__wrapped__() != maker.__wrapped__()


@pytest.fixture(scope="module")
def graph() -> grimp.ImportGraph:
    return grimp.build_graph("sim", "meshes", include_external_packages=True, cache_dir=None)


def reached(graph: grimp.ImportGraph) -> set[str]:
    """Everything that a module with a written function imports, however far down."""
    asking = {
        name
        for name in graph.modules
        if (path := module_file(name)) is not None and "\n@written\n" in path.read_text(encoding="utf-8")
    }
    assert len(asking) > 3
    return asking.union(*(graph.find_upstream_modules(name) for name in asking))


def module_file(name: str) -> Path | None:
    place = ROOT.joinpath(*name.split("."))
    found = [path for path in (place.with_suffix(".py"), place / "__init__.py") if path.is_file()]
    return found[0] if found else None


def test_every_module_that_a_written_function_reaches_is_in_the_digest(graph: grimp.ImportGraph) -> None:
    files = {module_file(name) for name in reached(graph) if name.startswith(("sim", "meshes"))}
    assert files
    assert files <= set(sources())


def test_every_library_that_a_written_function_reaches_is_in_the_digest(graph: grimp.ImportGraph) -> None:
    names = {"skfem": "scikit-fem"}
    # What reads and writes scenario, folders and answers themselves decides no answer: its values are in the question.
    around = {"pydantic", "pydantic_core", "platformdirs", "typing_extensions"}
    external = {name.split(".")[0] for name in reached(graph)} - {"sim", "meshes"} - sys.stdlib_module_names
    assert {names.get(name, name) for name in external - around} <= set(LIBRARIES)
