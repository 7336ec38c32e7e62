"""Types of arrays have one name each, defined once in `sim.base.arrays`."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

NAMED = {"np.float64": "Floats", "np.bool_": "Flags", "np.int64": "Ints"}


def spelt_out(text: str) -> list[str]:
    """Types of a module that have a name of their own and are written without it."""
    if "NDArray" not in text:
        return []  # most modules: none of them is worth parsing
    return [
        ast.unparse(node)
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Subscript)
        and ast.unparse(node.value) == "NDArray"
        and ast.unparse(node.slice) in NAMED
    ]


def test_no_module_spells_them_out(root: Path) -> None:
    home = root / "sim" / "base" / "arrays.py"
    texts = {path: path.read_text(encoding="utf-8") for path in (root / "sim").rglob("*.py")}
    assert len(spelt_out(texts.pop(home))) == len(NAMED)
    assert not {
        str(path.relative_to(root)): found for path, text in texts.items() if (found := spelt_out(text))
    }


@pytest.mark.parametrize("kind", NAMED)
def test_a_second_name_is_found(kind: str) -> None:
    assert spelt_out(f"Own = NDArray[{kind}]") == [f"NDArray[{kind}]"]
    assert spelt_out(f"def f(x: NDArray[{kind}] | None) -> None: ...") == [f"NDArray[{kind}]"]
