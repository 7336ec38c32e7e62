"""Judged variants as rows: statuses, values, limits and figures as arrays, and as the content of a Parquet file."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.rules import rule_of
from sim.base.arrays import Flags, Floats, Ints
from sim.layouts.layout import STATED
from sim.studies.sealed import OPEN, PLACE, SEAL, place, sealed
from sim.variants import PASS, REFUSED, WARN, Judged
from sim.variants.result import WORDS, Codes

if TYPE_CHECKING:
    import pyarrow as pa

    from sim.studies.plan import Case
    from sim.studies.summary import Summary

# Of each operation: the column's ending, the name among the figures of quick variants.
FIGURES = (
    ("grip_at_rest_N", "grip at rest N"),
    ("grip_at_lowest_speed_N", "grip at the lowest speed N"),
    ("grip_at_highest_speed_N", "grip at the highest speed N"),
    ("needed_grip_N", "needed grip N"),
    ("least_holding_factor", "holding factor"),
    ("grip_travel_mm", "grip travel mm"),
)
STATUSES = (*WORDS, "refused")
SUMMARY = b"chuckscene.summary"
CAUTION = b"chuckscene.cautions"


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """n variants under the m verdicts and k operations that have columns.

    Attributes
    ----------
    quick : (n,) bool array
        From solutions on a grid, see `sim.variants`; else from an assessment of its own.
    status : (n, m) int8 array
        FAIL, WARN, PASS; REFUSED where a variant has no such verdict.
    value, limit : (n, m) arrays
        nan where there is none. In the unit of the verdict.
    figures : (n, k, 6) array
        As FIGURES, which names the unit of each; nan where there is none.
    worst : (n,) int8 array
        Of all verdicts; REFUSED where the variant cannot be made.
    margin : (n,) array
        Least of what counts, see `counted`; nan for a refusal. No unit.
    closest : (n,) object array of str
        Verdict and stage that set it.
    refusal : (n,) array
        Object array of str.
    further : (n,) object array of str
        Verdicts that have no column, with their status.
    """

    quick: Flags
    status: Codes
    value: Floats
    limit: Floats
    figures: Floats
    worst: Codes
    margin: Floats
    closest: NDArray[np.object_]
    refusal: NDArray[np.object_]
    further: NDArray[np.object_]


def blank(case: Case, count: int, *, quick: bool) -> Rows:
    """Return rows without any figure, all refused."""
    shape = (count, len(case.verdicts))
    return Rows(
        quick=np.full(count, quick),
        status=np.full(shape, REFUSED, dtype=np.int8),
        value=np.full(shape, np.nan),
        limit=np.full(shape, np.nan),
        figures=np.full((count, len(case.operations), len(FIGURES)), np.nan),
        worst=np.full(count, REFUSED, dtype=np.int8),
        margin=np.full(count, np.nan),
        closest=np.full(count, "", dtype=object),
        refusal=np.full(count, "", dtype=object),
        further=np.full(count, "", dtype=object),
    )


def joined(count: int, parts: Sequence[tuple[NDArray[np.intp], Rows]]) -> Rows:
    """Return rows put together of parts, each with the places that it takes."""
    if len(parts) == 1 and parts[0][0].size == count:
        return parts[0][1]
    found = {}
    for name in Rows.__slots__:
        first = getattr(parts[0][1], name)
        whole = np.zeros((count, *first.shape[1:]), dtype=first.dtype)
        for places, rows in parts:
            whole[places] = getattr(rows, name)
        found[name] = whole
    return Rows(**found)


def refused_rows(case: Case, reasons: Sequence[str], *, quick: bool) -> Rows:
    """Return rows of variants that cannot be made, with the reasons."""
    rows = blank(case, len(reasons), quick=quick)
    rows.refusal[:] = reasons
    return rows


def judged_rows(case: Case, found: Judged, fixed: Flags) -> Rows:
    """Return the rows of variants that were judged together; `fixed` verdicts set no margin while they pass, (m,)."""
    rows = blank(case, found.refused.size, quick=True)
    places = {one: k for k, one in enumerate(zip(found.keys, found.stages, strict=True))}
    for column, (key, stage, _) in enumerate(case.verdicts):
        if (key, stage) in places:
            k = places[key, stage]
            rows.status[:, column] = found.status[:, k]
            rows.value[:, column], rows.limit[:, column] = found.value[:, k], found.limit[:, k]
    for k, operation in enumerate(case.operations):
        for j, (_, name) in enumerate(FIGURES):
            if f"{operation}: {name}" in found.figures:
                rows.figures[:, k, j] = found.figures[f"{operation}: {name}"]
    rows.worst[:] = found.worst
    rows.refusal[:] = np.array(found.reasons, dtype=object)[found.refused]
    stated = fixed | np.array([key in STATED for key in found.keys])
    left_out = (found.status == WARN) | ((found.status == PASS) & stated) | (found.status == REFUSED)
    margin = np.where(left_out, np.inf, found.margin)
    least = margin.argmin(axis=1)
    made = found.refused == 0
    # Nothing but fixed verdicts and warnings: no margin.
    rows.margin[made] = margin[np.arange(least.size), least][made]
    names = np.array([f"{n}, {s}" for n, s in zip(found.names, found.stages, strict=True)], dtype=object)
    rows.closest[made] = names[least[made]]
    return rows


def counted(verdicts: Sequence[Verdict]) -> list[Verdict]:
    """Return the verdicts that may set the least margin: no warnings, no stated value that keeps its rule."""
    return [v for v in verdicts if v.status == "fail" or (v.status == "pass" and v.key not in STATED)]


def assessed_rows(case: Case, found: Sequence[Assessment | str]) -> Rows:
    """Return the rows of variants that were assessed one by one; a text is why one cannot be made."""
    rows = blank(case, len(found), quick=False)
    columns = {(key, stage): k for k, (key, stage, _) in enumerate(case.verdicts)}
    for row, one in enumerate(found):
        if isinstance(one, str):
            rows.refusal[row] = one
            continue
        rows.worst[row] = WORDS.index(one.status)
        further = []
        for verdict in one.verdicts:
            column = columns.get((verdict.key, verdict.stage))
            if column is None:
                further.append(f"{verdict.name}, {verdict.stage}: {verdict.status}")
                continue
            rows.status[row, column] = WORDS.index(verdict.status)
            rows.value[row, column], rows.limit[row, column] = verdict.value, verdict.limit
        rows.further[row] = "; ".join(further)
        least = min(counted(one.verdicts), key=lambda v: v.margin, default=None)
        rows.margin[row] = np.inf if least is None else least.margin
        rows.closest[row] = "" if least is None else f"{least.name}, {least.stage}"
        for f in one.operations:
            if f.operation.name in case.operations:
                factor = min((h.factor for h in f.holdings), default=np.nan)
                grip = f.grip
                rows.figures[row, case.operations.index(f.operation.name)] = (
                    grip.rest_total,
                    grip.low_speed_total,
                    grip.high_speed_total,
                    grip.needed_total,
                    factor,
                    f.grip_travel,
                )
    return rows


def table(case: Case, ids: Ints, values: tuple[list[Any], ...], rows: Rows) -> pa.Table:
    """Return rows as an Arrow table; its columns are the same for every block of a study."""
    import pyarrow as pa

    def words(codes: Codes) -> pa.Array:
        # REFUSED, -1, is no status of a verdict; of a variant it is the last word.
        places = pa.array(np.where(codes < 0, len(WORDS), codes).astype(np.int8))
        return pa.DictionaryArray.from_arrays(places, pa.array(STATUSES))

    def status(codes: Codes) -> pa.Array:
        places = pa.array(codes, mask=codes < 0)
        return pa.DictionaryArray.from_arrays(places, pa.array(STATUSES))

    def texts(found: NDArray[np.object_]) -> pa.Array:
        return pa.array(found, type=pa.string(), mask=found == "").dictionary_encode()

    columns: dict[str, pa.Array] = {
        "variant": pa.array(ids),
        "scenario": pa.array([case.name] * len(ids), type=pa.string()).dictionary_encode(),
    }
    for quantity, one in zip(case.design.quantities, values, strict=True):
        if quantity.numeric:
            whole = all(isinstance(v, int) for v in quantity.choices) and quantity.marginal is None
            columns[quantity.column] = pa.array(one, type=pa.int64() if whole else pa.float64())
        else:
            shown = [v if isinstance(v, str) else json.dumps(v, default=str) for v in one]
            columns[quantity.key] = pa.array(shown, type=pa.string()).dictionary_encode()
    columns["from_shared_solutions"] = pa.array(rows.quick)
    columns["status"] = words(rows.worst)
    columns["refusal"] = texts(rows.refusal)
    columns["least_margin"] = pa.array(rows.margin, from_pandas=True)
    columns["least_margin_verdict"] = texts(rows.closest)
    for k, operation in enumerate(case.operations):
        for j, (ending, _) in enumerate(FIGURES):
            columns[f"{plain(operation)}.{ending}"] = pa.array(rows.figures[:, k, j], from_pandas=True)
    for k, (key, stage, unit) in enumerate(case.verdicts):
        start, suffix = f"{plain(stage)}.{plain(rule_of(key).name)}", f"_{plain(unit)}" if unit else ""
        columns[f"{start}.status"] = status(rows.status[:, k])
        columns[f"{start}.value{suffix}"] = pa.array(rows.value[:, k], from_pandas=True)
        columns[f"{start}.limit{suffix}"] = pa.array(rows.limit[:, k], from_pandas=True)
    columns["further_verdicts"] = texts(rows.further)
    return pa.table(columns)


def plain(text: str) -> str:
    """Return a name or a unit as part of a column's name: 'kN m' is kNm, 'grip at rest' is grip_at_rest."""
    if text in {"N m", "kN m"}:
        return text.replace(" ", "")
    return re.sub(r"[^0-9A-Za-z%]+", "_", text).strip("_")


def as_parquet(
    case: Case, block: int, ids: Ints, values: tuple[list[Any], ...], rows: Rows, summary: Summary
) -> bytes:
    """Return the content of a block's file, its summary, the cautions and its seal among the metadata."""
    import pyarrow.parquet as pq

    found = table(case, ids, values, rows)
    found = found.replace_schema_metadata(
        {
            SUMMARY: json.dumps(summary.as_object()).encode(),
            CAUTION: json.dumps(CAUTIONS).encode(),
            PLACE: place(case.study, block),
            SEAL: OPEN,
        }
    )
    out = io.BytesIO()
    pq.write_table(found, out, compression="zstd", use_dictionary=True, write_statistics=True)
    return sealed(out.getvalue(), case.study, block)
