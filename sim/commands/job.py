"""Pack setups with all that belongs to them into one file, and open it elsewhere with the same figures."""

from __future__ import annotations

import json
import re
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.base.errors import ChuckSceneError, OutputError, ScenarioError, after
from sim.base.files import require_place, write_whole
from sim.base.printable import json_printable
from sim.base.share import Tell
from sim.commands.drawing import NOT_RELEASED
from sim.commands.program import System
from sim.commands.shared import Quick, answers_folder, assessed, progress
from sim.commands.streams import say

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.exports.handed import HandedFile, LeftOut
    from sim.exports.job_archive import Job


class Action(StrEnum):
    """What is done with a job."""

    pack = "pack"
    open = "open"


def job(
    action: Annotated[Action, typer.Argument(help="pack scenarios, or open a job", show_default=False)],
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE...",
            help="scenario files (TOML) in the order of the work; or the one job to open",
            show_default=False,
        ),
    ],
    out: Annotated[
        Path,
        typer.Option(
            "--out", help="the job, ending in .zip; or the folder to open it in", show_default=False
        ),
    ],
    *,
    code_system: Annotated[
        System | None,
        typer.Option(
            help="of the control, as with program: pack the programs that bore the jaws, too",
            show_default=False,
        ),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="a job opened there before and not changed since")
    ] = False,
    unjudged: Annotated[
        bool, typer.Option("--unjudged", help="open without judging it again: figures may differ here")
    ] = False,
    quick: Quick = False,
) -> None:
    """Pack scenarios, what they name, sheet, review and programs as one file; or open it with the same figures."""
    if action is Action.pack:
        if replace or unjudged:
            raise typer.BadParameter("--replace and --unjudged are for job open, found one of them with pack")
        _pack(files, out, code_system, quick=quick)
    elif len(files) != 1:
        raise typer.BadParameter(f"job open takes one job, found {len(files)} files")
    elif code_system is not None or quick:
        raise typer.BadParameter("--code-system and --quick are for job pack, found one of them with open")
    else:
        _open(files[0], out, replace=replace, unjudged=unjudged)


def _pack(files: list[Path], out: Path, code_system: System | None, *, quick: bool) -> None:
    if out.suffix.lower() != ".zip":
        raise OutputError(f"{out}: a job must end in .zip")
    require_place(out, folder=False)
    if len({file.absolute() for file in files}) != len(files):
        raise ScenarioError("each scenario goes into a job once, found one named twice")
    with progress() as tell:
        judged = [assessed(file, tell, quick=quick) for file in files]
        from sim.drawing.digest import scenario_digest
        from sim.exports.handed import MANIFEST, HandedFile, manifest
        from sim.exports.job_archive import job_of
        from sim.exports.job_files import job_files
        from sim.exports.zipped import zipped

        needed, own = job_files([(file, one.scenario) for file, one in zip(files, judged, strict=True)])
        packed = [
            HandedFile(name, content, "scenario or a file that one names") for name, content in needed.items()
        ]
        packed.append(_sheet(judged, tell))
        left_out: list[LeftOut] = []
        scenarios = []
        for number, (file, one) in enumerate(zip(files, judged, strict=True), start=1):
            name = f"{number}-{_plain(file.stem)}"
            figures = _figures(one, name)
            packed += [figures, _review(file, one, name, tell)]
            if code_system is not None:
                made, refused = _programs(file, one, code_system, name, tell, quick=quick)
                packed += made
                left_out += refused
            stated = {
                "title": one.scenario.title,
                "status": one.status,
                "digest": scenario_digest(one.scenario),
            }
            scenarios.append({"file": own[number - 1], "figures": figures.name, "quick": quick, **stated})
        text = manifest("job", packed, left_out, {"scenarios": scenarios})
        content = zipped({MANIFEST: text, **{one.name: one.content for one in packed}})
        try:
            found = job_of(content)  # what could not be opened again is not handed on
        except ValueError as error:
            raise ScenarioError(f"no job is packed, {error}") from None
    say(str(write_whole(out, content)))
    for missing in left_out:
        say(f"{missing.name}: {missing.why}", err=True)
    _say_digest(found)
    say(NOT_RELEASED)
    raise typer.Exit(1 if any(one.status == "fail" for one in judged) else 0)


def _sheet(judged: list[Assessment], tell: Tell) -> HandedFile:
    from sim.drawing.asked import Asked
    from sim.exports.handed import HandedFile
    from sim.setup_sheet.document import pages
    from sim.setup_sheet.written import written

    tell("setup sheet")
    name = "sheet.pdf"
    return HandedFile(name, written(pages(judged, Asked()), Path(name)), "setup sheet of all scenarios", "mm")


def _plain(stem: str) -> str:
    """Return a scenario's name as any system can have it as that of a file."""
    return re.sub(r"[^\w.+-]+", "-", stem).strip("-.") or "setup"


def _figures(judged: Assessment, name: str) -> HandedFile:
    from sim.exports.handed import HandedFile
    from sim.report.assessment import as_object

    text = json_printable(json.dumps(as_object(judged), indent=2, ensure_ascii=False)) + "\n"
    return HandedFile(f"figures/{name}.json", text.encode(), "every figure, as check --json", "in the keys")


def _review(file: Path, judged: Assessment, name: str, tell: Tell) -> HandedFile:
    """Return the review page, that of the last `review` of the file where nothing has changed since."""
    from sim.exports.handed import HandedFile
    from sim.views.kept_page import kept_review

    page = kept_review(answers_folder(), file, judged, tell)
    return HandedFile(f"review/{name}.html", page.encode(), "review page")


def _programs(
    file: Path, judged: Assessment, code_system: System, name: str, tell: Tell, *, quick: bool
) -> tuple[list[HandedFile], list[LeftOut]]:
    """Return the programs that bore the jaws, or why there are none."""
    from sim.commands.program import made_programs, require_read_back
    from sim.exports.handed import HandedFile, LeftOut
    from sim.report.boring_program import Asked

    asked = Asked(code_system.value)
    try:
        programs = made_programs(file, judged, asked)
        require_read_back(file, judged, asked, programs[-1], tell, quick=quick)
    except ScenarioError as error:
        # Without the path: it is one of this machine.
        return [], [LeftOut(f"programs/{name}.nc", str(error).removeprefix(f"{file}: "))]
    return [
        HandedFile(
            f"programs/{name}-{number}-{one.what}.nc",
            one.text.encode("ascii"),
            f"unproven program that bores the jaws, {one.what}",
            "mm",
        )
        for number, one in enumerate(programs, start=1)
    ], []


def _open(path: Path, out: Path, *, replace: bool, unjudged: bool) -> None:
    from sim.exports.folder import beside, fill, require_free, settle
    from sim.exports.job_archive import read_job
    from sim.exports.job_files import require_inside

    require_free(out, "job", replace=replace)
    found = read_job(path)
    with beside(out) as folder:
        try:
            fill(folder, found.files)
            require_inside(folder, [folder / one.file for one in found.scenarios])
            with progress() as tell:
                failing = False if unjudged else _judged_again(path, found, folder, tell)
            settle(folder, out, "job", replace=replace)
        except ChuckSceneError as error:
            words = str(error).replace(str(folder), str(path))
            raise after("", type(error)(words)) from None
        except OSError as error:
            raise OutputError(f"{out}: cannot be written ({error.strerror or error})") from None
    for one in found.scenarios:
        say(str(out / one.file))
    _say_digest(found)
    say("Not judged again here." if unjudged else "Judged again here: the same figures as were packed.")
    say(NOT_RELEASED)
    raise typer.Exit(1 if failing else 0)


def _judged_again(path: Path, found: Job, folder: Path, tell: Tell) -> bool:
    """Judge every scenario of an unpacked job and return whether some verdict fails.

    Raises
    ------
    ScenarioError
        If a figure differs from what was packed.
    """
    from sim.exports.handed import program_version
    from sim.exports.job_archive import told_apart
    from sim.report.assessment import as_object

    failing = False
    for one in found.scenarios:
        judged = assessed(folder / one.file, tell, quick=one.quick)
        failing = failing or judged.status == "fail"
        try:
            packed = json.loads(found.files[one.figures])
        except (ValueError, RecursionError):
            raise ScenarioError(f"{path}: {one.figures} in it is no JSON") from None
        # As it is written and read back: so both sides have passed the same way.
        differ = told_apart(packed, json.loads(json.dumps(as_object(judged))))
        if differ:
            shown = ", ".join(differ[:3]) + (f" and {len(differ) - 3} more" if len(differ) > 3 else "")
            versions = f"version {found.version} packed it, this is {program_version()}"
            raise ScenarioError(
                f"{path}: is not opened, {one.file} is judged otherwise here than where it was packed, in {shown} "
                f"({versions}); --unjudged opens it all the same"
            )
    return failing


def _say_digest(found: Job) -> None:
    """Say by which digits whoever packs and whoever opens know that they have the same job."""
    digits = found.digest[:12]
    say(
        f"Job {digits[:4]} {digits[4:8]} {digits[8:]}: the same digits where it is packed and where it is opened."
    )
