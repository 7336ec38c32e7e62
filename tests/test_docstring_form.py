"""Parameters and attributes are written in one form: `name : type`, and below it, indented, what it is.

A name alone stands where what is below says of which other function it is the same.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest


def entries(docstring: str) -> list[str]:
    """First lines of the entries of both sections."""
    found, inside = [], False
    lines = docstring.splitlines()
    for line, below in zip(lines, [*lines[1:], ""], strict=False):
        if below.startswith("---"):
            inside = line in {"Parameters", "Attributes"}
        elif inside and line and not line.startswith((" ", "---")):
            found.append(line)
    return found


@pytest.mark.parametrize("folder", ["sim", "meshes"])
def test_no_description_where_the_type_stands(root: Path, folder: str) -> None:
    told = [
        f"{path.relative_to(root)}: {line}"
        for path in (root / folder).rglob("*.py")
        for text in [path.read_text(encoding="utf-8")]
        if "Parameters\n" in text or "Attributes\n" in text
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        for line in entries(ast.get_docstring(node) or "")
        if line.endswith(".")
    ]
    assert not told
