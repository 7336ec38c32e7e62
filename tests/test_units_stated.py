"""Every float that a frozen dataclass carries from one module to another says its unit, or that it has none."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

A_FLOAT = re.compile(r"\bfloat\b|\bFloats\b|np\.float64")
UNITS = (
    "mm mm2 mm3 cm3 um micrometre micrometres N kN MPa bar rad deg kg rev/min m/min m/s s min mm/rev J W kW MB % "
    "kg/mm3 1/mm g N/mm"
)
NONE = (
    "no unit|shares?|ratio|factors?|multiple|coefficients?|relative|probability|probabilities|sign|index|indices"
    "|inside units?|unit"
)
SAID = re.compile(
    rf"(?<![\w'/-])(?:{'|'.join(re.escape(unit) for unit in UNITS.split())}|(?i:{NONE}))(?![\w/-])"
)
# Ends of names that say it themselves; fields with them are those of the contact.
ENDS = re.compile(
    r"_(mm2?|mpa|n|rad|rad_s|deg|kg|rpm|um|mm_n|n_mm|nmm|nmm_per_rad|share|fraction|ratio|factor)$"
)


def frozen(node: ast.AST) -> bool:
    return isinstance(node, ast.ClassDef) and any(
        "dataclass" in ast.unparse(one) and "frozen=True" in ast.unparse(one) for one in node.decorator_list
    )


def entry(docstring: str, name: str) -> str:
    """What a docstring says of an attribute: its line and the lines indented below it."""
    found: list[str] = []
    for line in docstring.splitlines():
        head = re.match(r"(\w[\w, ]*?) *:", line)
        if head and name in re.split(r", *", head[1]):
            found = [line]
        elif found and line.startswith(" "):
            found.append(line)
        elif found:
            break
    return "\n".join(found)


def without_a_unit(text: str) -> Iterator[str]:
    """Names of the public classes and fields of a module of which neither class nor field says a unit."""
    for node in ast.walk(ast.parse(text)) if "frozen=True" in text else ():
        if not frozen(node) or node.name.startswith("_"):
            continue
        docstring = ast.get_docstring(node) or ""
        if SAID.search(re.split(r"^Attributes\n-+$", docstring, flags=re.MULTILINE)[0]):
            continue
        for item in node.body:
            if not isinstance(item, ast.AnnAssign) or not isinstance(item.target, ast.Name):
                continue
            name, kind = item.target.id, ast.unparse(item.annotation)
            if name.startswith("_") or not A_FLOAT.search(kind) or kind.startswith("Callable"):
                continue
            if not ENDS.search(name) and not SAID.search(entry(docstring, name)):
                yield f"{node.name}.{name}"


@pytest.mark.parametrize("folder", ["sim", "meshes"])
def test_every_float_states_its_unit(root: Path, folder: str) -> None:
    found = {
        f"{path.relative_to(root)}: {name}"
        for path in (root / folder).rglob("*.py")
        for name in without_a_unit(path.read_text(encoding="utf-8"))
    }
    assert not found


CLASS = '''
@dataclass(frozen=True, slots=True)
class Grip:
    """{head}.

    Attributes
    ----------
    total, rest : float
        {entry}.
    name : str
    """

    total: float
    rest: Floats | None
    name: str
'''


@pytest.mark.parametrize(
    ("head", "said", "missing"),
    [
        ("Grip of one jaw", "At rest", ["Grip.total", "Grip.rest"]),
        ("Grip of one jaw", "The operation's own, in all N-like cases", ["Grip.total", "Grip.rest"]),
        ("Grip of one jaw", "At rest, N", []),
        ("Grip of one jaw", "Share of what is left", []),
        ("Grip of one jaw; forces in kN", "At rest", []),
    ],
)
def test_a_missing_unit_is_found(head: str, said: str, missing: list[str]) -> None:
    assert list(without_a_unit(CLASS.format(head=head, entry=said))) == missing
