"""The manual in the terminal."""

from __future__ import annotations

import re
from itertools import groupby
from typing import ClassVar

from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.constrain import Constrain
from rich.markdown import CodeBlock, Heading, ImageItem, Markdown, MarkdownElement, TableElement
from rich.measure import Measurement
from rich.padding import Padding
from rich.style import Style
from rich.table import Table
from rich.text import Text
from rich.theme import Theme

from sim.manual import LINK, Page
from sim.terminal.assessment import cautions, printed

WIDEST = 100  # characters: longer lines of prose are hard to follow
# No colours: they are chosen for dark terminals, and words carry all.
PLAIN = Theme(
    {
        "markdown.h1": Style(bold=True, underline=True),
        "markdown.h2": Style(bold=True),
        "markdown.h3": Style(bold=True, italic=True),
        "markdown.code": Style(bold=True),
        "markdown.code_block": Style(),
        "markdown.item.bullet": Style(),
        "markdown.table.border": Style(dim=True),
        "markdown.table.header": Style(bold=True),
    }
)


class _Left(Heading):
    """A heading at the left margin."""

    def __rich_console__(self, _console: Console, _options: ConsoleOptions) -> RenderResult:
        yield self.text


class _AsTyped(CodeBlock):
    """Lines of a file or a shell, set in and without a ground of their own."""

    def __rich_console__(self, _console: Console, _options: ConsoleOptions) -> RenderResult:
        yield Padding(Text(str(self.text).rstrip()), (0, 0, 0, 4))


class _Rows(TableElement):
    """A table whose rows stand apart where words of a cell go on in a next line."""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for part in super().__rich_console__(console, options):
            if isinstance(part, Table):
                whole = options.update(max_width=10_000)
                part.leading = int(Measurement.get(console, whole, part).maximum > options.max_width)
            yield part


class _Picture(ImageItem):
    """A picture by what it shows, in words."""

    def __rich_console__(self, _console: Console, _options: ConsoleOptions) -> RenderResult:
        yield Text(f"[picture, in chuckscene manual --html: {self.text.plain}]", style="italic")


class _Manual(Markdown):
    elements: ClassVar[dict[str, type[MarkdownElement]]] = Markdown.elements | {
        "heading_open": _Left,
        "fence": _AsTyped,
        "code_block": _AsTyped,
        "table_open": _Rows,
        "image": _Picture,
    }

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        with console.use_theme(PLAIN):
            yield from super().__rich_console__(console, options)


def show_page(page: Page) -> None:
    """Print one page."""
    printed(_narrow(page_text(page)), width=WIDEST)


def show_pages(pages: tuple[Page, ...]) -> None:
    """Print the list of pages."""
    printed(_narrow(page_list(pages)), width=WIDEST)


def page_text(page: Page) -> Markdown:
    """Return a page; the name of another one stands where it links to it."""
    return _Manual(LINK.sub(_named, page.text), hyperlinks=False)


def _named(link: re.Match[str]) -> str:
    words, name = link["words"], link["page"]
    return f"`{words}`" if words.lower() == name else f"{words} (page `{name}`)"


def page_list(pages: tuple[Page, ...]) -> Group:
    """Return the pages' names with the question that each answers, under the headings of the index."""
    widest = max(len(page.name) for page in pages)
    parts: list[RenderableType] = [Text("Manual of chuckscene", style="bold underline")]
    for heading, group in groupby(pages, lambda page: page.group):
        rows = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
        rows.add_column(min_width=widest, no_wrap=True)
        rows.add_column()
        for page in group:
            rows.add_row(Text(page.name, style="bold"), page.summary)
        parts += [Text(""), Text(heading, style="bold"), Padding(rows, (0, 0, 0, 2))]
    more = (
        "`chuckscene manual PAGE` shows one; `chuckscene manual --html` writes all of them as one HTML file."
    )
    return Group(*parts, Text(""), Text(more), *cautions())


def _narrow(part: RenderableType) -> Constrain:
    return Constrain(part, WIDEST)
