"""The table of which way is worse, read; and what a move of one field does to the verdicts."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from sim.assessment.verdict import ORDER, Verdict
from sim.assessment.verdicts.rules import BY_KEY

TABLE = Path(__file__).with_name("table.toml")
ENDS = {"more", "less", "either", "none"}
INCLUDED = tomllib.loads(TABLE.read_text(encoding="utf-8"))["included"]
PROGRAMS = ("boring.program", "operations[].program")
FIXTURES = ("ring", "plug", "outer ring", "none")
WHOLE = ("uncertainty.", "views[].")
SAME = 1e-6  # relative change of a margin that is none: contact and programs are solved to less
# Margins under a twentieth are all as hopeless, those above 1000 all as good.
LEAST, MOST = 0.05, 1e3
LAXER = "stated by the scenario, laxer than"  # such a warning goes where the claim behind it does


@dataclass(frozen=True, slots=True)
class Row:
    """One field: the verdicts for which more, or less, of it is worse, and those that it moves either way."""

    more: frozenset[str] = frozenset()
    less: frozenset[str] = frozenset()
    either: frozenset[str] = frozenset()
    none: str = ""
    because: str = ""
    order: tuple[Any, ...] = ()
    by_points: str = ""

    def where(self, *, points: bool) -> Row:
        """Return the row as it holds where the chuck's own grip points are stated."""
        if not (points and self.by_points):
            return self
        return replace(self, more=frozenset(), less=frozenset(), either=self.more | self.less | self.either)

    @property
    def told(self) -> bool:
        """Whether it says of each verdict which way is worse, or that it does not move."""
        return "all" not in self.either and not self.none


def rows() -> dict[str, Row]:
    """Return every row of the table by its name.

    Raises
    ------
    ValueError
        If a row names what is no verdict, or names one twice.
    """
    stated = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    groups = stated["groups"]
    found = {name: _row(name, told, groups) for name, told in _flat(stated["fields"], "")}
    for name in [name for name in found if name.startswith("boring.fixture.")]:
        kind, field = name.removeprefix("boring.fixture.").rsplit(".", 1)
        row = found.pop(name)
        for one in FIXTURES if kind == "*" else (kind,):
            found[f"boring.fixture[{one}].{field}"] = row
    shape = _row("programs.shape", stated["programs"].pop("shape"), groups)
    own = {name: _row(name, told, groups) for name, told in stated["programs"].items()}
    own |= dict.fromkeys(tomllib.loads(TABLE.read_text(encoding="utf-8"))["programs"]["shape"]["rows"], shape)
    for program in PROGRAMS:
        found |= {f"{program}.{name}": row for name, row in own.items()}
    return found


def _flat(tables: Mapping[str, Any], at: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    for name, value in tables.items():
        if ENDS & value.keys():
            yield f"{at}{name}", value
        else:
            yield from _flat(value, f"{at}{name}.")


def _row(name: str, told: Mapping[str, Any], groups: Mapping[str, Any]) -> Row:
    sets = {end: frozenset(_keys(told.get(end, ()), groups)) for end in ("more", "less", "either")}
    unknown = frozenset.union(*sets.values()) - BY_KEY.keys() - {"all"}
    twice = (sets["more"] & sets["less"]) | (sets["more"] & sets["either"]) | (sets["less"] & sets["either"])
    if unknown or twice:
        raise ValueError(f"{name} names what is no verdict, or twice: {', '.join(sorted(unknown | twice))}")
    if ("all" in sets["either"]) != bool(told.get("because", "")):
        raise ValueError(f"{name} must say why, just where it moves all either way")
    if told.get("by_points", "either") != "either":
        raise ValueError(f"{name} must move either way by points, or as without them")
    return Row(
        **sets,
        none=told.get("none", ""),
        because=told.get("because", ""),
        order=tuple(told.get("order", ())),
        by_points=told.get("by_points", ""),
    )


def _keys(named: Any, groups: Mapping[str, Any]) -> Iterator[str]:
    for one in named:
        if one.startswith("@"):
            yield from _keys(groups[one[1:]], groups)
        else:
            yield one


def margin(verdict: Verdict) -> float:
    """Return a margin within what tells anything."""
    return min(max(verdict.margin, LEAST), MOST)


def improved(row: Row, up: bool, before: tuple[Verdict, ...], after: tuple[Verdict, ...]) -> list[str]:
    """Return what a move of a field did that its row does not allow, one sentence each."""
    worse, better = (row.more, row.less) if up else (row.less, row.more)
    known, wrong = {(v.key, v.stage): v for v in after}, []
    for one in before:
        if one.key in row.either or "all" in row.either:
            continue
        other = known.get((one.key, one.stage))
        words = f"{one.key} of {one.stage}"
        if other is None:
            if one.status != "pass":
                wrong.append(f"{words}: {one.status} before, not asked after")
            continue
        was, now = margin(one), margin(other)
        told = f"{words}: margin {was:.9g} -> {now:.9g}, {one.status} -> {other.status}"
        rises, falls = now > was * (1.0 + SAME), now < was * (1.0 - SAME)
        if one.key in worse:
            lifted = ORDER.index(other.status) > ORDER.index(one.status) and LAXER not in one.basis
            if rises or lifted:
                wrong.append(f"{told}, though it is worse")
        elif one.key in better:
            if falls:
                wrong.append(f"{told}, though it is better")
        elif rises or falls:
            wrong.append(f"{told}, though the row does not name it")
    return wrong
