"""A page from the last run: the same to the byte where nothing has changed, drawn anew where anything has."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import grimp
import pytest

from sim.assessment.results import Assessment
from sim.base import answers
from sim.base.kept import forget
from sim.views import kept_page, kept_pieces, review, silent
from sim.views.web import live

NAMES = {"skfem": "scikit-fem", "vtkmodules": "vtk", "PIL": "pillow", "markdown_it": "markdown-it-py"}
# What reads scenarios and folders and parses command lines draws nothing: what they read is in the question. No page
# holds a film.
AROUND = {"pydantic", "pydantic_core", "platformdirs", "typing_extensions", "typer", "imageio_ffmpeg"}


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[Assessment]:
    """The setups whose page was drawn; drawing is short here."""
    made: list[Assessment] = []

    def page(assessment: Assessment, *_: object) -> str:
        made.append(assessment)
        return f"<p>{assessment.scenario.title} {len(made)}</p>"

    monkeypatch.setattr(review, "page", page)
    monkeypatch.setattr("sim.views.render.refused", lambda: False)
    return made


def ask(folder: Path, judged: Assessment, file: str = "a.toml") -> str:
    """What a process that has the folder only is given."""
    return kept_page.kept_review(folder, Path(file), judged, silent)


def test_an_unchanged_setup_is_drawn_once(
    tmp_path: Path, drawn: list[Assessment], quickly_judged: Callable[[str], Assessment]
) -> None:
    judged = quickly_judged("cast_hub_on_ring")
    first = ask(tmp_path, judged)
    assert ask(tmp_path, judged) == first
    assert len(drawn) == 1
    assert ask(tmp_path, judged, "b.toml") != first, "another file has a page of its own"


def test_the_page_kept_is_the_page_drawn(
    tmp_path: Path, quickly_judged: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    judged = quickly_judged("cast_hub_on_ring")
    first = ask(tmp_path, judged)
    monkeypatch.setattr(review, "page", lambda *_: pytest.fail("drawn again"))
    assert ask(tmp_path, judged) == first
    monkeypatch.undo()
    forget()
    assert review.page(judged) == first


def test_another_setup_is_drawn_anew(
    tmp_path: Path,
    drawn: list[Assessment],
    quickly_judged: Callable[[str], Assessment],
) -> None:
    judged = quickly_judged("cast_hub_on_ring")
    ask(tmp_path, judged)
    other = quickly_judged("cast_hub_on_plug")
    assert other.scenario.title in ask(tmp_path, other)
    ask(tmp_path, judged)
    assert len(drawn) == 3, "only the last of a file is kept"


def test_other_code_other_files_and_other_libraries_draw_anew(
    tmp_path: Path,
    drawn: list[Assessment],
    quickly_judged: Callable[[str], Assessment],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    judged = quickly_judged("cast_hub_on_ring")
    ask(tmp_path, judged)
    for place in ("sim.base.answers.maker", "sim.views.kept_page.drawn_with"):
        with monkeypatch.context() as patch:
            patch.setattr(place, lambda: "other")
            ask(tmp_path, judged)
        ask(tmp_path, judged)
    assert len(drawn) == 5


def test_a_page_without_pictures_is_not_kept(
    tmp_path: Path,
    drawn: list[Assessment],
    quickly_judged: Callable[[str], Assessment],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A driver may be installed before the next run."""
    judged = quickly_judged("cast_hub_on_ring")
    monkeypatch.setattr("sim.views.render.refused", lambda: True)
    assert ask(tmp_path, judged) != ask(tmp_path, judged)
    assert len(drawn) == 2


@pytest.mark.parametrize("share", [0.0, 0.3, 0.7, 1.0])
def test_a_damaged_page_is_drawn_anew(
    tmp_path: Path, drawn: list[Assessment], quickly_judged: Callable[[str], Assessment], share: float
) -> None:
    judged = quickly_judged("cast_hub_on_ring")
    ask(tmp_path, judged)
    (path,) = tmp_path.iterdir()
    whole = path.read_bytes()
    at = round(share * (len(whole) - 1))
    path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
    ask(tmp_path, judged)
    assert len(drawn) == 2


@pytest.mark.parametrize("name", ["templates/review.html", "web/assets/linear.js", "templates/review.css"])
def test_a_planted_change_of_a_template_draws_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    folder = tmp_path / "views"
    shutil.copytree(Path(kept_pieces.__file__).parent, folder)
    monkeypatch.setattr(kept_pieces, "__file__", str(folder / "kept_pieces.py"))
    before = kept_pieces.drawn_with.__wrapped__()
    assert kept_pieces.drawn_with.__wrapped__() == before
    path = folder / name
    path.write_text(path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    assert kept_pieces.drawn_with.__wrapped__() != before


def test_another_version_of_a_library_that_draws_draws_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    now, known = kept_pieces.drawn_with.__wrapped__(), answers.version
    for library in kept_pieces.DRAWING:
        with monkeypatch.context() as patch:
            patch.setattr(
                kept_pieces, "version", lambda name, other=library: known(name) + "x" * (name == other)
            )
            assert kept_pieces.drawn_with.__wrapped__() != now


def test_every_library_that_a_page_reaches_is_named() -> None:
    graph = grimp.build_graph("sim", "meshes", include_external_packages=True, cache_dir=None)
    reached: set[str] = set()
    for page in ("sim.views.review", "sim.views.comparison"):
        reached |= graph.find_upstream_modules(page)
    external = {name.split(".")[0] for name in reached} - {"sim", "meshes"} - sys.stdlib_module_names - AROUND
    assert {NAMES.get(name, name) for name in external} <= {*answers.LIBRARIES, *kept_pieces.DRAWING}


def test_a_page_reads_no_file_but_its_own(
    quickly_judged: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What stood in another file when it was drawn would be no part of the question."""
    judged, opened = quickly_judged("cast_hub_by_program"), []
    own_open = Path.open

    def seen(self: Path, *args: object, **kwargs: object) -> object:
        opened.append(self)
        return own_open(self, *args, **kwargs)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", seen)
    forget()
    review.page(judged)
    own = Path(answers.__file__).parents[1]
    assert all(own in path.parents or path.suffix == ".npz" for path in opened), opened


def test_the_scene_kept_is_the_scene_made(
    tmp_path: Path, quickly_judged: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A page that is opened again is the same to the byte, with nothing of it made anew."""
    judged = quickly_judged("valve_bonnet_first_side")

    def keep(one: Assessment, make: Callable[[], str]) -> str:
        return kept_page.kept_scene(tmp_path, Path("a.toml"), one, make)

    plain, first = live._shown(judged, 1), live._shown(judged, 1, keep)
    monkeypatch.setattr(live, "scene_data", lambda *_: pytest.fail("made again"))
    again = live._shown(judged, 1, keep)
    assert plain.page == first.page == again.page
    assert plain.scene == first.scene == again.scene
