"""What README and manual show as code: Python runs, commands parse, files are read, the whole setup is judged."""

from __future__ import annotations

import doctest
import re
import shlex
import shutil
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from markdown_it import MarkdownIt
from turned_step import turned_step

from sim import cli
from sim.assessment.stages import assess
from sim.base.errors import ScenarioError
from sim.layouts.space import space
from sim.manual import pages
from sim.scenario import read_search
from sim.scenario.jaw_set import read_jaw_set
from sim.scenario.scenario import checked, full_tables
from sim.scenario.study import read_study
from sim.setup.loading import load
from sim.studies.preparing import cases_of

ROOT = Path(__file__).parents[3]
TEXTS = {
    "README": (ROOT / "README.md").read_text(encoding="utf-8"),
    **{one.name: one.text for one in pages()},
}
BASE = ROOT / "scenarios" / "cast_hub_on_ring.toml"
COMMAND = re.compile(r"(?:^|&& )(?:\.venv/bin/)?chuckscene (.+)$")


def code(text: str) -> Iterator[tuple[str, str]]:
    """Return (language and kind, content) of every piece of code, within lines too."""
    for token in MarkdownIt("commonmark").enable("table").parse(text):
        if token.type in ("fence", "code_block"):
            yield token.info, token.content
        for child in token.children or ():
            if child.type == "code_inline":
                yield "inline", child.content


def commands() -> Iterator[tuple[str, str]]:
    for name, text in TEXTS.items():
        for _, content in code(text):
            for line in content.replace("\\\n", " ").splitlines():
                if found := COMMAND.search(line):
                    yield name, found[1]


def snippets(kind: str) -> list[Any]:
    return [
        pytest.param(content, id=f"{name}-{number}")
        for name, text in TEXTS.items()
        for number, (language, content) in enumerate(code(text))
        if language == kind
    ]


@pytest.mark.parametrize("line", sorted({line for _, line in commands()}))
def test_a_command_that_is_shown_exists(line: str) -> None:
    group = typer.main.get_command(cli.app)
    name, *arguments = shlex.split(line.partition(" > ")[0])
    if name in ("--help", "--version"):
        return
    command = group.commands[name]  # type: ignore[attr-defined]
    if arguments not in ([], ["--help"]):  # alone it is only named
        command.make_context(name, list(arguments))
    for word in arguments:
        for part in word.split("+"):
            assert not part.startswith("scenarios/") or (ROOT / part).exists(), part


def test_commands_are_found() -> None:
    """The pattern that looks for them does find them."""
    assert len(set(commands())) > 30
    assert {name for name, _ in commands()} >= {"README", "commands", "layouts", "readings", "studies"}


@pytest.mark.parametrize("text", snippets("python"))
def test_python_runs(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    case = doctest.DocTestParser().get_doctest(text, {}, "page", None, 0)
    assert case.examples
    assert doctest.DocTestRunner().run(case).failed == 0


def merged(own: Any, other: Any) -> Any:
    """Return tables with a snippet's put in; a table for a list goes into each item; another kind takes the place."""
    if isinstance(own, list) and isinstance(other, dict):
        return [merged(item, other) for item in own]
    if not isinstance(own, dict) or not isinstance(other, dict) or own.get("kind") != other.get("kind"):
        return other
    return own | {key: merged(own.get(key), value) for key, value in other.items()}


@pytest.mark.parametrize("text", [one for one in snippets("toml") if not one.id.startswith("README")])
def test_a_part_of_a_scenario_is_read(text: str, tmp_path: Path) -> None:
    own, place = full_tables(BASE), BASE
    if "model = " in text:  # in the place of the outline, which the file then has
        hub = [work.pop("outline") for work in (one["workpiece"] for one in own["operations"])]
        corners = [tuple(float(end.split()[0]) for end in corner) for corner in hub[0]]
        (tmp_path / "flange.step").write_bytes(turned_step([[(r, z, 0.0) for r, z in corners]]))
        place = tmp_path / "shown.toml"
    checked(merged(own, tomllib.loads(text)), place)
    misspelt = re.sub(r"^(\w+) =", r"\1_ =", text, count=1, flags=re.MULTILINE)
    with pytest.raises(ScenarioError):
        checked(merged(own, tomllib.loads(misspelt)), place)


@pytest.fixture
def place(tmp_path: Path) -> Callable[[str, str], Path]:
    """Write a file into a folder beside copies of the scenarios."""
    shutil.copytree(ROOT / "scenarios", tmp_path, dirs_exist_ok=True)

    def written(folder: str, text: str) -> Path:
        path = tmp_path / folder / "shown.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return written


@pytest.mark.parametrize("text", snippets("toml study"))
def test_a_study_is_read(text: str, place: Callable[[str, str], Path]) -> None:
    wanted = read_study(place("studies", text))
    assert cases_of(wanted)


@pytest.mark.parametrize("text", snippets("toml search"))
def test_a_search_is_read(text: str, place: Callable[[str, str], Path]) -> None:
    wanted = read_search(place("search", text))
    assert space(wanted, load(wanted.scenario_file))


@pytest.mark.parametrize("text", snippets("toml shelf"))
def test_a_jaw_set_is_read(text: str, place: Callable[[str, str], Path]) -> None:
    assert read_jaw_set(place("shelf", text)).soft_jaw.bored_before


def test_every_kind_of_code_is_tested() -> None:
    kinds = {language for text in TEXTS.values() for language, _ in code(text)}
    assert kinds <= {"", "inline", "sh", "python", "toml", "toml study", "toml search", "toml shelf"}


def test_the_setup_of_the_readme_is_what_is_said_of_it(tmp_path: Path) -> None:
    (text,) = (one.values[0] for one in snippets("toml") if one.id.startswith("README"))
    path = tmp_path / "bush.toml"
    path.write_text(text, encoding="utf-8")
    judged = assess(load(path))
    assert {verdict.status for verdict in judged.verdicts} == {"pass"}
    assert len(judged.unasked) == 2
    assert all("program" in one.needs for one in judged.unasked)
    assert judged.verdicts[0].name == "boring ring pressure"


@pytest.mark.parametrize(
    ("right", "wrong", "field"),
    [
        ("marked_speed", "markd_speed", "chuck.markd_speed"),
        ('travel = "3 mm"', 'travel = "3"', "boring.travel"),
    ],
)
def test_mistakes_in_it_are_refused(tmp_path: Path, right: str, wrong: str, field: str) -> None:
    (text,) = (one.values[0] for one in snippets("toml") if one.id.startswith("README"))
    assert right in text
    path = tmp_path / "bush.toml"
    path.write_text(text.replace(right, wrong), encoding="utf-8")
    with pytest.raises(ScenarioError, match=re.escape(field)):
        load(path)
