"""Commands that weigh layouts: compare, window, search, shelf."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.base.errors import ScenarioError
from sim.base.files import require_place, write_whole
from sim.base.share import Tell
from sim.commands.shared import AsJson, File, Quick, answers_folder, assessed, progress
from sim.commands.streams import say, say_object

if TYPE_CHECKING:
    from sim.layouts.grip_height import GripHeight
    from sim.layouts.layout import Layout
    from sim.layouts.shelf import ShelvedSet
    from sim.layouts.window import Window

JOINED = "+"  # between the files of one layout


def compare(
    layouts: Annotated[
        list[str],
        typer.Argument(
            help="scenario files, one a layout; FILE+FILE for a layout of several sets of jaws",
            show_default=False,
        ),
    ],
    also: Annotated[
        list[str] | None,
        typer.Option(
            "--also",
            help="one more layout: a name and changes to the first file, as in "
            "'tall: soft_jaw.height=70 mm; soft_jaw.screws.counterbore_depth=48 mm'",
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="HTML page; default: out/compare.html, none with --json")
    ] = None,
    *,
    as_json: AsJson = False,
    quick: Quick = False,
) -> None:
    """Layouts side by side: figures, verdicts, pictures from the same camera, what decides.

    Exit status 1 if every layout has a failing verdict.
    """
    from sim.layouts import comparison

    page = out or (None if as_json else Path("out") / "compare.html")
    if page is not None:
        require_place(page, folder=False)
    with progress() as tell:
        judged = _judged(layouts, also or [], tell, quick=quick)
        found = comparison.compare(judged)
        if page is not None:
            from sim.views.kept_page import kept_comparison

            html = kept_comparison(answers_folder(), [*layouts, *(also or [])], found, tell)
            write_whole(page, html.encode("utf-8"))
    if as_json:
        from sim.report.layouts import comparison_object

        say_object(comparison_object(found))
    else:
        from sim.terminal.layouts import show_comparison

        show_comparison(found)
        say(str(page))
    raise typer.Exit(0 if found.any_fit else 1)


def window(
    file: File,
    out: Annotated[
        Path | None, typer.Option("--out", help="folder of the plots (PNG); default: out, none with --json")
    ] = None,
    *,
    svg: Annotated[bool, typer.Option("--svg", help="the plots as SVG too")] = False,
    as_json: AsJson = False,
    quick: Quick = False,
) -> None:
    """Pressure against speed: where every operation holds, stays round and keeps the limits; what ends that.

    The same for boring, with the limits of its fixture. Every point that is named was judged by the full check, with
    the values as printed. Exit status 1 if an operation, or any verdict, fails as stated.
    """
    from sim.layouts.boring_window import boring_window
    from sim.layouts.confirmed_window import confirmed_boring_window, confirmed_window
    from sim.layouts.grip_height import grip_height
    from sim.layouts.window import window as found_window

    folder = out or (None if as_json else Path("out"))
    if folder is not None:
        require_place(folder, folder=True)
    with progress() as tell:
        assessment = assessed(file, tell, quick=quick)
        found: list[tuple[Window, GripHeight | None]] = [
            (
                confirmed_window(assessment, k, found_window(assessment, k, tell), tell),
                grip_height(assessment, k),
            )
            for k in range(len(assessment.operations))
        ]
        boring = boring_window(assessment)
        found += [] if boring is None else [(confirmed_boring_window(assessment, boring, tell), None)]
        written = [] if folder is None else _plots(found, folder, file.stem, svg=svg)
    if as_json:
        from sim.report.layouts import window_object

        say_object(window_object(found))
    else:
        from sim.terminal.layouts import show_windows

        show_windows(found, assessment.scenario.title, assessment.scenario.origin)
        for path in written:
            say(str(path))
    outside = any(shown.stated.margin < 1.0 - 1e-9 and not shown.warns_only for shown, _ in found)
    raise typer.Exit(1 if outside or assessment.status == "fail" else 0)


def _plots(
    found: list[tuple[Window, GripHeight | None]], folder: Path, name: str, *, svg: bool
) -> list[Path]:
    from sim.views.figure import as_png, as_svg_file
    from sim.views.window import window_figure

    written = []
    for number, (shown, height) in enumerate(found, start=1):
        which = number if height is not None else shown.operation
        place = folder / f"{name}-window-{which}.png"
        written.append(write_whole(place, as_png(window_figure(shown, height))))
        if svg:
            text = as_svg_file(window_figure(shown, height))
            written.append(write_whole(place.with_suffix(".svg"), text.encode("utf-8")))
    return written


def search(
    file: Annotated[
        Path, typer.Argument(help="search file (TOML): a scenario and ranges", show_default=False)
    ],
    tries: Annotated[int, typer.Option("--tries", min=2, max=100_000, help="layouts to judge at most")] = 120,
    write: Annotated[
        Path | None, typer.Option("--write", help="the scenario with the best layout, as a new file")
    ] = None,
    *,
    as_json: AsJson = False,
    quick: Quick = False,
) -> None:
    """Layouts that pass with most margin, within the ranges of a search file; or what blocks them, and by how much.

    All are judged with the quick contact model; the ones shown again by finite elements, unless --quick, and by the
    full check. Exit status 1 if none passes.
    """
    from sim.layouts import search as searching
    from sim.layouts.space import space
    from sim.scenario import read_search
    from sim.scenario.scenario import full_tables
    from sim.setup.loading import load

    if write is not None:
        require_place(write, folder=False)
    with progress() as tell:
        wanted = read_search(file)
        path = wanted.scenario_file
        scenario = load(path)
        try:
            within = space(wanted, scenario)
        except ScenarioError as error:
            raise ScenarioError(f"{file}: {error}") from None
        tables = full_tables(path)
        found = searching.search(tables, path, within, tries, progress=tell)
        if found.tried > found.refused:
            found = searching.confirmed(found, tables, path, "foundation" if quick else "elastic", tell)
    if as_json:
        from sim.report.layouts import search_object

        say_object(search_object(found))
    else:
        from sim.terminal.layouts import show_search

        show_search(found, scenario.title, tuple(o.name for o in scenario.operations))
    if write is not None and found.front:
        from sim.layouts.written import with_values

        text = with_values(path, found.front[0].changes, write.parent)
        say(str(write_whole(write, text.encode("utf-8"))), err=as_json)
    raise typer.Exit(0 if found.front else 1)


def shelf(
    folder: Annotated[Path, typer.Argument(help="folder of jaw sets (TOML)", show_default=False)],
    file: File,
    write: Annotated[
        Path | None, typer.Option("--write", help="the scenario with the best set's jaws, as a new file")
    ] = None,
    *,
    as_json: AsJson = False,
    quick: Quick = False,
) -> None:
    """Jaw sets on the shelf: which can be bored again for a part with the least metal turned away.

    Exit status 1 if none can.
    """
    from sim.layouts.shelf import fit_shelf
    from sim.scenario import read_shelf
    from sim.setup.loading import load

    if write is not None:
        require_place(write, folder=False)
    with progress() as tell:
        scenario = load(file)
        fits = fit_shelf(scenario, read_shelf(folder), "foundation" if quick else "elastic", tell)
    if as_json:
        from sim.report.layouts import shelf_object

        say_object(shelf_object(fits))
    else:
        from sim.terminal.layouts import show_shelf

        show_shelf(fits, scenario.title)
    if write is not None and fits[0].fits:
        say(str(write_whole(write, _with_jaws(file, fits[0], write.parent).encode("utf-8"))), err=as_json)
    raise typer.Exit(0 if fits[0].fits else 1)


def _with_jaws(file: Path, fit: ShelvedSet, folder: Path) -> str:
    """Return the scenario file with the jaws of a set in it, for a folder."""
    from sim.layouts.written import with_values

    jaw = fit.jaw_set.tables["soft_jaw"]
    return with_values(file, {"soft_jaw": jaw | {"serration_index": fit.serration_index}}, folder)


def _judged(texts: list[str], also: list[str], tell: Tell, *, quick: bool) -> list[Layout]:
    """Return every layout that the command line names, each file judged.

    Raises
    ------
    ScenarioError
        If there are fewer than two layouts.
    """
    from sim.layouts.layout import Layout
    from sim.scenario.changes import changes

    if len(texts) + len(also) < 2:
        raise ScenarioError("compare needs two layouts or more, found one; name a second file or use --also")
    files = [[Path(name) for name in text.split(JOINED)] for text in texts]
    found = []
    for name, paths in zip(_names(files), files, strict=True):
        sets = tuple(assessed(path, _within(tell, path.stem), quick=quick, written=True) for path in paths)
        found.append(Layout(name, sets))
    if also and len(files[0]) > 1:
        raise ScenarioError("--also changes a layout of one file, but the first layout has several")
    for text in also:
        name, colon, rest = text.partition(":")
        if not colon or "=" in name or not name.strip():
            raise ScenarioError(
                f"--also must be a name and changes, as in 'tall: soft_jaw.height=70 mm', found '{text}'"
            )
        wanted = changes(part for part in rest.split(";") if part.strip())
        one = assessed(files[0][0], _within(tell, name), quick=quick, changes=wanted)
        found.append(Layout(_unused(name.strip(), found), (one,)))
    return found


def _within(tell: Tell, name: str) -> Tell:
    return lambda stage: tell(f"{name}: {stage}")


def _names(files: list[list[Path]]) -> list[str]:
    """Return a name for each layout: its files' names less what all begin with, or with their folders if need be."""
    shared = _shared_words([path.stem for paths in files for path in paths])
    plain = [" + ".join(" ".join(_words(path.stem)[shared:]) for path in paths) for paths in files]
    if len(set(plain)) == len(plain):
        return plain
    full = [" + ".join(str(path) for path in paths) for paths in files]
    return full if len(set(full)) == len(full) else [f"{name} ({k})" for k, name in enumerate(full, start=1)]


def _words(stem: str) -> list[str]:
    return stem.replace("_", " ").split() or [stem]


def _shared_words(stems: list[str]) -> int:
    """Return how many first words all names share; at least one word of each is kept."""
    words = [_words(stem) for stem in stems]
    most = min(len(w) for w in words) - 1
    return next((k for k in range(most) if len({w[k] for w in words}) > 1), most)


def _unused(name: str, layouts: list[Layout]) -> str:
    taken = {layout.name for layout in layouts}
    tries = (name if k == 1 else f"{name} ({k})" for k in range(1, len(taken) + 2))
    return next(one for one in tries if one not in taken)
