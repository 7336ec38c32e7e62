"""A set of soft jaws on the shelf: one TOML file, its jaw as in a scenario, with what it was bored to."""

from __future__ import annotations

from pathlib import Path

from pydantic import Field

from sim.base.errors import ScenarioError
from sim.base.limits import SHELF
from sim.base.units import Length, default
from sim.scenario.soft_jaw import SoftJaw
from sim.scenario.table import FileTable
from sim.scenario.toml_file import read_as

LARGEST_SHELF = SHELF.most  # files


class JawSet(FileTable):
    """Three jaws that were bored together and stay together."""

    name: str = Field(min_length=1, max_length=60, description="what is stamped on the jaws")
    note: str = Field("", max_length=400, description="where they lie, what they were for")
    serration_pitch: Length = default("1.5 mm", "pitch of their serrations; must be the chuck's")
    soft_jaw: SoftJaw = Field(
        description="the jaw as bought, with its bored_before; its serration_index counts 0"
    )


def read_jaw_set(path: Path) -> JawSet:
    """Read and check the file of one set.

    Raises
    ------
    ScenarioError
        One sentence: which field of which file is wrong, what was found, what is allowed.
    """
    return read_as(JawSet, path, "a jaw set")


def read_shelf(folder: Path) -> tuple[JawSet, ...]:
    """Read every ``.toml`` file of a folder, in the order of their names.

    Raises
    ------
    ScenarioError
        If the folder holds no such file, a file is wrong, or two sets have one name.
    """
    if not folder.is_dir():
        found = "a file" if folder.exists() else "nothing"
        raise ScenarioError(f"{folder}: a shelf must be a folder of jaw sets, found {found}")
    files = sorted(path for path in folder.iterdir() if path.suffix == ".toml")
    if not 0 < len(files) <= LARGEST_SHELF:
        raise ScenarioError(f"{folder}: must hold 1 to {LARGEST_SHELF} jaw sets (.toml), found {len(files)}")
    sets: dict[str, JawSet] = {}
    for path in files:
        one = read_jaw_set(path)
        if one.name in sets:
            raise ScenarioError(f"{path}: name must be used once on a shelf, found '{one.name}' again")
        sets[one.name] = one
    return tuple(sets.values())
