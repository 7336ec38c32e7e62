"""A setup sheet as a file: PDF, or HTML that prints as the same pages."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path

from sim.drawing.phrases import Language
from sim.drawing.primitives import Sheet

KINDS = (".pdf", ".html")


def written(
    pages: Sequence[Sheet],
    path: Path,
    attached: Sequence[tuple[str, bytes]] = (),
    language: Language = "en",
    links: Sequence[tuple[str, str]] = (),
) -> bytes:
    """Return pages as the file of its kind holds them, a PDF with files attached to it, each by name and content."""
    if path.suffix.lower() == ".pdf":
        from sim.drawing.written_pdf import as_pages

        return as_pages(pages, attached, language)
    return as_html(pages, language, links)


def as_html(
    pages: Sequence[Sheet], language: Language = "en", links: Sequence[tuple[str, str]] = ()
) -> bytes:
    """Return pages as one HTML file: nothing is loaded from elsewhere, and each prints on its own paper.

    Parameters
    ----------
    pages : sequence of Sheet
    language : {'en', 'de'}
    links : sequence of (str, str)
        Words and address of what goes along with it; they stand above the pages, on the screen only.
    """
    from sim.drawing.written_svg import as_svg

    first = pages[0]
    body = "".join(f'<section class="page">{as_svg(page).decode("utf-8")}</section>' for page in pages)
    named = "".join(f'<a href="{escape(place)}" download>{escape(words)}</a>' for words, place in links)
    along = f'<p class="along">{named}</p>' if named else ""
    style = (
        f"@page{{size:{first.width:g}mm {first.height:g}mm;margin:0}}body{{margin:0;background:#ddd}}"
        ".page{margin:0 auto 8mm;width:fit-content;background:#fff}.page svg{display:block;max-width:100%;height:auto}"
        ".along{margin:0;padding:3mm;text-align:center;font:11pt sans-serif}.along a{margin:0 3mm;color:#024}"
        "@media print{.along{display:none}}"
        "@media print{body{background:#fff}.page{margin:0;break-after:page}.page:last-child{break-after:auto}}"
    )
    return (
        f'<!doctype html><html lang="{language}"><head><meta charset="utf-8"><meta name="viewport" '
        f'content="width=device-width"><title>{escape(first.title)}</title><style>{style}</style></head>'
        f"<body>{along}{body}</body></html>\n"
    ).encode()
