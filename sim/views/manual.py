"""The manual as one HTML file: all pages and their links, no script, nothing from outside, for screen, phone, paper."""

from __future__ import annotations

import base64
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import jinja2
from markdown_it import MarkdownIt
from markdown_it.renderer import RendererHTML
from markdown_it.token import Token
from markdown_it.utils import EnvType, OptionsDict
from markupsafe import Markup, escape

from sim.assessment.results import CAUTIONS
from sim.base.files import write_whole
from sim.manual import Page, pages, picture

WORDY = 3  # columns of a table that still reads on a phone; one with more scrolls
LONGEST_WORD = 24  # characters of a name or option that no line breaks, as after its hyphens
_NOT_IN_A_NAME = re.compile(r"[^a-z0-9]+")


class _Renderer(RendererHTML):
    """HTML in which wide tables and long lines of code scroll by themselves, by the keyboard, too."""

    def table_open(self, tokens: Sequence[Token], i: int, _options: OptionsDict, _env: EnvType) -> str:
        rest = [token.type for token in tokens[i:]]
        columns = rest[: rest.index("tr_close")].count("th_open")
        kind = ' class="figures"' if columns > WORDY else ""
        return f'<div class="scroll" role="group" aria-label="table" tabindex="0"><table{kind}>\n'

    def table_close(self, _tokens: Sequence[Token], _i: int, _options: OptionsDict, _env: EnvType) -> str:
        return "</table></div>\n"

    def fence(self, tokens: Sequence[Token], idx: int, _options: OptionsDict, _env: EnvType) -> str:
        return f'<pre tabindex="0"><code>{escape(tokens[idx].content)}</code></pre>\n'

    def code_block(self, tokens: Sequence[Token], idx: int, options: OptionsDict, env: EnvType) -> str:
        return self.fence(tokens, idx, options, env)

    def code_inline(self, tokens: Sequence[Token], idx: int, _options: OptionsDict, _env: EnvType) -> str:
        content = tokens[idx].content
        kind = ' class="word"' if len(content) <= LONGEST_WORD and " " not in content else ""
        return f"<code{kind}>{escape(content)}</code>"

    def th_open(self, _tokens: Sequence[Token], _i: int, _options: OptionsDict, _env: EnvType) -> str:
        return '<th scope="col">'


@dataclass(frozen=True, slots=True)
class Section:
    """One page as it stands in the file."""

    name: str
    title: str
    summary: str
    body: Markup


def write_manual(path: Path) -> Path:
    """Write all pages as one HTML file.

    Raises
    ------
    OutputError
        If the file cannot be written; nothing half-written is left.
    """
    return write_whole(path, manual_page().encode("utf-8"))


def manual_page() -> str:
    """Return all pages as one HTML document."""
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("sim.views", "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    every = pages()
    groups = [(name, [_section(page) for page in some]) for name, some in groupby(every, lambda p: p.group)]
    return environment.get_template("manual.html").render(groups=groups, cautions=CAUTIONS)


def _section(page: Page) -> Section:
    reader = MarkdownIt("commonmark", {"html": False, "xhtmlOut": False}, renderer_cls=_Renderer).enable(
        "table"
    )
    tokens = reader.parse(page.text)[3:]  # without its title: heading, its words, end of heading
    _anchor(tokens, page.name)
    for token in tokens:
        for child in token.children or ():
            if child.type == "link_open":
                child.attrSet("href", re.sub(r"^([a-z]+)\.md$", r"#\1", str(child.attrGet("href"))))
            if child.type == "image":
                child.attrSet("src", _within(str(child.attrGet("src"))))
    html = reader.renderer.render(tokens, reader.options, {})
    return Section(page.name, page.title, page.summary, Markup(html))  # noqa: S704  (raw HTML is off)


def _within(name: str) -> str:
    """Return a picture beside the pages as an address that holds it."""
    return "data:image/webp;base64," + base64.b64encode(picture(name)).decode("ascii")


def _anchor(tokens: list[Token], page: str) -> None:
    """Give each heading a name to link to, and put it one level below the page's own."""
    for place, token in enumerate(tokens):
        if token.type == "heading_open":
            words = _NOT_IN_A_NAME.sub("-", tokens[place + 1].content.lower()).strip("-")
            token.attrSet("id", f"{page}-{words}")
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{int(token.tag[1]) + 1}"
