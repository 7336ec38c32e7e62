"""Sheets in another language: no fixed phrase lacks, every figure is the same, and it stands where it has room."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import get_args

import pytest
import shapely

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.verdicts.rules import RULES
from sim.drawing.asked import Asked
from sim.drawing.phrases import LANGUAGES, phrases, said
from sim.drawing.primitives import Group, Sheet, Words, flat
from sim.scenario import Cut
from sim.scenario.program import Shanks
from sim.setup_sheet import codes, drawn, gripping, mounting, standing
from sim.setup_sheet.document import MARGIN
from sim.setup_sheet.form import Form

OTHERS = [language for language in LANGUAGES if language != "en"]
PLACES = re.compile(r"\{(\w+)\}")
FIGURE = r"\d+(?:[.,]\d+)?"


def literals(root: Path) -> Iterator[str]:
    """Yield every phrase that the code asks for by a literal, or chooses between two of them."""
    for folder in ("setup_sheet", "drawing"):
        for path in {*(root / "sim" / folder).glob("*.py")} - {root / "sim" / "drawing" / "phrases.py"}:
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "phrase":
                    yield from (
                        one.value
                        for one in ast.walk(node.value)
                        if isinstance(one, ast.Constant) and isinstance(one.value, str)
                    )
                if not isinstance(node, ast.Call):
                    continue
                name = ast.unparse(node.func).rsplit(".", 1)[-1]
                asked = node.args[0] if name == "say" else node.args[1] if name == "said" else None
                if isinstance(asked, ast.Constant):
                    yield asked.value


def named() -> Iterator[str]:
    """Yield every phrase that stands in a table of the code, or is a word of a scenario or of a verdict."""
    yield from CAUTIONS
    yield from (rule.name for rule in RULES)
    yield from mounting.HOW.values()
    yield from gripping.TOUCH.values()
    yield from standing.STAGES.values()
    yield from (what for _, what in drawn.DRAWINGS if what != drawn.SECTION)
    yield from drawn.TOLD.values()
    yield from (codes.ONE, codes.SEVERAL, codes.APART, codes.TOO_LONG)
    yield from get_args(Cut.model_fields["kind"].annotation)
    yield from get_args(Shanks)


BODIES = {
    "bar", "holder", "insert", "plug", "boring ring", "outer ring", "soft jaws", "jaw screw 1", "jaw screw 2",
    "jaw screw 3", "centre",
}  # fmt: skip


@pytest.mark.parametrize("language", OTHERS)
def test_no_phrase_lacks_and_none_is_left_over(root: Path, language: str) -> None:
    asked = {*literals(root), *named()}
    assert len(asked) > 200
    assert sorted(asked - set(phrases(language))) == []
    assert sorted(set(phrases(language)) - asked - BODIES) == []


@pytest.mark.parametrize("language", OTHERS)
def test_a_phrase_says_the_same_figures(language: str) -> None:
    for english, other in phrases(language).items():
        assert sorted(PLACES.findall(english)) == sorted(PLACES.findall(other)), english
        assert re.findall(FIGURE, english) == re.findall(FIGURE, other), english
        assert english[:1].isspace() == other[:1].isspace()
        assert other.strip()


@pytest.mark.parametrize("language", OTHERS)
def test_a_tables_keys_stand_in_it_once(root: Path, language: str) -> None:
    text = (root / "sim" / "drawing" / f"phrases_{language}.toml").read_text(encoding="utf-8")
    keys = re.findall(r'^("(?:[^"\\]|\\.)*") = ', text, re.MULTILINE)
    assert len(keys) == len(set(keys)) == len(phrases(language))


def test_dials_show_micrometres_or_inch_in_any_language() -> None:
    """'um' is a word in German, so it has its sign in every language, as in messages."""
    assert (Form().dial, Form("inch").dial, Form("mm", "de").dial) == ("µm", "in", "µm")
    assert Form("inch", "de").dial == "in"


def test_figures_of_a_drawing_have_a_comma_too() -> None:
    note = Group("note", "groove", (Words((0.0, 0.0), "groove 1.5 wide, 30°.", 2.5),))
    assert drawn._numbered(note, Form("mm", "de")).items[0].words == "groove 1,5 wide, 30°."
    assert drawn._numbered(note, Form("mm", "en")) == note


def test_braces_of_a_name_stay() -> None:
    assert said("de", "{name}, bored", name="{0} {x}") == "{0} {x}, ausgedreht"
    assert said("de", "a {name} that no table has") == "a {name} that no table has"


def words(sheets: tuple[Sheet, ...]) -> list[Words]:
    return [i for one in sheets for i in flat(list(one.items)) if isinstance(i, Words) and i.words]


def test_figures_are_the_same_with_a_comma(
    pages_of: Callable[..., tuple[Sheet, ...]],
    read_rows: Callable[..., dict[tuple[str, str], str]],
    scenario_name: str,
) -> None:
    """On the paper that the other tests lay out too, so that English rows cost nothing."""
    english, german = Asked("Letter", "inch"), Asked("Letter", "inch", language="de")
    first = read_rows(pages_of(scenario_name, english), english)
    second = read_rows(pages_of(scenario_name, german), german)
    assert len(first) == len(second)
    for (place, one), other in zip(first.items(), second.values(), strict=True):
        figures = [
            sorted(found.replace(",", ".") for found in re.findall(FIGURE, text)) for text in (one, other)
        ]
        assert figures[0] == figures[1], (place, one, other)
        assert not re.search(r"\d\.\d+ (?:mm|in|um|µm|kN|bar|N m|U/min)\b", other), other


def test_words_have_room(
    pages_of: Callable[..., tuple[Sheet, ...]],
    scenario_name: str,
) -> None:
    for page in pages_of(scenario_name, Asked("Letter", "inch", language="de")):
        boxes = [one.box() for one in words((page,))]
        for box in boxes:
            left, low, right, high = box.bounds
            assert 20.0 - 1e-9 <= left < right <= page.width - 10.0 + 1e-9
            assert MARGIN - 1.0 < low < high <= page.height - MARGIN + 1e-9
        tree = shapely.STRtree(boxes)
        for a, b in zip(*tree.query(boxes, predicate="overlaps"), strict=True):
            assert boxes[a].intersection(boxes[b]).area < 1e-9


def test_what_fails_stands_first_in_german_too(
    quickly_judged: Callable[[str], Assessment], pages_of: Callable[..., tuple[Sheet, ...]]
) -> None:
    judged = quickly_judged("thin_ring_distorts")
    sheets = pages_of("thin_ring_distorts", Asked(language="de"))
    first = words(sheets[:1])
    heads = [w for w in first if w.words.startswith("NICHT VERWENDEN")]
    assert heads[0].height == max(w.height for w in words(sheets) if len(w.words) > 1)
    assert all(any("NICHT VERWENDEN" in w.words for w in words((page,))) for page in sheets)
    told = " ".join(w.words for w in first)
    assert "steht auf Englisch da" in told
    assert all(
        said("de", v.name) in told and said("de", v.name) != v.name
        for v in judged.verdicts
        if v.status == "fail"
    )
