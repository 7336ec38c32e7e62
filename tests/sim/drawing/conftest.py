"""Sheets of the shipped scenarios, and what a reader of the written files finds in them."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from xml.etree import ElementTree

import ezdxf
import pytest

from sim.assessment.results import Assessment
from sim.drawing.asked import Asked
from sim.drawing.drawing import Subject, drawing
from sim.drawing.primitives import Sheet

SVG = "{http://www.w3.org/2000/svg}"
KINDS = ("length", "diameter", "half diameter", "radius")


@dataclass(frozen=True)
class Read:
    """A dimension as a file has it: its kind, its number, what the tips of its arrows span, in the sheet's units."""

    kind: str
    number: float
    spans: float


@pytest.fixture(scope="session")
def sheet_of(quickly_judged: Callable[[str], Assessment]) -> Callable[..., Sheet]:
    """Draw a shipped scenario, each sheet only once in a run."""

    @cache
    def drawn(name: str, subject: Subject, asked: Asked | None = None, stage: str | None = None) -> Sheet:
        return drawing(quickly_judged(name), subject, asked or Asked(), stage)

    return drawn


@pytest.fixture(scope="session")
def read_svg() -> Callable[[bytes], list[Read]]:
    return lambda content: list(_from_svg(content))


@pytest.fixture(scope="session")
def read_dxf() -> Callable[[bytes], list[Read]]:
    return lambda content: list(_from_dxf(content))


def _number(words: str) -> float:
    found = re.fullmatch(r"Ø?(\d+(?:\.\d+)?)", words)
    assert found, words
    return float(found[1])


def _from_svg(content: bytes) -> Iterator[Read]:
    root = ElementTree.fromstring(content)  # noqa: S314 - written by this very run
    over, under = root.attrib["data-scale"].split(":")
    scale = float(over) / float(under)
    axis, plane = float(root.attrib["data-axis"]), float(root.attrib["data-serrated-plane"])
    for group in root.iter(f"{SVG}g"):
        if group.attrib["class"] not in KINDS:
            continue
        words = "".join(text.text or "" for text in group.iter(f"{SVG}text"))
        heads = [p.attrib["d"] for p in group.iter(f"{SVG}path") if "filled" in p.attrib["class"].split()]
        tips = [tuple(map(float, re.findall(r"-?[\d.]+", head)[:2])) for head in heads]
        yield Read(
            group.attrib["class"], _number(words), _span(group.attrib["class"], tips, (plane, axis)) / scale
        )


def _span(kind: str, tips: list[tuple[float, ...]], axis: tuple[float, float]) -> float:
    """Return what the arrows of a dimension span; half a diameter counts from the axis, a radius from its point."""
    if kind == "half diameter":
        (tip,) = tips
        return 2.0 * abs(tip[1] - axis[1])
    if kind == "radius":
        (tip,) = tips
        return 2.0 * math.dist(tip, axis)
    first, second = tips
    return math.dist(first, second)


def _from_dxf(content: bytes) -> Iterator[Read]:
    drawing = ezdxf.read(io.StringIO(content.decode("utf-8")))
    for _, group in drawing.groups:
        kind, _, said = group.dxf.description.partition(": ")
        if kind not in KINDS:
            continue
        tips = [(e.dxf.vtx0.x, e.dxf.vtx0.y) for e in group if e.dxftype() == "SOLID"]
        (words,) = [e.plain_text() for e in group if e.dxftype() == "TEXT"]
        assert words == said
        yield Read(kind, _number(words), _span(kind, tips, (0.0, 0.0)))
