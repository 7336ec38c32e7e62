"""The command line; `chuckscene --help` lists the commands.

Exit status 0: every verdict passes or only warns; 1: some verdict fails; 2: the input is wrong, or the result cannot
be written; 3: an internal error.
"""

from __future__ import annotations

import contextlib
import gc
import io
import logging
import os
import sys
from typing import Annotated, cast

import typer

from sim.base.errors import DEBUG, ChuckSceneError, OutputError
from sim.base.late import loaded_late
from sim.base.printable import printable
from sim.commands import layouts, readings, studies, views
from sim.commands.diff import diff
from sim.commands.drawing import drawing
from sim.commands.export import export
from sim.commands.from_code import from_code
from sim.commands.job import job
from sim.commands.manual import manual
from sim.commands.new import new
from sim.commands.printed import printed_again
from sim.commands.program import program
from sim.commands.shared import File, Quick, status_of
from sim.commands.shared import assessed as _assessed
from sim.commands.shared import progress as _progress
from sim.commands.sheet import sheet
from sim.commands.stopping import STOPPED, asked_to_stop, stopped_soon, words_when_stopped
from sim.commands.streams import careful_streams, say, say_object
from sim.commands.uncertainty import uncertainty

WRONG, INTERNAL = 2, 3  # exit statuses besides 0 and 1; of Ctrl-C STOPPED
UsageError = cast("type[Exception]", typer.BadParameter.__bases__[0])  # typer gives it no name of its own

app = typer.Typer(
    name="chuckscene",
    help="Judge a turned part in soft jaws on a three-jaw power chuck before any metal is cut.",
    epilog="Exit status: 0 no verdict fails, 1 some verdict fails, 2 the input is wrong or the result cannot be "
    f"written, 3 an internal error, where nothing has been judged and a report to send is written ({DEBUG}=1 shows its "
    "traceback).",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(wanted: bool) -> None:  # noqa: FBT001  (what typer hands over)
    """Print which version this is, and leave."""
    if not wanted:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        say(f"chuckscene {version('chuckscene')}")
    except PackageNotFoundError:
        say("chuckscene, of a version not known: it is not installed as a package")
    raise typer.Exit


@app.callback()
def _common(
    *,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="say which version this is")
    ] = False,
) -> None:
    pass


@app.command()
def check(
    file: File,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="one JSON object instead of the table")] = False,
    every: Annotated[
        bool, typer.Option("--all", help="every verdict, not the screen that tells most")
    ] = False,
    basis: Annotated[
        bool, typer.Option("--basis", help="every verdict, with where its limit comes from")
    ] = False,
    moves: Annotated[
        bool, typer.Option("--moves", help="also every move of the cutting paths with its clearance")
    ] = False,
    typical: Annotated[
        bool,
        typer.Option(
            "--typical",
            help="also what rests on values that nobody has read off: each moved through its usual range",
        ),
    ] = False,
    quick: Quick = False,
) -> None:
    """Judge a setup: what holds, what does not, and what is nearest to its limit, on one screen."""

    def judged() -> int:
        with _progress() as tell:
            assessment = _assessed(file, tell, quick=quick, written=True)
            rests = None
            if typical:
                from sim.uncertainty.typical import rests_on

                rests = rests_on(file, assessment.scenario, tell)
        if as_json:
            from sim.report.assessment import as_object

            shown = as_object(assessment, moves=moves)
            if rests is not None:
                from sim.report.typical import typical_object

                shown["typical"] = typical_object(*rests)
            say_object(shown)
        else:
            from sim.terminal.assessment import show

            show(assessment, every=every, basis=basis, moves=moves)
            if rests is not None:
                from sim.terminal.typical import show_typical

                show_typical(*rests)
        return status_of(assessment)

    options = {
        "json": as_json, "all": every, "basis": basis, "moves": moves, "typical": typical, "quick": quick
    }  # fmt: skip
    raise typer.Exit(printed_again("check", file, options, judged))


@app.command()
def schema(
    *,
    study: Annotated[bool, typer.Option("--study", help="of a study file instead")] = False,
    report: Annotated[bool, typer.Option("--report", help="of what check --json prints instead")] = False,
) -> None:
    """Print the JSON schema of a scenario, with which an editor completes and checks it."""
    if study and report:
        raise typer.BadParameter("--study and --report exclude each other; ask for one schema at a time")
    if report:
        from sim.report.schema import report_schema

        say_object(report_schema())
        return
    from sim.scenario import Scenario
    from sim.scenario.study import Study

    model = Study if study else Scenario
    say_object(model.model_json_schema())


@app.command()
def materials() -> None:
    """List the materials and friction pairings that a scenario may name, with their sources."""
    from sim.terminal.materials import show_materials

    show_materials()


app.command()(new)
app.command()(views.picture)
app.command()(views.review)
app.command(name="open")(views.open_page)
app.command()(program)
app.command()(drawing)
app.command()(sheet)
app.command()(export)
app.command()(job)
app.command()(diff)
app.command()(from_code)
app.command()(layouts.compare)
app.command()(layouts.window)
app.command()(layouts.search)
app.command()(layouts.shelf)
app.command()(readings.fit)
app.command()(uncertainty)
app.command()(studies.study)
app.command()(manual)


def main() -> None:
    """Run the command and end with its exit status; only what has been judged (or compared, or fitted) ends in 1."""
    # This process is the command's own, and numpy is not loaded yet: BLAS then starts no threads, which the small
    # matrices of a setup would only wait for. What is set by the user holds.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # A command makes much and drops little: looking for circles among what it holds is most often in vain, and took a
    # tenth of what loading takes.
    gc.set_threshold(20_000, 20, 50)
    loaded_late("cascadio")  # trimesh loads it, which reads STEP: here a process of its own does, none other
    # What libraries say of themselves (a cache of fonts that cannot be written) is no word to a setter.
    for library in ("matplotlib", "trimesh"):
        logging.getLogger(library).addHandler(logging.NullHandler())
    with stopped_soon():
        raise SystemExit(_status())


def _status() -> int:
    try:
        with careful_streams():
            return _run()
    except OutputError as error:  # standard output itself
        _complain(f"error: {error}")
        return WRONG


def _run() -> int:
    """Run the command; every mistake in the input ends in one sentence, the program's own mistakes, too."""
    try:
        status = app(standalone_mode=False)
    except ChuckSceneError as error:
        # A name out of the file may hold line breaks or control characters; the sentence stays one line.
        _complain(f"error: {error}")
        if error.offered:
            _complain(f"\n{error.offered}", kept="\n")
        return WRONG
    except UsageError as error:
        told = io.StringIO()
        error.show(told)  # type: ignore[attr-defined]  # of the library under typer
        _complain(told.getvalue().rstrip("\n"), kept="\n")
        return WRONG
    except typer.Abort as error:
        # The library under typer takes the end of any file that was read for a user who leaves.
        return _internal(error.__cause__) if isinstance(error.__cause__, EOFError) else _stopped()
    except KeyboardInterrupt:
        return _stopped()
    except SystemExit as error:
        # It also leaves with 1 at a broken pipe, whichever it is; commands end in `typer.Exit`, which is none of these.
        return _internal(error.__context__ or error)
    except Exception as error:
        return _internal(error)
    if status == STOPPED:  # the library under typer has heard of it first, and says nothing
        return _stopped()
    return status if isinstance(status, int) else 0


def _stopped() -> int:
    _complain(words_when_stopped())
    return STOPPED


def _internal(error: BaseException) -> int:
    if asked_to_stop():
        return _stopped()
    if os.environ.get(DEBUG):
        import traceback

        _complain("".join(traceback.format_exception(error)).rstrip("\n"), kept="\n")
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    _complain(
        f"internal error: a mistake of chuckscene itself, nothing has been judged ({what}); {_report(error)}; "
        f"the environment variable {DEBUG}=1 shows more"
    )
    return INTERNAL


def _report(error: BaseException) -> str:
    """Write a report of a mistake of the program, and return the words that name it or say that there is none."""
    try:
        from sim.base.error_report import told
        from sim.commands.asked import names_asked

        return told(error, names_asked(typer.main.get_command(app), sys.argv[1:]))
    except Exception as failed:  # as where memory has run out
        return f"no report of it could be written ({type(failed).__name__})"


def _complain(text: str, kept: str = "") -> None:
    with contextlib.suppress(OSError, OutputError, AttributeError):
        sys.stderr.write(printable(text, kept) + "\n")
        sys.stderr.flush()
