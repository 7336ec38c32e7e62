"""Commands that show a setup: pictures, the page in the browser, the file that is handed round."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, NoReturn

import typer

from sim.base.errors import ScenarioError
from sim.base.files import require_place, write_whole
from sim.base.share import Tell
from sim.commands.shared import File, Quick, answers_folder, assessed, leave, progress
from sim.commands.stopping import handled
from sim.commands.streams import say

if TYPE_CHECKING:
    from sim.assessment.results import Assessment
    from sim.base.error_report import Reports
    from sim.views.web.live import First
    from sim.views.web.server import LiveServer


class FilmFormat(StrEnum):
    """Formats of films."""

    webp = "webp"
    gif = "gif"
    mp4 = "mp4"
    png = "png"


def picture(
    file: File,
    folder: Annotated[Path | None, typer.Option("--out", help="folder; default: out/<scenario>")] = None,
    *,
    svg: Annotated[
        bool, typer.Option("--svg", help="every picture as SVG too, lines and words sharp")
    ] = False,
    transparent: Annotated[bool, typer.Option("--transparent", help="no ground behind the solids")] = False,
    width: Annotated[int, typer.Option(min=320, max=6000, help="of a rendered picture, pixels")] = 1280,
    film: Annotated[
        list[FilmFormat] | None,
        typer.Option(
            help="films of boring and work; png: a folder of numbered pictures; give it again for more"
        ),
    ] = None,
    film_width: Annotated[int, typer.Option(min=320, max=1920, help="of a film, pixels")] = 960,
    film_rate: Annotated[int, typer.Option(min=5, max=30, help="frames of a film a second")] = 15,
    film_seconds: Annotated[
        float, typer.Option(min=4.0, max=60.0, help="length of the film of an operation, s")
    ] = 14.0,
    quick: Quick = False,
) -> None:
    """Pictures of everything and of each named view, models (GLB, STL), films if wanted."""
    with progress() as tell:
        assessment = assessed(file, tell, quick=quick)
        place = folder or Path("out") / file.stem
        require_place(place, folder=True)
        from sim.views.film import Shooting
        from sim.views.picture import Wanted, write_pictures

        formats: tuple[Literal["gif", "webp", "mp4", "png"], ...] = tuple(
            dict.fromkeys(one.value for one in film or ())
        )
        shooting = Shooting(film_width, film_rate, film_seconds)
        wanted = Wanted(width, svg, transparent, formats, shooting)
        for path in write_pictures(assessment, place, tell, wanted):
            say(str(path))
    leave(assessment)


def review(
    file: File,
    out: Annotated[Path | None, typer.Option("--out", help="HTML file; default: out/<scenario>.html")] = None,
    *,
    typical: Annotated[
        bool,
        typer.Option(
            "--typical", help="also how far the verdicts hang on what nobody has read off; a minute or more"
        ),
    ] = False,
    quick: Quick = False,
) -> None:
    """One HTML file to hand round: scene, plots, verdicts, assumptions, cautions."""
    with progress() as tell:
        assessment = assessed(file, tell, quick=quick, written=True)
        path = out or Path("out") / f"{file.stem}.html"
        require_place(path, folder=False)
        if typical:
            from sim.uncertainty.typical import rests_on
            from sim.views.review import write_review
            from sim.views.typical import typical_table

            write_review(assessment, path, tell, typical_table(*rests_on(file, assessment.scenario, tell)))
        else:
            from sim.views.kept_page import kept_review

            html = kept_review(answers_folder(), file, assessment, tell)
            write_whole(path, html.encode("utf-8"))
    from sim.terminal.assessment import headline

    say(headline(assessment))
    say(str(path))
    leave(assessment)


def open_page(
    file: Annotated[
        Path | None,
        typer.Argument(
            help="scenario file (TOML); left out: begin one in this folder, by a form", show_default=False
        ),
    ] = None,
    *,
    window: Annotated[
        bool, typer.Option("--window", help="a window of its own instead of the browser; needs a screen")
    ] = False,
    port: Annotated[
        int, typer.Option(min=0, max=65535, help="port on this computer; 0 takes a free one")
    ] = 0,
    browser: Annotated[bool, typer.Option(help="open the page in the browser")] = True,
    quick: Quick = False,
) -> None:
    """Show a page in the browser, on this computer only: turn, section, measure, move sliders, edit by forms."""
    if window and file is None:
        raise typer.BadParameter("--window shows a scenario: name its file")
    if window and file is not None:
        with progress() as tell:
            assessment = assessed(file, tell, quick=quick)
        from sim.views.desktop import show

        show(assessment)
        leave(assessment)
    with progress() as tell:
        from sim.base.error_report import Reports

        options = {"--port": port != 0, "--no-browser": not browser, "--quick": quick}
        reports = Reports(("open", *(name for name, stated in options.items() if stated)))
        server = _server(file, port, tell, reports, quick=quick)
    say(server.address)
    say("Only this computer can reach the page. Save the file to reload it; end with Ctrl-C.")
    from sim.views.web.server import shown_in_browser

    with (
        shown_in_browser(server.address) if browser else contextlib.nullcontext(),
        contextlib.suppress(KeyboardInterrupt),
    ):
        server.run()
    handled()  # what the page has to say at its end is said
    if reports.words:  # a page has shown what came of it; the last good figures are not the end
        unsaved = "; changes in the form were not saved" if server.shows and server.unsaved else ""
        say(f"internal error: a mistake of chuckscene itself; {reports.words[0]}{unsaved}", err=True)
        raise typer.Exit(3)
    if server.shows:
        _ended(server)
    if server.mending is not None:
        raise ScenarioError(f"{server.mending.file}: ended before it could be judged")


def _server(file: Path | None, port: int, tell: Tell, reports: Reports, *, quick: bool) -> LiveServer:
    """Return what serves the page of a file, judged, or the forms or questions that lead to one."""
    from sim.commands.making import makers
    from sim.views.web.live import Watched
    from sim.views.web.server import LiveServer

    def watched(path: Path, first: First | None = None) -> Watched:
        return Watched(path, lambda one: assessed(one, lambda _: None, quick=quick), reports, first)

    if file is not None:
        try:
            return LiveServer(
                watched(file, _first(file, tell, quick=quick)), port, makers(quick=quick), reports
            )
        except ScenarioError as error:
            from sim.views.web.mending import Mending, mendable

            if not mendable(file):
                raise
            say(f"{error}; the forms show each mistake at its field")
            return LiveServer(Mending(file, watched), port, makers(quick=quick), reports)
    from sim.commands.first_questions import proposed, questions, wrong
    from sim.views.web.begin import Begin

    return LiveServer(
        Begin(Path(), questions(), wrong, proposed, watched), port, makers(quick=quick), reports
    )


def _first(file: Path, tell: Tell, *, quick: bool) -> First:
    """Return how a file is judged when it is opened: from what the last run on it has left, and told of.

    Later only what an edit reaches is new, and pages ask for states meanwhile, which no file is to hold.
    """
    from sim.views.web.live import First

    def keep(judged: Assessment, make: Callable[[], str]) -> str:
        from sim.views.kept_page import kept_scene

        tell("page")
        return kept_scene(answers_folder(), file, judged, make)

    return First(lambda one: assessed(one, tell, quick=quick, written=True), keep)


def _ended(server: LiveServer) -> NoReturn:
    """End with what the file says, as it was saved last.

    Raises
    ------
    ScenarioError
        If it has a mistake, was not judged any more, or what was typed was not saved.
    """
    shown, file = server.watched.shown, server.watched.file
    if server.unsaved:
        raise ScenarioError(
            f"{file}: ended with changes in the form that were not saved; the file is as it was"
        )
    if shown.judging:
        raise ScenarioError(f"{file}: ended before the file as it was saved last had been judged")
    if shown.mistake:  # the last good scene is not what the file says now
        raise ScenarioError(shown.mistake)
    leave(shown.ready.assessment)
