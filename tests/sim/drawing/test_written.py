"""Files of a drawing: escaped names, paper, embedded font, what a reader is told first."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable
from xml.etree import ElementTree

import ezdxf
import pytest
import shapely

from sim.assessment.results import CAUTIONS, Assessment
from sim.assessment.stages import assess
from sim.drawing.asked import PAPERS, Asked
from sim.drawing.drawing import drawing
from sim.drawing.primitives import Arc, Group, Sheet, Words, flat
from sim.drawing.written_dxf import as_dxf
from sim.drawing.written_pdf import as_pdf
from sim.drawing.written_svg import as_svg

SVG = "{http://www.w3.org/2000/svg}"
NAME = '<b> & "it\'s" %%c ^J \\U+0041 \u202egnp'


@pytest.fixture(scope="module")
def named(varied: Callable[..., object]) -> Assessment:
    """A setup whose names hold what means something in the files' formats."""
    changes = {
        "title": NAME,
        "pockets.0.name": NAME,
        "operations.0.name": NAME,
        "operations.0.pocket": NAME,
    }
    return assess(varied("thin_ring_distorts", changes), contact_model="foundation")


def all_words(sheet: Sheet) -> list[str]:
    return [item.words for item in flat(list(sheet.items)) if isinstance(item, Words) and item.words]


def test_names_are_escaped(named: Assessment) -> None:
    for subject in ("pocket", "jaws", "assembly"):
        sheet = drawing(named, subject, Asked())
        words = all_words(sheet)
        assert "\u202e" not in "".join(words)
        assert any("%%c ^J" in line for line in words)
        root = ElementTree.fromstring(as_svg(sheet))  # noqa: S314 - written by this very run
        assert [text.text for text in root.iter(f"{SVG}text")] == words
        assert {child.tag for child in root.iter()} <= {
            SVG + tag
            for tag in ("svg", "title", "desc", "style", "rect", "g", "line", "path", "circle", "text")
        }
        read = ezdxf.read(io.StringIO(as_dxf(sheet).decode("utf-8")))
        texts = [e.plain_text().replace("\u2060", "") for e in read.modelspace().query("TEXT")]
        assert texts == words
        assert as_pdf(sheet).startswith(b"%PDF-")


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_pdf_has_its_paper_and_its_font(sheet_of: Callable[..., Sheet], paper: str) -> None:
    sheet = sheet_of("thin_ring_distorts", "pocket", Asked(paper))
    content = as_pdf(sheet)
    width, height = (
        float(v) / 72.0 * 25.4 for v in re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", content).groups()
    )
    assert (width, height) == pytest.approx(PAPERS[paper], abs=0.01)
    assert b"/FontFile2" in content
    assert content == as_pdf(sheet)


def test_what_fails_is_told_first_and_largest(
    sheet_of: Callable[..., Sheet], quickly_judged: Callable[[str], Assessment], scenario_name: str
) -> None:
    judged = quickly_judged(scenario_name)
    for subject in ("pocket", "jaws", "assembly"):
        sheet = sheet_of(scenario_name, subject)
        words = [item for item in flat(list(sheet.items)) if isinstance(item, Words)]
        first = max(words, key=lambda w: w.at[1])
        failing = [v for v in judged.verdicts if v.status == "fail"]
        assert (f"{len(failing)} of" in first.words and "fail" in first.words) or not failing
        assert ("pass" in first.words) is (judged.status == "pass")
        if failing:
            assert first.height == max(w.height for w in words if len(w.words) > 1)
            assert failing[0].name in " ".join(all_words(sheet))
        told = " ".join(all_words(sheet))
        assert "NOT RELEASED" in told
        assert all(caution in told for caution in CAUTIONS)


def test_view_from_the_tailstock_stands_by_the_projection(sheet_of: Callable[..., Sheet]) -> None:
    """First angle: what is seen from the right stands on the left; third angle: on the right. So in the sign, too.

    The sign's cone has its small end on the left, and its rings are that end as seen from the left.
    """
    for projection, side in (("first", -1.0), ("third", 1.0)):
        sheet = sheet_of("cast_hub_on_ring", "pocket", Asked(projection=projection))
        circles = [i for i in sheet.items if isinstance(i, Arc) and i.whole]
        screws = [c for c in circles if c.centre[1] > sheet.view.origin[1]]
        rings = [c for c in circles if c not in screws]
        assert all((c.centre[0] - sheet.view.origin[0]) * side > 0.0 for c in screws)
        cone = next(
            i
            for i in sheet.items
            if getattr(i, "points", None) and abs(i.points[0][1] - rings[0].centre[1]) < 4.0
        )
        middle = shapely.MultiPoint(cone.points).centroid.x
        assert all((middle - ring.centre[0]) * side > 0.0 for ring in rings)
        left, right = sorted({round(x, 6) for x, _ in cone.points})
        assert sum(abs(y - rings[0].centre[1]) for x, y in cone.points if math.isclose(x, left)) < sum(
            abs(y - rings[0].centre[1]) for x, y in cone.points if math.isclose(x, right)
        )


def test_chuck_stands_left_of_the_part(sheet_of: Callable[..., Sheet], scenario_name: str) -> None:
    sheet = sheet_of(scenario_name, "assembly")
    middle = {
        group.name: shapely.MultiLineString([(line.start, line.end) for line in group.items]).centroid.x
        for group in sheet.items
        if isinstance(group, Group) and group.kind == "hatching"
    }
    assert middle["chuck body"] < middle["master jaw"] < middle["soft jaw"] < middle["workpiece"]


def test_fixture_is_drawn_while_boring(sheet_of: Callable[..., Sheet]) -> None:
    fixtures = {
        "cast_hub_on_ring": "boring ring",
        "cast_hub_on_plug": "plug",
        "housing_gripped_inside": "outer ring",
    }
    for name, fixture in fixtures.items():
        names = {i.name for i in sheet_of(name, "assembly", None, "boring").items if isinstance(i, Group)}
        assert fixture in names
        assert "workpiece" not in names


def test_taper_has_the_sign_of_its_verdict(
    sheet_of: Callable[..., Sheet], quickly_judged: Callable[[str], Assessment], scenario_name: str
) -> None:
    told = " ".join(all_words(sheet_of(scenario_name, "pocket")))
    for verdict in quickly_judged(scenario_name).verdicts:
        if verdict.key == "jaw_taper_under_grip" and "smaller in diameter at its mouth" in verdict.message:
            assert re.search(r"Taper -[\d.]+ µm: at the mouth smaller", told)
        elif verdict.key == "jaw_taper_under_grip" and "larger in diameter at its mouth" in verdict.message:
            assert re.search(r"Taper \+[\d.]+ µm: at the mouth larger", told)
