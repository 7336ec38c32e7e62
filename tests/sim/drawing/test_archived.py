"""A PDF for the archive that carries other files (ISO 19005-3).

What is asked stands in public rules of validators: veraPDF's profile 3b for part and conformance (6.6.4) and for the
files' kind, names, relation and list (6.8, tests 1 to 4); an open validator's list (docs.rs, zpdf) for header, ID, no
encryption, fonts, output intent.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree

import pypdfium2
import pypdfium2.raw as pdfium

from sim.drawing.primitives import Sheet, View, Words
from sim.drawing.written_pdf import as_pages

NAMES = {
    "pdfaid": "http://www.aiim.org/pdfa/ns/id/",
    "dc": "http://purl.org/dc/elements/1.1/",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
}
TITLE = "Hub <A> & \"B\" 'Ø 12'"


def made() -> bytes:
    words = (
        Words((20.0, 200.0), "Ø 118 mm", 3.0),
        Words((20.0, 190.0), "19.5 bar", 3.0, bold=True, stretch=0.9),
    )
    sheet = Sheet(TITLE, 210.0, 297.0, View((0.0, 0.0), 1.0), "mm", words, "read <aloud> & kept")
    return as_pages([sheet], [("hub.toml", b'title = "x"\n'), ("shop/jaws.nc", b"%\nM30\n%\n")], "de")


def test_it_says_of_itself_what_it_is() -> None:
    data = made()
    packet = re.search(rb"<x:xmpmeta.*?</x:xmpmeta>", data, re.DOTALL)
    assert packet, "XMP is not compressed, so that every program finds it"
    about = ElementTree.fromstring(packet[0])  # noqa: S314  (written by the function above)
    assert about.findtext(".//pdfaid:part", namespaces=NAMES) == "3"
    assert about.findtext(".//pdfaid:conformance", namespaces=NAMES) == "B"
    assert about.findtext(".//dc:title//rdf:li", namespaces=NAMES) == TITLE
    assert about.findtext(".//dc:description//rdf:li", namespaces=NAMES) == "read <aloud> & kept"
    assert re.search(rb"/OutputIntents \[", data)
    assert b"/S /GTS_PDFA1" in data
    assert b"/DestOutputProfile" in data
    assert data.startswith(b"%PDF-1.7\n%")
    assert re.search(rb"/ID \[<[0-9A-F]{32}><[0-9A-F]{32}>\]", data)
    assert b"/Encrypt" not in data
    assert b"/JavaScript" not in data
    assert data == made()  # no time of writing in it


def test_files_say_what_they_are_to_it() -> None:
    data = made()
    assert len(re.findall(rb"/AFRelationship /Source", data)) == 2
    (listed,) = re.findall(rb"/AF \[([^]]*)\]", data)
    assert listed.count(b" R") == 2
    assert b"/Subtype /application#2Ftoml" in data
    assert b"/Subtype /text#2Fplain" in data
    document = pypdfium2.PdfDocument(data)
    files = [document.get_attachment(k) for k in range(document.count_attachments())]
    assert {one.get_name(): bytes(one.get_data()) for one in files} == {
        "hub.toml": b'title = "x"\n',
        "shop/jaws.nc": b"%\nM30\n%\n",
    }


def test_every_font_is_in_it() -> None:
    document = pypdfium2.PdfDocument(made())
    fonts = [
        pdfium.FPDFTextObj_GetFont(one.raw)
        for one in document[0].get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT])
    ]
    assert len(fonts) == 2
    assert all(pdfium.FPDFFont_GetIsEmbedded(one) == 1 for one in fonts)
    assert document[0].get_textpage().get_text_range().splitlines() == ["Ø 118 mm", "19.5 bar"]
