"""A setup sheet as a file: PDF, or HTML that prints as the same pages."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path

from sim.drawing.primitives import Sheet

KINDS = (".pdf", ".html")


def written(pages: Sequence[Sheet], path: Path) -> bytes:
    """Return pages as the file of its kind holds them."""
    if path.suffix.lower() == ".pdf":
        from sim.drawing.written_pdf import as_pages

        return as_pages(pages)
    return as_html(pages)


def as_html(pages: Sequence[Sheet]) -> bytes:
    """Return pages as one HTML file: nothing is loaded from elsewhere, and each prints on its own paper."""
    from sim.drawing.written_svg import as_svg

    first = pages[0]
    body = "".join(f'<section class="page">{as_svg(page).decode("utf-8")}</section>' for page in pages)
    style = (
        f"@page{{size:{first.width:g}mm {first.height:g}mm;margin:0}}body{{margin:0;background:#ddd}}"
        ".page{margin:0 auto 8mm;width:fit-content;background:#fff}.page svg{display:block;max-width:100%;height:auto}"
        "@media print{body{background:#fff}.page{margin:0;break-after:page}.page:last-child{break-after:auto}}"
    )
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" '
        f'content="width=device-width"><title>{escape(first.title)}</title><style>{style}</style></head>'
        f"<body>{body}</body></html>\n"
    ).encode()
