"""What a page may ask to be written of the setup that it shows: beside the file, over nothing without being told so."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sim.base.errors import OutputError, ScenarioError

Stamp = tuple[int, int]  # time of the content (ns), number of the file


class ThereError(Exception):
    """Files stand where something would be written."""

    def __init__(self, names: Sequence[str]) -> None:
        self.names = list(names)
        stands = "stand" if len(names) > 1 else "stands"
        super().__init__(f"{', '.join(names)} {stands} there already and would be written over")


@dataclass(frozen=True, slots=True)
class Maker:
    """Something that can be written of a setup.

    Attributes
    ----------
    key, words : str
        Name of it, and what a button says.
    ending : str
        Of the file beside the scenario's, after its name without '.toml'.
    choice : str
        What must be chosen first, in words; empty for nothing.
    options : tuple of str
        What there is to choose from.
    make : callable
        Writes, from the scenario file, to a path, with what was chosen.
    """

    key: str
    words: str
    ending: str
    make: Callable[[Path, Path, str], None]
    choice: str = ""
    options: tuple[str, ...] = ()

    @property
    def told(self) -> dict[str, Any]:
        """What a page shows of it."""
        return {
            "key": self.key,
            "words": self.words,
            "ending": self.ending,
            "choice": self.choice,
            "options": list(self.options),
        }


def made(
    makers: Iterable[Maker], file: Path, asked: dict[str, Any], own: Mapping[str, Stamp] | None = None
) -> dict[str, Stamp]:
    """Write what is asked for beside the file and return the names of what was written, each with its stamp.

    Parameters
    ----------
    makers : iterable of Maker
    file : Path
        The scenario file.
    asked : dict
        ``what`` (a maker's key), ``chosen`` where it lets one choose, and ``over``: names that may be written over.
    own : mapping, optional
        What was written before in this way, which may be written over anyhow while nobody else has touched it.

    Raises
    ------
    ThereError
        If a file stands there already that may not be written over.
    ScenarioError, OutputError
        If it is not known or cannot be written.
    """
    maker = next((one for one in makers if one.key == asked.get("what")), None)
    if maker is None:
        raise ScenarioError("there is nothing of that name to be made")
    chosen = asked.get("chosen", "")
    if maker.options and chosen not in maker.options:
        raise ScenarioError(f"{maker.choice} must be one of {', '.join(maker.options)}; it is not guessed")
    place = file.with_name(f"{file.stem}{maker.ending}")
    over = asked.get("over")
    allowed = over if isinstance(over, list) else []
    before = _stamps(place)
    there = [name for name in before if name not in allowed and (own or {}).get(name) != before[name]]
    if there:
        raise ThereError(there)
    maker.make(file, place, chosen)
    written = {name: stamp for name, stamp in _stamps(place).items() if before.get(name) != stamp}
    if not written:
        raise OutputError(f"{place.name} has not been written")
    return written


def _stamps(place: Path) -> dict[str, Stamp]:
    """Return what stands at a place, and at those that are numbered where it takes several files, with its times."""
    found = [place, *sorted(place.parent.glob(f"{_literal(place.stem)}-[0-9]-*{place.suffix}"))]
    return {one.name: (one.stat().st_mtime_ns, one.stat().st_ino) for one in found if one.exists()}


def _literal(name: str) -> str:
    return "".join(f"[{letter}]" if letter in "*?[" else letter for letter in name)
