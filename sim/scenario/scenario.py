"""The whole scenario file: reading, strict checking, and one sentence for what is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from itertools import combinations
from pathlib import Path
from typing import Any, Self

from pydantic import ConfigDict, Field, PrivateAttr, ValidationError, field_validator, model_validator

from sim.base.errors import ScenarioError, in_field
from sim.base.files import file_content
from sim.base.limits import INCLUDED, LETTERS, MATERIALS, OPERATIONS, POCKETS, SCENARIO, VIEWS
from sim.base.tables import Material, material
from sim.scenario.boring import Boring
from sim.scenario.changes import changed
from sim.scenario.chuck import Chuck, Limits, Machine, MasterJaw
from sim.scenario.counted import too_long
from sim.scenario.drafted import drafted
from sim.scenario.included import (
    KEY,
    Included,
    require_apart,
    stands_in,
    taken,
    with_included,
)
from sim.scenario.lines import Place, line_of, lines_of
from sim.scenario.mistakes import mistakes
from sim.scenario.operation import BoredPocket, Operation
from sim.scenario.other_files import others_of, shop_of
from sim.scenario.own_material import OwnMaterial
from sim.scenario.part_model import part_shape
from sim.scenario.running import Running
from sim.scenario.shop_files import KEY as SHOP
from sim.scenario.shop_files import (
    TYPICAL,
    filled,
    less_required,
    typical_of,
)
from sim.scenario.shop_files import origin as shop_origin
from sim.scenario.shop_taken import taken_from
from sim.scenario.soft_jaw import SoftJaw
from sim.scenario.stated_uncertainty import StatedUncertainty
from sim.scenario.table import Table
from sim.scenario.toml_file import tables_of
from sim.scenario.view import View

FORMAT = 1  # of scenario files that are read
MOST_TOLD = 30  # mistakes after the first


class Scenario(Table):
    """A setup to be judged: machine, chuck, jaws, pockets, boring and operations."""

    model_config = ConfigDict(json_schema_extra=less_required)

    format: int = Field(
        FORMAT,
        strict=True,
        ge=FORMAT,
        le=FORMAT,
        description="of this file, a whole number that grows when a key is read in another way; only this one is read",
    )
    title: str = Field(min_length=1, max_length=120, description="one line that names the setup")
    revision: str = Field(
        "",
        max_length=24,
        description="which revision of the setup this is, as the shop writes it; empty where it keeps none",
    )
    description: str = Field("", max_length=LETTERS.most, description="what it is for, what is known of it")
    include: tuple[str, ...] = Field(
        (),
        max_length=INCLUDED.most,
        description="files, from this one's folder, whose values take the place of its own, as from `chuckscene fit`",
    )
    typical: tuple[str, ...] = Field(
        (),
        max_length=80,
        description="tables and fields whose values are typical and were not read off machine, chuck, jaws or tool, as "
        "'chuck' or 'chuck.stroke'; the answer says that they were not",
    )
    shop_files: tuple[str, ...] = Field(
        (),
        max_length=INCLUDED.most,
        description="files, from this one's folder, that fill in what it leaves out of machine, chuck, master_jaw, "
        "soft_jaw, the tools of its programs and the materials that it names; what it states itself counts",
    )
    materials: tuple[OwnMaterial, ...] = Field(
        (),
        max_length=MATERIALS.most,
        description="materials of one's own, which part, jaws and fixture may name beside those of the table",
    )
    machine: Machine
    chuck: Chuck
    master_jaw: MasterJaw
    soft_jaw: SoftJaw
    pockets: tuple[BoredPocket, ...] = Field(
        min_length=1, max_length=POCKETS.most, description="widest first"
    )
    boring: Boring
    operations: tuple[Operation, ...] = Field(min_length=1, max_length=OPERATIONS.most)
    limits: Limits = Field(default_factory=lambda: Limits.model_validate({}))
    running: Running = Field(
        default_factory=lambda: Running.model_validate({}),
        description="what keeps the part from running true, jaw by jaw",
    )
    uncertainty: StatedUncertainty = Field(
        None, description="how far figures may differ from what is stated (chuckscene uncertainty)"
    )
    views: tuple[View, ...] = Field(
        (), max_length=VIEWS.most, description="named views for pictures and pages"
    )
    _folder: Path = PrivateAttr(default=Path())
    _included: tuple[Included, ...] = PrivateAttr(default=())

    @property
    def folder(self) -> Path:
        """Folder of the scenario file, from which paths in it start."""
        return self._folder

    @property
    def named(self) -> str:
        """Title with the revision behind it, where one is stated."""
        return f"{self.title}, revision {self.revision}" if self.revision else self.title

    @property
    def included(self) -> tuple[Included, ...]:
        """What it takes from the files that it includes."""
        return self._included

    @property
    def origin(self) -> tuple[str, ...]:
        """Return a sentence for each included file whose values are in use."""
        return tuple(other.told for other in self._included if other.told)

    @field_validator("format", mode="before")
    @classmethod
    def _read(cls, value: Any) -> Any:
        if isinstance(value, int) and not isinstance(value, bool) and value != FORMAT:
            raise ValueError(
                f"must be {FORMAT}, the only format that this version of chuckscene reads, found {value}"
            )
        return value

    @model_validator(mode="after")
    def _names(self) -> Self:
        pockets = [p.name for p in self.pockets]
        if len(set(pockets)) != len(pockets):
            raise ValueError(f"pockets must have different names, found {', '.join(pockets)}")
        names = [o.name for o in self.operations]
        if len(set(names)) != len(names):
            raise ValueError(f"operations must have different names, found {', '.join(names)}")
        for number, operation in enumerate(self.operations):
            if operation.pocket not in pockets:
                raise ValueError(
                    f"operations[{number}].pocket must be one of {', '.join(pockets)}, "
                    f"found '{operation.pocket}'"
                )
            made = operation.workpiece.turned_in
            if made is not None and made not in names[:number]:
                earlier = (
                    f"an earlier one of {', '.join(names)}" if number else "left out in the first operation"
                )
                raise ValueError(
                    f"operations[{number}].workpiece.turned_in must be {earlier}, found '{made}'"
                )
        views = [v.name for v in self.views]
        if len(set(views)) != len(views):
            raise ValueError(f"views must have different names, found {', '.join(views)}")
        for number, view in enumerate(self.views):
            if view.stage not in {"", "boring", *names}:
                raise ValueError(
                    f"views[{number}].stage must be one of boring, {', '.join(names)}, found '{view.stage}'"
                )
        if len({o.gripping.direction for o in self.operations}) > 1:
            raise ValueError("operations must all grip outside or all inside, found both")
        return self

    @model_validator(mode="after")
    def _typical(self) -> Self:
        for number, name in enumerate(self.typical):
            if name in self.typical[:number] or not _stated(self, name):
                raise ValueError(
                    f"typical[{number}] must be a table or field of a scenario, each once, as 'chuck' or "
                    f"'chuck.stroke', found '{name}'"
                )
        return self

    @model_validator(mode="after")
    def _spreads(self) -> Self:
        names = [o.name for o in self.operations]
        spread = [] if self.uncertainty is None else [o.name for o in self.uncertainty.operations]
        for number, name in enumerate(spread):
            if name not in names or name in spread[:number]:
                raise ValueError(
                    f"uncertainty.operations[{number}].name must be one of {', '.join(names)}, each once, "
                    f"found '{name}'"
                )
        return self

    @model_validator(mode="after")
    def _own_materials(self) -> Self:
        names = [one.name for one in self.materials]
        for number, name in enumerate(names):
            if name in names[:number]:
                raise ValueError(
                    f"materials[{number}].name must be another one than those before it, found '{name}'"
                )
        return self

    def metal(self, name: str) -> Material:
        """Return the material of a name, one's own or the table's; UnknownNameError otherwise."""
        return material(name, own=tuple(one.row for one in self.materials))

    def pocket_of(self, operation: Operation) -> BoredPocket:
        """Return the pocket that holds the part in an operation."""
        return next(p for p in self.pockets if p.name == operation.pocket)


def _stated(table: Any, name: str) -> bool:
    """Tell whether a table has a field or table of that name, stated or not, keys joined by dots."""
    for key in name.split("."):
        if not isinstance(table, Table) or key not in type(table).model_fields:
            return False
        table = getattr(table, key)
    return True


def read(path: Path, changes: Mapping[str, Any] | None = None) -> Scenario:
    """Read and check a scenario file, with some fields changed if asked for (see `sim.scenario.changes`).

    Raises
    ------
    ScenarioError
        One sentence: which field of which file is wrong, what was found, what is allowed.
    """
    changes = dict(changes or {})
    include = changes.pop(KEY, None)
    # Which tools a program takes from shop files follows from its text: another program is known before they are read.
    tables = full_tables(
        path, include, {k: v for k, v in changes.items() if ".program." in k and ".tools" not in k}
    )
    if changes:
        try:
            tables = changed(tables, changes)
        except ScenarioError as error:
            raise ScenarioError(f"{path}: {error}") from None
    return checked(tables, path)


def full_tables(path: Path, include: Any = None, changes: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return a scenario file's tables with those of its shop files and of what it includes, unchecked.

    Parameters
    ----------
    path : Path
    include : list of str, optional
        Files to include in place of those that it names.
    changes : mapping, optional
        Fields of it that are replaced before other files are looked at.

    Raises
    ------
    ScenarioError
        If a file cannot be read as TOML, or two that are included state the same key.
    """
    tables = tables_of(path)
    if include is not None:
        tables[KEY] = include
    others, shop = others_of(tables, path), shop_of(tables, path)
    try:
        if changes:
            tables = changed(tables, changes)
        own, tables = tables, filled(tables, shop, path.parent)
        for (file, one), (again, other) in combinations(others, 2):
            require_apart(one, other, (str(file), str(again)))
        for file, other in others:
            tables, own = with_included(tables, other, str(file)), with_included(own, other, str(file))
        typical = typical_of(own, shop)
        if typical and isinstance(tables.get(TYPICAL, []), list):
            tables[TYPICAL] = list(dict.fromkeys([*tables.get(TYPICAL, []), *typical]))
    except ScenarioError as error:
        raise ScenarioError(f"{path}: {error}") from None
    return tables


def stated_tables(path: Path) -> tuple[dict[str, Any], tuple[tuple[str, dict[str, Any]], ...]]:
    """Return a scenario file's tables with those of its shop files, and each file that it includes with its own.

    What is included is not put in: beside its values such a file says how the readings behind them were judged.

    Raises
    ------
    ScenarioError
        As `full_tables`.
    """
    own = tables_of(path)
    others, shop = others_of(own, path), shop_of(own, path)
    try:
        tables = filled(own, shop, path.parent)
    except ScenarioError as error:
        raise ScenarioError(f"{path}: {error}") from None
    tables.pop(SHOP, None)
    return tables, tuple(zip(own.get(KEY, ()), (other for _, other in others), strict=True))


def checked(tables: dict[str, Any], path: Path) -> Scenario:
    """Check a scenario's full tables; the path names the file in messages and is where it includes from."""
    if many := too_long(tables, Scenario):
        raise ScenarioError(f"{path}: {many}")
    try:
        scenario = Scenario.model_validate(tables)
    except ValidationError as error:
        raise _told(error, tables, path) from None
    scenario = _with_models(scenario, path)
    scenario._folder = path.parent
    if scenario.include or scenario.shop_files:
        # The tables hold the values already: a file that has gone since only leaves its name untold.
        with suppress(ScenarioError):
            scenario._included = _taken(tables, path)
    return scenario


def _with_models(scenario: Scenario, path: Path) -> Scenario:
    """Return a scenario with the outlines of the parts that it names as files."""
    if all(operation.workpiece.model is None for operation in scenario.operations):
        return scenario
    operations = []
    for number, operation in enumerate(scenario.operations):
        work = operation.workpiece
        if work.model is not None:
            with in_field(f"{path}: operations[{number}].workpiece.model"):
                work = work.drawn(part_shape(work.model, path.parent))
        operations.append(operation.model_copy(update={"workpiece": work}))
    found: Scenario = scenario.model_copy(update={"operations": tuple(operations)})
    return found


def _told(error: ValidationError, tables: dict[str, Any], path: Path) -> ScenarioError:
    """Return all mistakes of a scenario, the first as the sentence, the others as lines behind it."""
    lines: dict[Place, int] = {}
    with suppress(ValueError):
        lines = lines_of((drafted(path) or file_content(path, SCENARIO)).decode("utf-8"))
    told = []
    for place, words in mistakes(error, Scenario):
        origin = _origin(place, tables, path)
        line = None if origin else line_of(place, lines)
        told.append(f"{origin}{words}" + ("" if line is None else f" (line {line})"))
    first, *others = told
    more = f" (and {len(others)} more)" if others else ""
    found = ScenarioError(f"{path}: {first}{more}")
    found.offered = "\n".join(others[:MOST_TOLD]) + ("\n..." if len(others) > MOST_TOLD else "")
    return found


def _taken(tables: dict[str, Any], path: Path) -> tuple[Included, ...]:
    """Return what a scenario's full tables have from other files."""
    own, shop, others = tables_of(path), shop_of(tables, path), others_of(tables, path)
    from_shop = tuple(taken_from(file, own, tables) for file in shop)
    own = filled(own, shop, path.parent)
    names = zip(tables.get(KEY, ()), others, strict=True)
    return from_shop + tuple(taken(tables, own, other, name) for name, (_, other) in names)


def _origin(location: tuple[int | str, ...], tables: dict[str, Any], path: Path) -> str:
    """Return which included file or shop file a wrong field stands in, '' if in none."""
    for file, other in others_of(tables, path) if isinstance(tables.get(KEY), list) else ():
        where = stands_in(other, location) if location else False
        if where is not False:
            return f"as included from {file}, " if where else f"with what is included from {file}, "
    if isinstance(tables.get(SHOP), list):
        with suppress(ScenarioError):  # a file that has gone since leaves its name untold
            return shop_origin(location, tables_of(path), shop_of(tables, path))
    return ""
