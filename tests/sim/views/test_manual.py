"""The manual as one file: well formed, offline, without script, every page and every link there, no raw HTML."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser

import pytest

from sim.assessment.results import CAUTIONS
from sim.manual import LINK, Page, pages
from sim.views import manual

ALONE = {"meta", "link", "br", "hr", "img", "input"}


class Outline(HTMLParser):
    """What is open, what was wrong, headings, links and names to link to."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []
        self.headings: list[int] = []
        self.to: list[str] = []
        self.ids: list[str] = []
        self.tags: set[str] = set()
        self.loads: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag not in ALONE:
            self.open.append(tag)
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        for name, value in attrs:
            if name == "id":
                self.ids.append(str(value))
            if name == "href" and tag == "a":
                self.to.append(str(value))
            if name in ("src", "srcset", "data") or (name == "href" and tag != "a"):
                self.loads.append(str(value))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)


@pytest.fixture(scope="module")
def text() -> str:
    return manual.manual_page()


@pytest.fixture(scope="module")
def outline(text: str) -> Outline:
    found = Outline()
    found.feed(text)
    return found


def test_it_is_well_formed(outline: Outline) -> None:
    assert outline.wrong == []
    assert outline.open == []
    assert len(outline.ids) == len(set(outline.ids))


def test_it_loads_nothing_and_runs_nothing(text: str, outline: Outline) -> None:
    assert outline.loads[0] == "data:,"
    assert len(outline.loads) > 1  # the pictures of a first part, held in the file
    assert all(one.startswith("data:image/webp;base64,") for one in outline.loads[1:])
    assert "script" not in outline.tags
    assert not re.search(r"url\(|@import|https?:", text.partition("<body>")[0])
    assert "default-src 'none'" in text


def test_every_link_leads_to_a_place_in_it(outline: Outline) -> None:
    assert len(outline.to) > 2 * len(pages())
    assert {to.removeprefix("#") for to in outline.to} <= set(outline.ids)
    assert {one.name for one in pages()} <= {to.removeprefix("#") for to in outline.to}


def test_headings_go_down_by_one(outline: Outline) -> None:
    assert outline.headings[0] == 1
    assert outline.headings.count(1) == 1
    for before, after in zip(outline.headings, outline.headings[1:], strict=False):
        assert after <= before + 1


def test_the_cautions_stand_first(text: str) -> None:
    seen = html.unescape(text)
    for caution in CAUTIONS:
        assert -1 < seen.index(caution) < seen.index('<section class="contents"')


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.name)
def test_all_words_of_a_page_are_there(page: Page, text: str) -> None:
    start = text.index(f'<article class="page" aria-labelledby="{page.name}">')
    body = html.unescape(re.sub(r"<[^>]+>", " ", text[start : text.index("</article>", start)]))
    plain = re.sub(r"^(```.*|!\[.*\)$)", "", page.text, flags=re.MULTILINE)
    for shown in re.findall(r"^!\[(.*)\]\(", page.text, flags=re.MULTILINE):
        assert f'alt="{html.escape(shown)}"' in text
    source = LINK.sub(r"\g<words>", plain)
    flat = re.sub(r"\*\*|[\s`|#-]+", "", body)
    for words in source.split():
        word = re.sub(r"\*\*|[\s`|#-]+", "", words)
        assert word in flat, word


def test_a_tag_in_a_page_is_only_text(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page("bad", "A <b>title", "Is it?", "G", "# A <b>title\n\n<script>alert(1)</script> `<i>`\n")
    monkeypatch.setattr(manual, "pages", lambda: (page,))
    text = manual.manual_page()
    assert "<script" not in text
    assert "&lt;script&gt;" in text
    assert "A &lt;b&gt;title" in text
