"""What several commands share: the file argument, the progress line, one assessment with its file named in errors."""

from __future__ import annotations

import gc
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from sim.base.errors import ChuckSceneError, OutputError, after
from sim.base.garbage import left_alone
from sim.base.late import lighter_libraries
from sim.base.printable import printable
from sim.base.share import Tell, shares_to
from sim.commands.streams import say

if TYPE_CHECKING:
    from sim.assessment.results import Assessment

FIRST, EACH = 10.0, 5.0  # s of the processor before a line says what is going on, and between two lines
LOOK = 0.5  # s
Quick = Annotated[
    bool,
    typer.Option(
        "--quick",
        help="contact by elastic columns, the order of magnitude only, instead of finite elements "
        "(seconds for a new part, then cached)",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="one JSON object instead of the table")]
File = Annotated[Path, typer.Argument(help="scenario file (TOML)", show_default=False)]


@contextmanager
def progress() -> Iterator[Tell]:
    """Show the running stage on a terminal; where the output is piped, a line each few seconds of work."""
    if not sys.stderr.isatty():
        with told_in_lines() as tell:
            yield tell
        return
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    with Progress(
        SpinnerColumn(),
        TextColumn("{task.description}", markup=False),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        task, stage = bar.add_task("reading", total=None), ["reading"]

        def tell(now: str, share: str = "") -> None:
            stage[0] = now
            bar.update(task, description=printable(f"{now}, {share} of it" if share else now))

        with shares_to(lambda share: tell(stage[0], share)):
            yield tell


@contextmanager
def told_in_lines(first: float | None = None, each: float = EACH) -> Iterator[Tell]:
    """Say in a line of standard error what is going on, once a command has worked for some seconds and ever again.

    Seconds of the processor count: a command that waits for others, or for a busy computer, is not slow.

    Parameters
    ----------
    first, each : float
        s of the processor before the first line (`FIRST` where nothing is said), and between two of them.
    """
    due_first = FIRST if first is None else first
    stage, share, ended = ["reading"], [""], threading.Event()
    begin = time.process_time()

    def watch() -> None:
        due = due_first
        while not ended.wait(LOOK):
            spent = time.process_time() - begin
            if spent >= due:
                due = spent + each
                with suppress(OSError, ValueError, OutputError):
                    say(f"still at work, {spent:.0f} s: {stage[0]}{share[0]}", err=True)

    watching = threading.Thread(target=watch, daemon=True)

    def tell(now: str) -> None:
        stage[0], share[0] = now, ""

    watching.start()
    try:
        with shares_to(lambda now: share.__setitem__(0, f", {now} of it")):
            yield tell
    finally:
        ended.set()
        watching.join()


@contextmanager
def loading() -> Iterator[None]:
    """Look for no garbage in a command's process while it loads libraries, nor among what they leave.

    A thousand modules stay until the end; to look through them again and again is a tenth of a check. What libraries
    load and it does not ask is left until then.
    """
    if (
        "sim.assessment.stages" in sys.modules or not gc.isenabled()
    ):  # loaded: what is there is not ours to set aside
        yield
        return
    lighter_libraries()
    with left_alone():
        try:
            yield
        finally:
            gc.freeze()
            lighter_libraries()  # those that are loaded now


def assessed(
    file: Path,
    tell: Tell,
    *,
    quick: bool,
    changes: Mapping[str, Any] | None = None,
    written: bool = False,
) -> Assessment:
    """Return the assessment of a file, with some of its fields changed if asked for.

    With `written` it reads what an earlier run on this file has worked out of the very same values, and leaves its own.

    Raises
    ------
    ChuckSceneError
        One sentence that names the file.
    """
    with loading():
        from sim.assessment.stages import assess
        from sim.base.answers import answers_in
        from sim.setup.loading import load

    tidied()
    answers = answers_folder()
    try:
        if not written:
            return assess(load(file, changes), tell, "foundation" if quick else "elastic")
        with answers_in(answers, str(file.absolute()), str(quick)):
            return assess(load(file, changes), tell, "foundation" if quick else "elastic")
    except ChuckSceneError as error:
        message = str(error)
        raise after("" if message.startswith(str(file)) else f"{file}: ", error) from None


def answers_folder() -> Path:
    """Return the folder in which commands leave what the next run on a file may read."""
    from sim.base import user_cache  # what finds the folder is loaded where it is asked

    return user_cache.answers_folder()


def tidied() -> None:
    """Take away what killed runs left in the caches: this one may find all that it needs and write nothing."""
    from sim.base.beside import sweep
    from sim.base.user_cache import contact_folder

    for folder in (contact_folder(), answers_folder()):
        sweep(folder)


def status_of(assessment: Assessment) -> int:
    """Return the exit status of a judged setup: 1 if some verdict fails, else 0."""
    return 1 if assessment.status == "fail" else 0


def leave(assessment: Assessment) -> NoReturn:
    """End with the exit status of a judged setup."""
    raise typer.Exit(status_of(assessment))
