"""What changed between two revisions of a setup."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sim.base.share import Tell
from sim.commands.shared import AsJson, Quick, assessed, leave, progress
from sim.commands.streams import say, say_object

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.revisions.fields import Revision


def diff(
    old: Annotated[Path, typer.Argument(help="scenario file (TOML), the older one", show_default=False)],
    new: Annotated[Path, typer.Argument(help="the newer one", show_default=False)],
    of: Annotated[
        Path | None,
        typer.Option(
            "--of",
            help="scenario that includes OLD and NEW in turn: two revisions of a file such as fit writes",
            show_default=False,
        ),
    ] = None,
    *,
    as_json: AsJson = False,
    quick: Quick = False,
) -> None:
    """Say what changed between two revisions, and which verdicts moved, worst first.

    Exit status as of the newer one.
    """
    with progress() as tell:
        pair = [_judged(old, of, tell, quick=quick), _judged(new, of, tell, quick=quick)]
    from sim.revisions.fields import field_changes, renamed
    from sim.revisions.verdicts import moves

    (before, first), (after, second) = pair
    changes = field_changes(first, second)
    moved = moves(before, after, renamed(before.scenario, after.scenario))
    names, judged = (str(old), str(new)), (before, after)
    if as_json:
        from sim.report.revisions import revisions_object

        say_object(revisions_object(names, judged, changes, moved))
    else:
        from sim.terminal.revisions import lines

        for line in lines(names, judged, changes, moved):
            say(line)
    leave(after)


def _judged(file: Path, of: Path | None, tell: Tell, *, quick: bool) -> tuple[Assessment, Revision]:
    """Return a revision judged, and its tables as they stand."""
    scenario, included = (file, None) if of is None else (of, _included(file, of))
    changes: dict[str, Any] = {} if included is None else {"include": included}
    judged = assessed(scenario, tell, quick=quick, changes=changes)
    from sim.revisions.fields import Revision
    from sim.scenario.scenario import full_tables

    return judged, Revision(judged.scenario, full_tables(scenario, included))


def _included(file: Path, of: Path) -> list[str]:
    """Return what a scenario includes with a file in place of the only one that it includes.

    Raises
    ------
    ScenarioError
        If the file cannot be read, or the scenario includes several, so that it is not known which.
    """
    from sim.base.errors import ScenarioError
    from sim.scenario.other_files import AN_INCLUDED
    from sim.scenario.toml_file import tables_of

    tables_of(file, AN_INCLUDED)
    stated = tables_of(of).get("include", [])
    if isinstance(stated, list) and len(stated) > 1:
        raise ScenarioError(f"{of}: include must name at most one file with --of, found {len(stated)}")
    return [os.path.relpath(file.absolute(), of.absolute().parent)]
