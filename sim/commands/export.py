"""Write a judged setup as files for other programs."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.base.printable import json_printable
from sim.commands.drawing import NOT_RELEASED
from sim.commands.shared import File, Quick, assessed, leave, progress
from sim.commands.streams import say

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.exports.handed import HandedFile, LeftOut


def export(
    file: File,
    out: Annotated[
        Path, typer.Option("--out", help="folder, not there yet or with --replace", show_default=False)
    ],
    *,
    replace: Annotated[
        bool, typer.Option("--replace", help="an export that stands there and was not changed since")
    ] = False,
    quick: Quick = False,
) -> None:
    """Write jaws (STEP, STL, 3MF), assembly (GLB), tables (CSV), figures (JSON): a folder with a manifest."""
    from sim.exports.folder import require_free, write_folder
    from sim.exports.handed import MANIFEST, manifest

    require_free(out, "export", replace=replace)
    with progress() as tell:
        judged = assessed(file, tell, quick=quick)
        tell("files")
        files, left_out = files_of(judged, date.today())
    from sim.drawing.digest import scenario_digest

    about = {
        "title": judged.scenario.title,
        "revision": judged.scenario.revision,
        "status": judged.status,
        "failing": sum(v.status == "fail" for v in judged.verdicts),
        "questions_that_matter_not_asked": len(judged.unasked),
        "scenario_digest": scenario_digest(judged.scenario),
    }
    content = {one.name: one.content for one in files}
    whole = {**content, MANIFEST: manifest("export", files, left_out, about)}
    write_folder(out, whole, "export", replace=replace)
    for name in (*content, MANIFEST):
        say(str(out / name))
    for missing in left_out:
        say(f"{missing.name}: {missing.why}", err=True)
    say(NOT_RELEASED)
    leave(judged)


def files_of(judged: Assessment, day: date) -> tuple[list[HandedFile], list[LeftOut]]:
    """Return all files of an export, and those that could not be made."""
    from sim.exports.csv_tables import cuts_csv, grip_csv, not_judged_csv, verdicts_csv
    from sim.exports.handed import HandedFile
    from sim.exports.jaw_files import jaw_files
    from sim.report.assessment import as_object
    from sim.report.schema import report_schema
    from sim.report.verdicts import finite
    from sim.views.export import assembly_glb
    from sim.views.picture import file_name

    files, left_out = jaw_files(judged.parts, day)
    for number, figures in enumerate(judged.operations):
        name = figures.operation.name
        what = f"assembly as gripped in operation '{name}', contact pressure as COLOR_0 and _PRESSURE_MPA"
        place = f"assembly-{file_name(name, number)}.glb"
        files.append(HandedFile(place, assembly_glb(judged, number), what, "m"))
    report = as_object(judged)
    keyed = "in the names of the columns"
    files += [
        HandedFile(
            "verdicts.csv", verdicts_csv(judged), "every verdict, worst first", "in the column 'unit'"
        ),
        HandedFile(
            "not-judged.csv", not_judged_csv(judged), "every question that was not asked, what matters first"
        ),
        HandedFile("grip-by-speed.csv", grip_csv(judged), "grip of all jaws over spindle speed", keyed),
        HandedFile("cuts.csv", cuts_csv(report), "cuts, their forces and how they are held", keyed),
        HandedFile("figures.json", _json(report), "every figure, as check --json prints it", "in the keys"),
        HandedFile("figures.schema.json", _json(finite(report_schema())), "JSON schema of figures.json"),
    ]
    return files, left_out


def _json(content: object) -> bytes:
    return (json_printable(json.dumps(content, indent=2, ensure_ascii=False)) + "\n").encode()
