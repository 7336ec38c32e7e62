"""Pages, index, README: nothing leads nowhere, every command and verdict has its place, each figure of speed one."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
import typer
from markdown_it import MarkdownIt
from markdown_it.token import Token

from sim import cli
from sim.assessment.not_judged import BY_CONTACT, OF_A_PROGRAM
from sim.assessment.results import CAUTIONS
from sim.assessment.stages import assess
from sim.assessment.verdicts.rules import rule_of
from sim.base.errors import ChuckSceneError
from sim.base.units import KINDS
from sim.manual import page, pages
from sim.setup.loading import load

FOLDER = Path("sim") / "manual"
TIME = re.compile(r"(?<![\w.])\d[\d.]* (?:ms|s|min|microseconds?|seconds?|minutes?|hours?)\b")
NAMES = [one.name for one in pages()]


def tokens(text: str) -> Iterator[Token]:
    """Return all tokens of a Markdown text, those within lines too."""
    for token in MarkdownIt("commonmark").enable("table").parse(text):
        yield token
        yield from token.children or ()


def links(text: str) -> list[str]:
    """Return where a text's links and pictures lead to."""
    found = [token.attrGet("href") or token.attrGet("src") for token in tokens(text)]
    return [str(one) for one in found if one]


def rows(text: str) -> list[list[str]]:
    """Return the cells of all tables of a text, heads left out."""
    lines = [line for line in text.splitlines() if line.startswith("|")]
    return [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line, after in pairwise([*lines, ""])
        if not line.startswith("|---") and not after.startswith("|---")
    ]


def test_the_index_names_every_page_once(root: Path) -> None:
    files = {path.stem for path in (root / FOLDER).glob("*.md")}
    assert Counter(NAMES) == Counter(files - {"index"})
    for one in pages():
        assert one.text.startswith(f"# {one.title}\n\n")
        assert one.summary.endswith("?")
        assert page(one.name) == one


def test_a_page_that_is_none_is_refused_with_the_names() -> None:
    with pytest.raises(ChuckSceneError) as refused:
        page("strokes")
    told = str(refused.value)
    assert "'strokes'" in told
    assert told.endswith(", ".join(NAMES))


@pytest.mark.parametrize(
    "name", ["README.md", "DEVELOPERS.md", *(f"sim/manual/{n}.md" for n in ("index", *NAMES))]
)
def test_every_link_leads_somewhere(root: Path, name: str) -> None:
    path = root / name
    found = [link for link in links(path.read_text(encoding="utf-8")) if not link.startswith("https://")]
    for link in found:
        assert (path.parent / link).is_file(), link
        # A page may lead to pages only, and show pictures beside them: nothing else is in the package.
        if path.parent.name == "manual" and not link.endswith(".webp"):
            assert link.removesuffix(".md") in NAMES
    if name in ("README.md", "sim/manual/index.md"):
        wanted = {f"{n}.md" for n in NAMES}
        assert wanted <= {Path(link).name for link in found}


def test_the_cautions_stand_in_readme_and_index(root: Path) -> None:
    for path in (root / "README.md", root / FOLDER / "index.md"):
        text = path.read_text(encoding="utf-8")
        assert "## Cautions\n\n" + "".join(f"- {caution}\n" for caution in CAUTIONS) in text


def test_the_readme_is_short(root: Path) -> None:
    assert (root / "README.md").stat().st_size <= 8_500


def test_the_readme_has_one_test_line(root: Path) -> None:
    """.ci/run takes it out of there by the same pattern."""
    text = (root / "README.md").read_text(encoding="utf-8")
    assert len(re.findall(r"^    (python3 -m venv .*pytest.*)$", text, re.MULTILINE)) == 1


def test_figures_of_speed_stand_on_one_page(root: Path) -> None:
    assert len(TIME.findall(page("speed").text)) > 20
    texts = {one.name: one.text for one in pages() if one.name != "speed"}
    texts["README"] = (root / "README.md").read_text(encoding="utf-8")
    assert {name: found for name, text in texts.items() if (found := TIME.findall(text))} == {}


def test_every_command_and_option_has_one_row() -> None:
    commands = typer.main.get_command(cli.app).commands  # type: ignore[attr-defined]
    sections = re.split(r"^## `chuckscene ([a-z-]+)[^`]*`$", page("commands").text, flags=re.MULTILINE)
    assert Counter(sections[1::2]) == Counter(list(commands))
    for name, text in zip(sections[1::2], sections[2::2], strict=True):
        listed = Counter(
            option for row in rows(text) for option in dict.fromkeys(re.findall(r"`(--[a-z-]+)", row[0]))
        )
        known = [
            option
            for parameter in commands[name].params
            if parameter.param_type_name == "option" and parameter.name != "help"
            for option in (*parameter.opts, *parameter.secondary_opts)
        ]
        assert listed == Counter(known), name


def test_no_other_page_has_a_heading_for_a_command() -> None:
    for one in pages():
        if one.name != "commands":
            assert not re.search(r"^#+ `?chuckscene", one.text, re.MULTILINE)


def test_the_readme_lists_every_command_once(root: Path) -> None:
    text = (root / "README.md").read_text(encoding="utf-8")
    listed = re.findall(r"^\| `chuckscene ([a-z-]+)[^`]*` \|", text, re.MULTILINE)
    assert Counter(listed) == Counter(list(typer.main.get_command(cli.app).commands))  # type: ignore[attr-defined]


def test_units_are_those_that_are_read() -> None:
    table = page("start").text.partition("| quantity | units |")[2].partition("\n\n")[0]
    found = {row[0]: row[1].replace("`", "").split(", ") for row in rows(f"| quantity | units |{table}")}
    assert found == {kind.name: list(kind.units) for kind in KINDS.values()}


def listed_verdicts() -> list[str]:
    return [name for row in rows(page("verdicts").text) for name in row[0].split("; ")]


def test_every_verdict_has_one_row(root: Path, scenario_name: str) -> None:
    judged = assess(load(root / "scenarios" / f"{scenario_name}.toml"), contact_model="foundation")
    listed = Counter(listed_verdicts())
    assert {verdict.name for verdict in judged.verdicts} <= set(listed)
    assert max(listed.values()) == 1


def test_verdicts_of_programs_and_contact_have_a_row() -> None:
    assert {rule_of(key).name for key in (*OF_A_PROGRAM, *BY_CONTACT)} <= set(listed_verdicts())


def test_the_table_of_verdicts_can_be_put_in_place(root: Path) -> None:
    text = (root / FOLDER / "verdicts.md").read_text(encoding="utf-8")
    assert text.count("\n<!-- verdicts -->\n| verdict |") == text.count("|\n<!-- /verdicts -->\n") == 1
    assert "<!--" not in page("verdicts").text
