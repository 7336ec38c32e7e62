"""A TOML file as plain tables, or as a model of another kind than a scenario: strict, in one sentence."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from sim.base.errors import ScenarioError
from sim.base.files import file_content, text_of, unseen
from sim.base.limits import SCENARIO
from sim.scenario.counted import too_long
from sim.scenario.drafted import drafted
from sim.scenario.lines import Place
from sim.scenario.mistakes import A_SCENARIO, field_name, sentence
from sim.scenario.table import FileTable

Other = TypeVar("Other", bound=FileTable)


def read_as(model: type[Other], path: Path, what: str) -> Other:
    """Read and check a file of another kind, strictly as a scenario; `what` names the kind in messages.

    Raises
    ------
    ScenarioError
        One sentence: which field of which file is wrong, what was found, what is allowed.
    """
    tables = tables_of(path, what)
    if many := too_long(tables, model):
        raise ScenarioError(f"{path}: {many}")
    try:
        found = model.model_validate(tables)
    except ValidationError as error:
        raise ScenarioError(f"{path}: {sentence(error).replace(A_SCENARIO, what)}") from None
    found._file, found._tables = path, tables
    return found


def tables_of(path: Path, what: str = "a scenario") -> dict[str, Any]:
    """Return a file's tables as they stand, unchecked; `what` names their kind in messages.

    Raises
    ------
    ScenarioError
        If the file cannot be read as TOML.
    """
    data = _data(path, what)
    if not data.strip():
        raise ScenarioError(f"{path}: must hold {what}, found an empty file")
    try:
        text = text_of(data, SCENARIO)
    except ValueError as error:
        raise ScenarioError(f"{path}: {error}") from None
    try:
        tables = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise ScenarioError(f"{path}: is not valid TOML ({error})") from None
    # By an escape of TOML a text can hold what the file itself may not.
    for place, words in _texts(tables, ()):
        if why := unseen(words):
            raise ScenarioError(f"{path}: {field_name(place)} {why}")
    return tables


def _texts(value: Any, at: Place) -> Iterator[tuple[Place, str]]:
    """Yield every text in tables with its place, and every key with that of its table."""
    if isinstance(value, str):
        yield at, value
    elif isinstance(value, dict):
        for key, one in value.items():
            yield (*at, "a key") if unseen(key) else (*at, key), key
            yield from _texts(one, (*at, key))
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from _texts(one, (*at, number))


def _data(path: Path, what: str) -> bytes:
    """Return what a file holds, or what is read in its place.

    Raises
    ------
    ScenarioError
        If it cannot be read, or is too large.
    """
    draft = drafted(path)
    if draft is not None:
        return draft
    try:
        return file_content(path, SCENARIO)
    except ValueError as error:
        begin = f"{what} " if str(error).startswith("must") else ""
        raise ScenarioError(f"{path}: {begin}{error}") from None
