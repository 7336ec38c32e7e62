"""One word, one meaning: a type that has a name has it once, where all that use it find it."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).parents[1]


def _named_types() -> dict[tuple[str, str], list[str]]:
    """Return by name and content where types of tuples, words and functions are named."""
    found = defaultdict(list)
    for file in sorted([*(ROOT / "sim").rglob("*.py"), *(ROOT / "meshes").rglob("*.py")]):
        for one in ast.parse(file.read_text(encoding="utf-8")).body:
            match one:
                case ast.Assign(targets=[ast.Name(id=name)], value=ast.Subscript() | ast.BinOp() as value):
                    found[name, ast.unparse(value)].append(str(file.relative_to(ROOT)))
                case ast.AnnAssign(target=ast.Name(id=name), value=ast.Subscript() | ast.BinOp() as value):
                    found[name, ast.unparse(value)].append(str(file.relative_to(ROOT)))
    return found


def test_no_type_is_named_twice() -> None:
    found = {one: places for one, places in _named_types().items() if not one[0].isupper()}
    assert ("Point", "tuple[float, float]") in found
    assert {one: places for one, places in found.items() if len(places) > 1} == {}


def test_a_point_is_one_thing() -> None:
    assert [content for name, content in _named_types() if name == "Point"] == ["tuple[float, float]"]


def test_a_share_has_its_space() -> None:
    """Python's own `%` of a format leaves out the space that ISO 80000-1 asks for between a number and its unit."""
    glued = re.compile(r"%\}|\}%[ ,.;:)\"]")
    files = (ROOT / "sim").rglob("*.py")
    assert {f.name for f in files if glued.search(f.read_text(encoding="utf-8"))} == {"unit_words.py"}
