"""A sheet as a file: what its name ends in says which kind."""

from __future__ import annotations

from pathlib import Path

from sim.base.errors import ScenarioError
from sim.drawing.primitives import Sheet

KINDS = (".svg", ".pdf", ".dxf")


def require_kind(path: Path, kinds: tuple[str, ...] = KINDS) -> None:
    """Refuse a file whose name ends in none of some kinds.

    Raises
    ------
    ScenarioError
        One sentence.
    """
    if path.suffix.lower() not in kinds:
        raise ScenarioError(f"--to must end in {', '.join(kinds[:-1])} or {kinds[-1]}, found '{path.name}'")


def written(sheet: Sheet, path: Path) -> bytes:
    """Return a sheet as the file of its kind holds it."""
    # Each library is loaded only where its kind is asked for.
    kind = path.suffix.lower()
    if kind == ".pdf":
        from sim.drawing.written_pdf import as_pdf

        return as_pdf(sheet)
    if kind == ".dxf":
        from sim.drawing.written_dxf import as_dxf

        return as_dxf(sheet)
    from sim.drawing.written_svg import as_svg

    return as_svg(sheet)
