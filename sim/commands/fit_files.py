"""What `fit` may write where, and what of its readings is taken."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.base.errors import OutputError, ReadingsError
from sim.base.files import require_place

if TYPE_CHECKING:
    from sim.readings import Finding


def require_accepted(what: tuple[Finding, ...], readings: Path, place: Path) -> None:
    """Refuse readings that a finding rejects, before anything of them is written.

    Raises
    ------
    ReadingsError
    """
    against = [finding for finding in what if finding.rejects]
    if not against:
        return
    more = (
        ""
        if len(against) == 1
        else f" (and {len(against) - 1} more: {', '.join(f.kind for f in against[1:])})"
    )
    left = f"; {place} is left as it was" if place.exists() else ""
    raise ReadingsError(
        f"{readings}: rejected, no table is written{left}: {against[0].text.removesuffix('.')}{more}"
    )


def option_within(
    option: str, stated: str, kind: str, limits: tuple[float, float], unit: str, inside: float
) -> float:
    """Return a quantity that an option states, in the unit of the inside; `inside` of it are one `unit` of messages.

    Raises
    ------
    ReadingsError
        If it is no quantity of that kind, or lies beyond its limits.
    """
    from sim.base import units

    try:
        found = units.read(stated, kind, "positive")
    except ValueError as error:
        raise ReadingsError(f"{option} {error}") from None
    low, high = limits
    if not low <= found <= high:
        raise ReadingsError(
            f"{option} must lie between {low / inside:g} and {high / inside:g} {unit}, found {found / inside:g} {unit}"
        )
    return found


def require_own(place: Path, file: Path, readings: Path) -> None:
    """Refuse a place for the result that would take that of the input, or of the plot beside it.

    Raises
    ------
    OutputError
    """
    if place.suffix.lower() != ".toml":
        raise OutputError(f"--out must name a TOML file (as in out/chuck.toml), found '{place}'")
    for taken in (file, readings):
        if taken.resolve() in (place.resolve(), place.with_suffix(".png").resolve()):
            raise OutputError(f"--out must not take the place of {taken}, which is read; name another file")
    require_place(place, folder=False)


def without(file: Path, place: Path) -> dict[str, Any]:
    """Return the change that leaves out the file to be written, so that readings meet the chuck's own data."""
    from sim.scenario.included import KEY
    from sim.scenario.toml_file import tables_of

    names = tables_of(file).get(KEY, [])
    if not isinstance(names, list):
        return {}
    try:
        others = [
            n for n in names if not (isinstance(n, str) and (file.parent / n).resolve() == place.resolve())
        ]
    except (OSError, ValueError):  # a name that no file can have: reading it says so
        return {}
    return {} if others == names else {KEY: others}


def taken_in(place: Path, file: Path) -> str:
    """Say how a scenario beside this one takes the result in."""
    near, whole = Path(os.path.relpath(place, file.parent)).as_posix(), place.resolve().as_posix()
    name = near if len(near) <= len(whole) else whole
    return f'A scenario in {file.parent} takes it in by include = ["{name}"] above its first table.'
