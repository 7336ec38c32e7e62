"""All mistakes of a file at once, each with its line, and the key that was meant."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.base.errors import ScenarioError
from sim.scenario.lines import line_of, lines_of
from sim.scenario.scenario import read

File = Callable[[str], Path]


def told(text: str, folder: Path) -> list[str]:
    """The lines that a wrong file is told with, its own name left out."""
    file = folder / "wrong.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as found:
        read(file)
    return [str(found.value).removeprefix(f"{file}: "), *found.value.offered.splitlines()]


@pytest.fixture
def hub(scenario_file: File) -> str:
    return scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")


def line_with(text: str, words: str) -> int:
    return next(n for n, line in enumerate(text.splitlines(), start=1) if words in line)


def test_every_mistake_is_told_with_its_line(hub: str, tmp_path: Path) -> None:
    wrong = hub.replace('"95 mm"', '"95"').replace('"75 mm"', '"75 mm mm"').replace('"23 mm"', '"-23 mm"')
    first, *others = told(wrong, tmp_path)
    assert first.startswith("chuck.body_height must be a length")
    assert first.endswith(f"(line {line_with(wrong, 'body_height')}) (and 2 more)")
    assert [one.split()[0] for one in others] == ["chuck.bore_diameter", "pockets[0].depth"]
    assert [one.rpartition("(")[2] for one in others] == [
        f"line {line_with(wrong, 'bore_diameter')})",
        f"line {line_with(wrong, '-23 mm')})",
    ]


def test_a_misspelt_key_is_told_once_with_what_was_meant(hub: str, tmp_path: Path) -> None:
    (only,) = told(hub.replace("body_height", "body_heigth"), tmp_path)
    assert "chuck.body_heigth is not a key" in only
    assert "did you mean body_height? (line" in only


def test_one_key_for_two_names_both(hub: str, tmp_path: Path) -> None:
    wrong = hub.replace("gripped_diameter_low", "gripped_diameter").replace(
        'gripped_diameter_high = "118.05 mm"\n', ""
    )
    (only,) = told(wrong, tmp_path)
    assert "operations[0].workpiece.gripped_diameter is not a key" in only
    assert "did you mean gripped_diameter_high and gripped_diameter_low?" in only


def test_a_key_that_is_like_none_names_none(hub: str, tmp_path: Path) -> None:
    (only,) = told(hub.replace("[chuck]", "[chuck]\ncolour = 'red'"), tmp_path)
    assert "did you mean" not in only


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (
            'positions = ["32 mm", "57 mm"]',
            'positions = "32 mm"',
            "must be a list, its items between [ and ]",
        ),
        ('title = "Cast hub, first side, pocket bored on a ring"', "title = 3", "must be text"),
        ("[boring.tool]", "[boring.tools]", "did you mean tool?"),
        (
            'mounting_radius = "45 mm"',
            'mounting_radius = "45 mm"\nserration_index = "2"',
            "must be a whole number",
        ),
        ('thread = "M14"', 'thread = "M15"', "'M14'"),
    ],
)
def test_no_word_of_a_library(hub: str, tmp_path: Path, before: str, after: str, words: str) -> None:
    assert before in hub
    lines = told(hub.replace(before, after), tmp_path)
    assert any(words in line for line in lines), lines
    assert not any(
        word in line for line in lines for word in ("tuple", "Input", "valid string", "instance")
    ), lines


def test_a_missing_key_is_told_at_its_table(hub: str, tmp_path: Path) -> None:
    wrong = hub.replace('stroke = "6 mm"\n', "")
    (only,) = told(wrong, tmp_path)
    assert only == f"chuck.stroke is missing (line {line_with(wrong, '[chuck]')})"


def places(table: object, path: tuple[int | str, ...] = ()) -> list[tuple[int | str, ...]]:
    if isinstance(table, dict):
        return [path, *(p for key, value in table.items() for p in places(value, (*path, key)))]
    if isinstance(table, list):
        return [path, *(p for n, value in enumerate(table) for p in places(value, (*path, n)))]
    return [path]


def test_lines_are_those_of_the_keys_in_every_shipped_file(scenario_file: File) -> None:
    """Of every key that tomllib finds: its line names it, or names what it is written in."""
    for file in scenario_file("cast_hub_on_ring").parent.glob("*.toml"):
        text = file.read_text(encoding="utf-8")
        lines, written = lines_of(text), text.splitlines()
        for place in places(tomllib.loads(text)):
            if not place:
                continue
            line = line_of(place, lines)
            assert line is not None, (file, place)
            keys = [part for part in place if isinstance(part, str)]
            assert any(key in written[line - 1] for key in keys), (file, place, written[line - 1])
            if place in lines and isinstance(place[-1], str):
                assert keys[-1] in written[line - 1]


def test_what_is_inside_of_a_long_text_is_no_key() -> None:
    text = 'a = """\nb = 1\n[c]\n"""\n[d]\n"e f".g = 2\n[[d.h]]\n[[d.h]]\ni = """x"""\n[d.h.k]\nl = 1\n'
    assert lines_of(text) == {
        ("a",): 1, ("d",): 5, ("d", "e f", "g"): 6, ("d", "h", 0): 7, ("d", "h", 1): 8, ("d", "h", 1, "i"): 9,
        ("d", "h", 1, "k"): 10, ("d", "h", 1, "k", "l"): 11,
    }  # fmt: skip
