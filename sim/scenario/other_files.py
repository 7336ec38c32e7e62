"""The files that a scenario's tables name beside it: what it includes, and its shop's."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.base.errors import ScenarioError
from sim.scenario.included import (
    KEY,
    included_files,
)
from sim.scenario.shop_files import KEY as SHOP
from sim.scenario.shop_files import (
    ShopFile,
    shop_file,
    shop_file_names,
)
from sim.scenario.shop_files import require_apart as require_shop_apart
from sim.scenario.toml_file import tables_of

AN_INCLUDED = "tables of a scenario"


A_SHOP_FILE = "tables that scenarios share"


def others_of(tables: Mapping[str, Any], path: Path) -> list[tuple[Path, dict[str, Any]]]:
    """Return the files that a scenario includes, each with its tables."""
    try:
        files = included_files(tables, path.parent)
    except ScenarioError as error:
        raise ScenarioError(f"{path}: {error}") from None
    try:
        return [(file, tables_of(file, AN_INCLUDED)) for file in files]
    except ScenarioError as error:
        raise ScenarioError(f"{path}: {KEY}: {error}") from None


def shop_of(tables: Mapping[str, Any], path: Path) -> list[ShopFile]:
    """Return the shop files that a scenario names."""
    try:
        names = shop_file_names(tables)
    except ScenarioError as error:
        raise ScenarioError(f"{path}: {error}") from None
    try:
        files = [(name, path.parent / name) for name in names]
        found = [shop_file(name, file, tables_of(file, A_SHOP_FILE), path.parent) for name, file in files]
        require_shop_apart(found)
    except ScenarioError as error:
        raise ScenarioError(f"{path}: {SHOP}: {error}") from None
    return found
