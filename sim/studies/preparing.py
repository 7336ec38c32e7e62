"""From a study file to its cases: scenarios read, keys and values checked, each scenario judged once as it stands."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from sim.assessment.bodies import ContactModel
from sim.base.errors import ScenarioError
from sim.base.files import regular_bytes
from sim.base.limits import JOB_FILE
from sim.scenario import Scenario
from sim.scenario.fields import ScenarioField, field_of
from sim.scenario.named_files import read_files
from sim.scenario.scenario import checked, full_tables
from sim.scenario.study import MOST_VARIANTS, Study
from sim.studies.judging import Description
from sim.studies.plan import Case, Design
from sim.studies.quantities import quantities


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """A study ready to be run.

    Attributes
    ----------
    cases : tuple of Case
    refusals : dict
        By case: why a scenario cannot be made as it stands.
    digest : str
        Of all that decides the results: study, scenarios, the files they name, version.
    """

    cases: tuple[Case, ...]
    refusals: dict[str, str]
    digest: str

    @property
    def count(self) -> int:
        """Number of variants."""
        return sum(case.design.count for case in self.cases)


def cases_of(study: Study) -> tuple[Case, ...]:
    """Return the cases of a study, their scenarios not yet judged.

    Raises
    ------
    ScenarioError
        If a scenario cannot be read, lacks a key that varies, or a value is not of its kind.
    """
    files = study.scenario_files()
    read = [(path, full_tables(path)) for path in files]
    scenarios = [checked(tables, path) for path, tables in read]
    fields = [_fields(study, path, one) for path, one in zip(files, scenarios, strict=True)]
    for path, own in zip(files[1:], fields[1:], strict=True):
        for key, field in own.items():
            first = fields[0][key]
            if (field.kind, field.number) != (first.kind, first.number):
                raise ScenarioError(
                    f"{study.file}: {key} is another kind of value in {path} than in {files[0]}"
                )
    design = Design(quantities(study, fields[0]), study.samples or 1, study.seed, study.block)
    if design.count * len(files) > MOST_VARIANTS:
        count = design.count * len(files)
        raise ScenarioError(f"{study.file}: must have at most {MOST_VARIANTS} variants, found {count}")
    model: ContactModel = "elastic" if study.contact == "elastic" else "foundation"
    return tuple(
        Case(name, path.absolute(), tables, model, design, (), (), (), number * design.count)
        for number, (name, (path, tables)) in enumerate(zip(_names(files), read, strict=True))
    )


def _fields(study: Study, path: Path, scenario: Scenario) -> dict[str, ScenarioField]:
    found = {}
    for number, varied in enumerate(study.vary):
        try:
            found[varied.key] = field_of(scenario, varied.key)
        except KeyError:
            raise ScenarioError(
                f"{study.file}: vary[{number}].key must name a field of the scenario {path}, found '{varied.key}'"
            ) from None
    return found


def _names(files: tuple[Path, ...]) -> list[str]:
    stems = [path.stem for path in files]
    return stems if len(set(stems)) == len(stems) else [str(path) for path in files]


def prepared(
    study: Study, cases: tuple[Case, ...], describe: Callable[[tuple[Case, ...]], Iterable[Description]]
) -> Prepared:
    """Return a study ready to be run; `describe` judges its scenarios as they stand, see `judging.describe`."""
    described = list(describe(cases))
    verdicts = _union(one.verdicts for one in described)
    operations = _union(one.operations for one in described)
    whole = tuple(
        replace(
            case,
            quick=tuple(q.key in one.quick and q.numeric for q in case.design.quantities),
            verdicts=verdicts,
            operations=operations,
        )
        for case, one in zip(cases, described, strict=True)
    )
    refusals = {c.name: one.refusal for c, one in zip(whole, described, strict=True) if one.refusal}
    digest = _digest(study, whole)
    return Prepared(tuple(replace(case, study=digest) for case in whole), refusals, digest)


def _union(each: Iterable[tuple[Any, ...]]) -> tuple[Any, ...]:
    """Return what any has, once, in order; verdicts are one by key and stage."""
    found: dict[Any, Any] = {}
    for some in each:
        for one in some:
            found.setdefault(one[:2] if isinstance(one, tuple) else one, one)
    return tuple(found.values())


def _digest(study: Study, cases: tuple[Case, ...]) -> str:
    told = {key: value for key, value in study.tables.items() if key != "scenarios"}
    digest = hashlib.sha256(json.dumps(told, sort_keys=True, default=str).encode())
    for case in cases:
        parts = (case.name, case.quick, case.block, case.verdicts, case.operations)
        digest.update(json.dumps([parts, case.tables], sort_keys=True, default=str).encode())
        scenario = checked(case.tables, case.path)
        for _, name in read_files(scenario):
            digest.update(_content(scenario.folder / name))
    digest.update(_version().encode())
    return digest.hexdigest()


def _content(file: Path) -> bytes:
    """Return what a file holds; of one that cannot be read, judging says so."""
    try:
        return regular_bytes(file, JOB_FILE.most)
    except (OSError, ValueError):
        return b"-"


def _version() -> str:
    try:
        return version("chuckscene")
    except PackageNotFoundError:
        return "unknown"
