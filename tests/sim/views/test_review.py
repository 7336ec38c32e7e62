from __future__ import annotations

import html
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from sim.assessment.results import CAUTIONS, Assessment
from sim.uncertainty.typical import End, Rests
from sim.views import render, review
from sim.views.review import LARGEST_PAGE, write_review
from sim.views.typical import NONE, typical_table
from sim.views.wording import measure


class _Outline(HTMLParser):
    """Checks that elements close in order; collects text, tags and addresses."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.addresses: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.addresses += [v or "" for k, v in attrs if k in {"src", "href", "xlink:href", "action", "data"}]
        if tag not in {"meta", "img", "br", "link", "input"}:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in {"meta", "img", "br", "link", "input"}:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


@pytest.fixture(scope="module")
def page(blocked: Assessment, tmp_path_factory: pytest.TempPathFactory, rendering: None) -> str:
    assert rendering is None  # skipped where this computer cannot render
    path = write_review(blocked, tmp_path_factory.mktemp("review") / "review.html")
    assert path.stat().st_size < LARGEST_PAGE
    return path.read_text(encoding="utf-8")


@pytest.fixture
def without_driver(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(render, "_trial", lambda: "the trial ended with signal 11")


def _read(page: str) -> _Outline:
    outline = _Outline()
    outline.feed(page)
    outline.close()
    return outline


def test_page_is_well_formed_and_asks_for_nothing(page: str) -> None:
    outline = _read(page)
    assert outline.open == []
    assert outline.tags.count("script") == 3  # two of data, one of the page's own
    assert all(a.startswith(("#", "data:")) for a in outline.addresses)
    without_names = re.sub(r'xmlns(:\w+)?="[^"]*"', "", page)
    without_names = without_names.replace(
        '"http://www.w3.org/2000/svg"', ""
    )  # the name by which scripts make SVG
    assert "http:" not in without_names
    assert "https:" not in without_names
    assert "@import" not in page
    assert len(re.findall(r' id="([^"]+)"', page)) == len(set(re.findall(r' id="([^"]+)"', page)))


def test_every_verdict_and_caution_is_told_before_or_beside_the_pictures(
    page: str, blocked: Assessment
) -> None:
    text = html.unescape(page)
    for verdict in blocked.verdicts:
        assert verdict.message[1:] in text
        assert verdict.advice[1:] in text
        assert verdict.basis in text
    for caution in CAUTIONS:
        assert caution in text
    assert text.index("Do not run") < text.index("<img")
    assert text.index(CAUTIONS[0]) < text.index("<img")
    assert "✕" in text


def test_status_is_a_word_and_a_symbol(page: str) -> None:
    cells = re.findall(r'<span class="mark (\w+)"><span aria-hidden="true">(.)</span> (\w+)</span>', page)
    assert {("fail", "✕", "fails"), ("pass", "✓", "passes")} <= set(cells)


def test_what_was_not_asked_stands_before_the_verdicts(page: str, blocked: Assessment) -> None:
    """Those that matter in the summary with what they need and their number in the answer; all of them below."""
    head, text = (
        " ".join(html.unescape(part).split())
        for part in (page.partition('<table class="verdicts">')[0], page)
    )
    assert len(blocked.unasked) >= 2
    assert f"{len(blocked.unasked)} questions not asked" in head
    assert all(one.question in head and one.needs in head for one in blocked.unasked)
    for one in blocked.not_judged:
        assert one.question in text
        assert one.needs in text
    shown = page.partition('<section class="openquestions"')[2].partition("<details>")[0]
    assert all(one.question in shown for one in blocked.unasked)


def test_every_picture_is_described(page: str) -> None:
    pictures = re.findall(r"<img [^>]*>", page)
    assert len(pictures) == 7  # the setup cut open, three faces, pressure, the shape, the first touch
    assert all(re.search(r'alt="[^"]{20,}"', picture) for picture in pictures)


def test_defaults_are_listed_as_assumptions(page: str) -> None:
    assert "limits.holding_factor" in page
    assert "chuck.wedge_angle" in page


@pytest.mark.usefixtures("without_driver")
def test_text_of_the_scenario_cannot_become_markup(blocked: Assessment) -> None:
    hostile = '<script>alert("x")</script> & <b>'
    scenario = blocked.scenario.model_copy(update={"title": hostile})
    made = review.page(replace(blocked, scenario=scenario))
    assert 'alert("x")' not in made.replace('\\u003cscript\\u003ealert(\\"x\\")', "")
    assert made.count("<script") == 3
    assert html.escape(hostile, quote=False)[:20] in made.replace("&#34;", '"')


@pytest.mark.usefixtures("without_driver")
def test_without_a_driver_the_page_stands_and_says_so(blocked: Assessment, tmp_path: Path) -> None:
    end = End("0.855", blocked.verdicts[0])
    weighed = typical_table(blocked.verdicts[0], (Rests("chuck.efficiency", "0.95", "default", end, end),))
    made = write_review(blocked, tmp_path / "review.html", typical=weighed).read_text(encoding="utf-8")
    assert "What was not read off" in made
    assert "<code>chuck.efficiency</code></th><td>0.95</td><td>default</td><td>0.855</td>" in made
    assert "As it stands: " in made
    assert "The 3D pictures are left out" in made
    assert "libgl1-mesa-dri" in made
    assert made.count("<img") == 3  # the faces unrolled, which need no driver
    assert _read(made).open == []


def test_where_all_is_read_off_that_is_said(blocked: Assessment) -> None:
    assert typical_table(blocked.verdicts[0], ()) == {"told": NONE, "heads": [], "rows": []}
    refused = End("9 mm", None, refused="chuck.stroke must be less")
    (row,) = typical_table(None, (Rests("chuck.stroke", "6 mm", "typical", refused, refused),))["rows"]
    assert (row["place"], row["status"]) == (["chuck", "stroke"], "fail")
    assert row["cells"][-1] == "refused: chuck.stroke must be less"


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (0.0, "touches", "0 touches"),
        (1381.2, "rpm", "1381 rev/min"),
        (4.336, "um", "4.34 µm"),
        (44.1, "kN", "44.1 kN"),
        (1.5, "", "1.50"),
        (float("inf"), "mm", "no limit"),
        (float("nan"), "um", "–"),
    ],
)
def test_measures_read_as_in_the_shop(value: float, unit: str, said: str) -> None:
    assert measure(value, unit) == said
