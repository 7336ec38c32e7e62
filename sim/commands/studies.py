"""Commands over many variants: study."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.base.errors import NotAvailableError, ScenarioError
from sim.base.files import require_place, write_whole
from sim.base.unit_words import percent
from sim.commands.shared import AsJson
from sim.commands.stopping import say_when_stopped
from sim.commands.streams import say, say_object

if TYPE_CHECKING:
    from sim.scenario.study import Study
    from sim.studies.folder import StudyFolder
    from sim.studies.plan import Block, Case
    from sim.studies.preparing import Prepared
    from sim.studies.summary import Summary
    from sim.studies.workers import Workers

GOES_ON = "stopped; the same command goes on where it ended"
STEP = 5.0  # s between two lines that say how far a study is
TellCounts = Callable[[int, int, int], None]  # variants newly finished, solutions found, solutions asked for


def study(
    file: Annotated[Path, typer.Argument(help="study file (TOML)", show_default=False)],
    out: Annotated[
        Path | None, typer.Option("--out", help="folder of the Parquet files; default: out/<study>")
    ] = None,
    processes: Annotated[
        int | None, typer.Option("--processes", min=1, max=1024, help="on this computer; default: one a core")
    ] = None,
    cluster: Annotated[
        str | None,
        typer.Option("--cluster", help="a running Dask cluster instead, as in tcp://127.0.0.1:8786"),
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Judge grids and samples of many thousand variants over many scenarios; Parquet files, and what they come to.

    The best are judged once more by the full check. Run again after a break, it goes on where it ended. Exit status 1
    if something fails in every variant, or the full check confirms none of the best.
    """
    if find_spec("pyarrow") is None:
        from sim.studies.workers import INSTALL

        raise NotAvailableError(f"study needs pyarrow, which is not installed; {INSTALL}")
    if processes is not None and cluster is not None:
        raise ScenarioError("--processes and --cluster exclude each other: a cluster has its own processes")
    from sim.base.threads import workers as cores
    from sim.scenario.study import read_study
    from sim.studies.preparing import cases_of
    from sim.studies.workers import workers

    say_when_stopped(GOES_ON)
    wanted = read_study(file)
    cases = cases_of(wanted)
    place = out or Path("out") / file.stem
    require_place(place, folder=True)
    with workers(processes or cores(), cluster) as ready:
        found, judged_cases = _run(wanted, cases, place, ready, quiet=as_json)
    from sim.report.studies import summary_object
    from sim.studies.confirming import confirmed
    from sim.terminal.studies import show_summary

    named = confirmed(found, judged_cases)
    content = summary_object(found, named)
    text = json.dumps(content, indent=2, ensure_ascii=False)
    write_whole(place / "_summary.json", (text + "\n").encode())
    if as_json:
        say_object(content)
    else:
        show_summary(found, named)
        say(str(place))
    raise typer.Exit(0 if named.best else 1)


def _run(
    wanted: Study, cases: tuple[Case, ...], place: Path, ready: Workers, *, quiet: bool
) -> tuple[Summary, tuple[Case, ...]]:
    from sim.studies.folder import StudyFolder
    from sim.studies.judging import describe
    from sim.studies.plan import blocks
    from sim.studies.preparing import prepared
    from sim.studies.running import each

    study = prepared(wanted, cases, lambda some: each(describe, some, ready))
    todo = blocks(study.cases)
    folder = StudyFolder(place, study, todo)
    done = {one.number: known for one in todo if (known := folder.finished(one)) is not None}
    if folder.doubts:
        say(folder.doubts, err=True)
    if not quiet:
        from sim.terminal.studies import plan_lines

        for line in plan_lines(study, todo, sum(one.count for one in done.values())):
            say(line)
    left = [one for one in todo if one.number not in done]
    with _bar(study.count) as tell:
        return _finished(study, left, folder, ready, done, tell), study.cases


def _finished(
    study: Prepared,
    left: list[Block],
    folder: StudyFolder,
    ready: Workers,
    done: dict[int, Summary],
    tell: TellCounts,
) -> Summary:
    """Run what is left, keep each block as it comes, and return the summary of all."""
    from sim.studies.running import run
    from sim.studies.summary import together

    tell(sum(one.count for one in done.values()), 0, 0)
    for one in run(study.cases, left, ready, lambda solved, asked: tell(0, solved, asked)):
        folder.keep(one.block, one.content)
        done[one.block] = one.summary
        tell(one.summary.count, 0, 0)
    return together(done[number] for number in sorted(done))


@contextmanager
def _lines(total: int) -> Iterator[TellCounts]:
    """Say how far the variants are in a line of standard error, no more than one each few seconds."""
    from sim.commands.streams import say

    done, last = 0, time.monotonic()

    def tell(count: int, solved: int, asked: int) -> None:
        nonlocal done, last
        done += count
        if time.monotonic() - last >= STEP:
            last = time.monotonic()
            more = f", contact solutions {solved} of {asked}" if solved < asked else ""
            say(f"variants {done} of {total} ({percent(done / max(total, 1))}){more}", err=True)

    yield tell


@contextmanager
def _bar(total: int) -> Iterator[TellCounts]:
    """Show how far the variants are on a terminal; where the output is piped, a line each few seconds."""
    if not sys.stderr.isatty():
        with _lines(total) as tell:
            yield tell
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    with Progress(
        TextColumn("variants"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
        TextColumn("{task.description}"),
        console=Console(stderr=True),
    ) as bar:
        task = bar.add_task("", total=total)

        def tell(count: int, solved: int, asked: int) -> None:
            words = f"contact solutions {solved} of {asked}" if solved < asked else ""
            bar.update(task, advance=count, description=words)

        yield tell
