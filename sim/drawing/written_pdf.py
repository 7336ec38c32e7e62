"""A sheet as PDF: one page in scale, its font embedded, its words as text.

It is PDF/A-3b (ISO 19005-3), which may carry files, at the cost of some 4 kB: an sRGB output intent, and what it
says of itself. Tests look for what public rules of a validator (veraPDF) ask of such a file; no validator of
another hand has seen it.
"""

from __future__ import annotations

import logging
import math
from collections.abc import Sequence
from datetime import UTC, datetime
from html import escape
from pathlib import PurePath

from fpdf import FPDF

from sim.drawing.letters import CAPITALS, font_file
from sim.drawing.pens import Pen
from sim.drawing.phrases import Language
from sim.drawing.primitives import Arc, Corners, Line, Primitive, Sheet, Words, flat

FONT = "letters"
POINT = 72.0 / 25.4  # points of 1 mm
CREATOR = "chuckscene"
KINDS = {".toml": "application/toml", ".csv": "text/csv", ".nc": "text/plain", ".dxf": "image/vnd.dxf"}
# A time that means none: the same sheet is the same file, whenever it is written.
NO_TIME = datetime(1970, 1, 1, tzinfo=UTC)


def as_pdf(sheet: Sheet) -> bytes:
    """Return a sheet as a PDF file."""
    return as_pages((sheet,))


def as_pages(
    sheets: Sequence[Sheet], attached: Sequence[tuple[str, bytes]] = (), language: Language = "en"
) -> bytes:
    """Return sheets as the pages of one PDF file, named after the first of them, with files attached to it.

    Parameters
    ----------
    sheets : sequence of Sheet
    attached : sequence of (str, bytes)
        Name and content of each; no name twice.
    language : {'en', 'de'}
        Of its words, for those who have them read aloud.
    """
    first = sheets[0]
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    pdf = FPDF(unit="mm", format=(first.width, first.height), enforce_compliance="PDF/A-3B")
    pdf.set_creation_date(NO_TIME)
    pdf.set_auto_page_break(auto=False)
    pdf.set_margin(0.0)
    pdf.c_margin = 0.0
    pdf.set_title(first.title)
    pdf.set_subject(first.description)
    pdf.set_creator(CREATOR)
    pdf.set_xmp_metadata(_about(first))
    pdf.set_lang(language)
    pdf.add_font(FONT, fname=font_file())
    if any(isinstance(item, Words) and item.bold for sheet in sheets for item in flat(list(sheet.items))):
        pdf.add_font(FONT, style="B", fname=font_file(bold=True))
    for sheet in sheets:
        pdf.add_page(format=(sheet.width, sheet.height))
        pdf.set_font(FONT, size=10.0)
        for item in flat(list(sheet.items)):
            _draw(pdf, item, sheet.height)
    for name, content in attached:
        if content:
            pdf.embed_file(
                bytes=content,
                basename=name,
                modification_date=NO_TIME,
                compress=True,
                mime_type=KINDS.get(PurePath(name).suffix.lower(), "application/octet-stream"),
                associated_file_relationship="Source",
            )
    return bytes(pdf.output())


def _about(sheet: Sheet) -> str:
    """Return what the file says of itself (XMP, ISO 16684-1); the library would put the time of writing into it."""
    title, told = escape(sheet.title), escape(sheet.description)
    return (
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" '
        'xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" '
        'xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">'
        f'<rdf:Description rdf:about="" xmp:CreatorTool="{CREATOR}" xmp:CreateDate="{NO_TIME.isoformat()}" '
        f'xmp:ModifyDate="{NO_TIME.isoformat()}"><pdfaid:part>3</pdfaid:part><pdfaid:conformance>B</pdfaid:conformance>'
        f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>'
        f'<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{told}</rdf:li></rdf:Alt></dc:description>'
        "</rdf:Description></rdf:RDF></x:xmpmeta>"
    )


def _pen(pdf: FPDF, pen: Pen) -> None:
    pdf.set_line_width(pen.width)
    # The library knows one dash and one gap; more go into the page as PDF writes them (ISO 32000, operator d).
    dashes = " ".join(f"{dash * POINT:.4f}" for dash in pen.dashes)
    pdf._out(f"[{dashes}] 0 d")


def _draw(pdf: FPDF, item: Primitive, height: float) -> None:
    if isinstance(item, Words):
        _words(pdf, item, height)
        return
    _pen(pdf, item.pen)
    if isinstance(item, Line):
        pdf.line(item.start[0], height - item.start[1], item.end[0], height - item.end[1])
    elif isinstance(item, Corners):
        points = [(x, height - y) for x, y in item.points]
        pdf.set_fill_color(0)
        pdf.polygon(points, style="F" if item.filled else "D")
    else:
        _arc(pdf, item)


def _arc(pdf: FPDF, arc: Arc) -> None:
    """Draw an arc by Bezier curves of at most 45 deg, which leave a circle by less than a millionth of its radius."""
    count = max(1, math.ceil((arc.end - arc.start) / math.radians(45.0)))
    step = (arc.end - arc.start) / count
    reach = 4.0 / 3.0 * math.tan(0.25 * step) * arc.radius
    x, y = arc.at(arc.start)
    words = [f"{x * POINT:.5f} {y * POINT:.5f} m"]
    for number in range(count):
        turn = arc.start + number * step
        (x0, y0), (x3, y3) = arc.at(turn), arc.at(turn + step)
        x1, y1 = x0 - reach * math.sin(turn), y0 + reach * math.cos(turn)
        x2, y2 = x3 + reach * math.sin(turn + step), y3 - reach * math.cos(turn + step)
        words.append(" ".join(f"{v * POINT:.5f}" for v in (x1, y1, x2, y2, x3, y3)) + " c")
    pdf._out(" ".join([*words, "S"]))


def _words(pdf: FPDF, item: Words, height: float) -> None:
    if not item.words:
        return
    pdf.set_font(FONT, "B" if item.bold else "", item.height / CAPITALS * POINT)
    pdf.set_stretching(100.0 * item.stretch)
    along = {"left": 0.0, "middle": -0.5, "right": -1.0}[item.anchor] * item.width
    x, y = item.at[0], height - item.at[1]
    if item.upwards:
        with pdf.rotation(90.0, x, y):
            pdf.text(x + along, y, item.words)
    else:
        pdf.text(x + along, y, item.words)
