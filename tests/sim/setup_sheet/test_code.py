"""Codes on the sheet: the paper gives the setup back, and nothing else passes for one."""

from __future__ import annotations

import hashlib
import json
import shutil
import zlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageFilter

from sim.assessment.results import Assessment
from sim.base.base45 import base45
from sim.base.errors import ScenarioError
from sim.drawing.asked import Asked
from sim.drawing.digest import scenario_digest
from sim.drawing.primitives import Corners, Group
from sim.setup.loading import load
from sim.setup_sheet import code_text, document
from sim.setup_sheet.bundle import Bundle, attachments, bundled, is_inside
from sim.setup_sheet.code_text import KEYS, MOST_CODES, MOST_LETTERS, PREFIX, bundle_of, code_texts
from sim.setup_sheet.codes import SIDE, code_column
from sim.setup_sheet.document import Handed, pages
from sim.setup_sheet.entries import Section
from sim.setup_sheet.written import written

SMALL = Bundle("part", {"title": "a part", "pockets": [{"name": "rim"}]}, (), (), (), "0000 0000 0000")


def laid_out(bundle: Bundle, folder: Path) -> Path:
    folder.mkdir(exist_ok=True)
    for name, data in bundle.laid_out("given_back.toml"):
        place = folder / name
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(data)
    return folder / "given_back.toml"


def framed(content: object) -> str:
    """A code with any content, its check right."""
    data = zlib.compress(json.dumps(content).encode(), 9, wbits=-15)
    return f"{PREFIX}1/1:{hashlib.sha256(data).hexdigest()[:8].upper()}:{base45(data)}:"


def content(**changes: object) -> dict[str, object]:
    found = {"name": "a", "tables": {}, "included": [], "files": [], "apart": [], "digest": ""}
    return {**found, **changes}


def test_every_scenario_comes_back(root: Path, tmp_path: Path, scenario_name: str) -> None:
    """Values, defaults, programs and how its readings were judged: the digest and every value are the same."""
    file = root / "scenarios" / f"{scenario_name}.toml"
    first = load(file)
    codes = code_texts(bundled(file, first))
    assert codes.texts
    assert not codes.apart
    assert all(len(text) <= MOST_LETTERS for text in codes.texts)
    back = bundle_of("\n".join(reversed(codes.texts)), "the code")
    again = load(laid_out(back, tmp_path / "back"))
    assert scenario_digest(again) == scenario_digest(first) == back.digest
    assert again.model_dump(exclude={"include"}) == first.model_dump(exclude={"include"})
    assert [one.judgement for one in again.included] == [one.judgement for one in first.included]


def test_shop_files_stand_in_it_and_the_digest_stays(root: Path, tmp_path: Path) -> None:
    """Where a value was stated is no value: moved into a shop's file it is the same setup."""
    text = (root / "scenarios" / "cast_hub_on_ring.toml").read_text(encoding="utf-8")
    head, _, rest = text.partition("[machine]")
    machine, _, after = rest.partition("\n[chuck]")
    (tmp_path / "shop.toml").write_text("[machine]" + machine, encoding="utf-8")
    file = tmp_path / "hub.toml"
    file.write_text(f'shop_files = ["shop.toml"]\n{head}\n[chuck]{after}', encoding="utf-8")
    scenario = load(file)
    plain = scenario_digest(load(root / "scenarios" / "cast_hub_on_ring.toml"))
    assert scenario_digest(scenario) == plain
    back = bundle_of("".join(code_texts(bundled(file, scenario)).texts), "the code")
    assert "machine" in back.tables
    assert not [name for name, _ in back.laid_out("a.toml")[1:]]
    assert scenario_digest(load(laid_out(back, tmp_path / "back"))) == plain


def test_digest_is_another_with_any_file_that_is_named(root: Path, tmp_path: Path) -> None:
    shutil.copytree(root / "scenarios", tmp_path / "s", ignore=shutil.ignore_patterns("pictures", "studies"))
    file = tmp_path / "s" / "cast_hub_by_program.toml"
    before = scenario_digest(load(file))
    program = tmp_path / "s" / "programs" / "cast_hub_first_side.nc"
    program.write_bytes(program.read_bytes() + b"(x)\n")
    assert scenario_digest(load(file)) != before


def test_a_file_that_is_named_twice_is_carried_once(root: Path, tmp_path: Path) -> None:
    shutil.copytree(root / "scenarios", tmp_path / "s")
    file = tmp_path / "s" / "cast_hub_by_program.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("cast_hub_first_side.nc", "cast_hub_jaws.nc"), encoding="utf-8")
    found = bundled(file, load(file))
    assert [name for name, _ in found.files] == ["programs/cast_hub_jaws.nc"]


def test_a_name_of_one_system_alone_keeps_no_code_from_being_read(root: Path, tmp_path: Path) -> None:
    file = tmp_path / "hub: 2nd side?.toml"
    file.write_bytes((root / "scenarios" / "cast_hub_on_ring.toml").read_bytes())
    (text,) = code_texts(bundled(file, load(file))).texts
    assert bundle_of(text, "the code").name == "setup"


def test_a_file_that_changed_meanwhile_is_noticed(root: Path, tmp_path: Path) -> None:
    file = tmp_path / "hub.toml"
    text = (root / "scenarios" / "cast_hub_on_ring.toml").read_text(encoding="utf-8")
    file.write_text(text, encoding="utf-8")
    judged = load(file)
    file.write_text(text.replace('title = "', 'title = "another ', 1), encoding="utf-8")
    with pytest.raises(ScenarioError, match="has changed"):
        bundled(file, judged)


@pytest.mark.parametrize("name", ["cast_hub_gauged", "cast_hub_by_program"])
def test_printed_code_is_read_by_another_reader(
    root: Path,
    quickly_judged: Callable[[str], Assessment],
    monkeypatch: pytest.MonkeyPatch,
    name: str,
) -> None:
    """As a phone does: the PDF's page as a picture of 200 dpi, read by a library that knows nothing of ours."""
    monkeypatch.setattr(document, "drawing_blocks", lambda *_: [])
    judged = quickly_judged(name)
    bundle = bundled(root / "scenarios" / f"{name}.toml", judged.scenario)
    codes = code_texts(bundle)
    sheets = pages([judged], Asked(), [Handed(codes.texts, codes.apart)])
    pdf = pypdfium2.PdfDocument(written(sheets[-1:], Path("a.pdf"), attachments([bundle])))
    picture = pdf[0].render(scale=200.0 / 72.0).to_pil()
    assert sorted(one.text for one in zxingcpp.read_barcodes(picture)) == sorted(codes.texts)
    # The same files are attached to the PDF, whole.
    found = {
        one.get_name(): bytes(one.get_data())
        for one in (pdf.get_attachment(k) for k in range(pdf.count_attachments()))
    }
    assert found == dict(bundle.laid_out(f"{name}.toml"))


def test_squares_are_large_enough_to_be_read() -> None:
    """At least 0.4 mm each, inside of the margins with the white around them, whatever the code's length."""
    for count in (1, 2, 3, MOST_CODES):
        texts = [f"{PREFIX}1/1:00000000:{'A' * (MOST_LETTERS - 24)}:"] * count
        for paper in ("A4", "Letter"):
            asked = Asked(paper)
            for across in (1, 2):
                _, block = code_column(texts, (), asked, across=across)
                assert block is not None
                groups = [item for item in block.draw(200.0) if isinstance(item, Group)]
                corners = [
                    p for g in groups for one in g.items if isinstance(one, Corners) for p in one.points
                ]
                across = sorted({round(x, 6) for x, _ in corners})
                assert min(b - a for a, b in pairwise(across)) >= SIDE - 1e-6 >= 0.4 - 1e-6
                assert 20.0 + 4 * SIDE <= across[0] < across[-1] <= asked.size[0] - 10.0 - 4 * SIDE
                assert min(y for _, y in corners) >= 200.0 - block.height


def test_files_that_are_too_long_stay_apart_and_are_named() -> None:
    noise = b"".join(hashlib.sha256(bytes([k % 251, k // 251])).digest() for k in range(600))
    codes = code_texts(replace(SMALL, files=(("jaw.stl", noise),)))
    assert codes.apart == ("jaw.stl",)
    back = bundle_of("".join(codes.texts), "the code")
    assert back.apart == (("jaw.stl", hashlib.sha256(noise).hexdigest()),)
    assert not back.files
    longer = code_texts(replace(SMALL, tables={"title": noise.hex()}))
    assert longer.texts == ()
    assert longer.apart == ("part",)


def several(text: str) -> str:
    return text.replace("1/1", "1/2", 1)


def test_lines_may_break_and_codes_come_in_any_order() -> None:
    (text,) = code_texts(SMALL).texts
    assert bundle_of(f"\ufeff {text[:40]}\r\n{text[40:90]}\n{text[90:]} \n", "x") == SMALL
    assert bundle_of(text + text, "x") == SMALL


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda _: "", "begins with"),
        (lambda _: "https://a.example/b", "begins with"),
        (lambda t: "x" + t, "begins with"),
        (lambda t: t[:-1], "not whole"),
        (lambda t: t[:60], "not whole"),
        (lambda t: t[:60] + ":", "damaged"),
        (lambda t: t[:50] + ("A" if t[50] != "A" else "B") + t[51:], "damaged"),
        (lambda t: t[:50] + "é" + t[51:], "damaged"),
        (lambda t: t.lower(), "begins with"),
        (lambda t: t.replace("SCENE1:", "SCENE2:"), "version 2"),
        (several, "all 2 codes of the sheet, found 1"),
        (lambda t: t + several(t), "one setup"),
        (lambda t: t + t[:50] + ":", "twice"),
        (lambda t: t + "Z" * 300_000, "at most 200000"),
    ],
)
def test_what_is_damaged_is_refused_in_one_sentence(damage: Callable[[str], str], said: str) -> None:
    with pytest.raises(ScenarioError, match=said) as told:
        bundle_of(damage(code_texts(SMALL).texts[0]), "the code")
    assert "\n" not in str(told.value)
    assert len(str(told.value)) < 200


@given(st.data())
def test_no_single_wrong_letter_passes(data: st.DataObject) -> None:
    (text,) = code_texts(SMALL).texts
    at = data.draw(st.integers(len(PREFIX), len(text) - 1))
    other = data.draw(st.sampled_from([c for c in "0123456789ABCDEF $:/" if c != text[at]]))
    with pytest.raises(ScenarioError):
        bundle_of(text[:at] + other + text[at + 1 :], "the code")


def test_a_bomb_is_not_inflated() -> None:
    """A thousand to one: what would be 100 MB is refused at the first megabyte."""
    made = zlib.compressobj(9, zlib.DEFLATED, -15, 9)
    data = made.compress(b" " * 100_000_000) + made.flush()
    text = f"{PREFIX}1/1:{hashlib.sha256(data).hexdigest()[:8].upper()}:{base45(data)}:"
    assert len(text) < code_text.LARGEST_TEXT
    with pytest.raises(ScenarioError, match="at most 1000000 bytes"):
        bundle_of(text, "the code")


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ([], "no scenario"),
        ({}, "no scenario"),
        (content(more=1), "no scenario"),
        (content(tables=[]), "no scenario"),
        (content(tables={"a": None}), "no scenario"),
        (content(included=[["a.toml", []]]), "no scenario"),
        (content(files=[["a.nc", "\u20ac"]]), "no scenario"),
        (content(files=[["a.nc"]]), "no scenario"),
        (content(name="../a"), "its own folder"),
        (content(name="a/b"), "its own folder"),
        (content(files=[["../a.nc", ""]]), "its own folder"),
        (content(files=[["/etc/a.nc", ""]]), "its own folder"),
        (content(files=[["C:a.nc", ""]]), "its own folder"),
        (content(files=[["a\\..\\b.nc", ""]]), "its own folder"),
        (content(files=[["a/../b.nc", ""]]), "its own folder"),
        (content(files=[["a\u202e.nc", ""]]), "its own folder"),
        (content(included=[["", {}]]), "its own folder"),
        (content(files=[["a.nc", ""], ["A.nc", ""]]), "each once"),
    ],
)
def test_a_code_of_somebody_else_is_not_trusted(inside: object, said: str) -> None:
    with pytest.raises(ScenarioError, match=said):
        bundle_of(framed(inside), "the code")


def test_what_it_holds_is_checked_key_by_key() -> None:
    assert bundle_of(framed(content()), "the code").name == "a"
    assert set(content()) == set(KEYS)
    assert is_inside("programs/a b.nc")
    deep = "[" * 100_000 + "]" * 100_000
    data = zlib.compress(deep.encode(), 9, wbits=-15)
    text = f"{PREFIX}1/1:{hashlib.sha256(data).hexdigest()[:8].upper()}:{base45(data)}:"
    with pytest.raises(ScenarioError, match="no scenario"):
        bundle_of(text, "the code")


def names(files: Sequence[tuple[str, bytes]]) -> list[str]:
    return [name for name, _ in files]


def test_files_of_two_setups_are_attached_by_names_of_their_own() -> None:
    other = replace(SMALL, tables={"title": "another"})
    assert names(attachments([SMALL, SMALL])) == ["part.toml"]
    assert names(attachments([SMALL, other])) == ["part.toml", "2/part.toml"]


def test_more_codes_than_two_stand_behind_the_last_step(quickly_judged: Callable[[str], Assessment]) -> None:
    """However many there are, all of them stand on paper, and none of them beside too little room."""
    judged = quickly_judged("cast_hub_on_ring")
    for count in range(MOST_CODES + 1):
        texts = tuple(f"{PREFIX}{k + 1}/{count}:00000000:{'A' * (MOST_LETTERS - 24)}:" for k in range(count))
        closing = document._closing(judged, Asked("Letter"), Handed(texts), (5, Section("last", ())))
        assert len(closing) == 1 + (count > 2)
        drawn = [item for block in closing for item in block.draw(250.0) if isinstance(item, Group)]
        assert len(drawn) == count
        assert all(block.height < 235.0 for block in closing)


def photographed(page: Image.Image) -> Image.Image:
    """Return a page as a hand holds a phone over it: turned, from aside, unevenly lit, unsharp and grainy."""
    turned = page.convert("L").rotate(4.0, expand=True, fillcolor=235, resample=Image.Resampling.BICUBIC)
    wide, high = turned.size
    off = 0.03 * wide
    corners = (off, off, 0.0, high, wide, high - off, wide - off, 0.0)
    aside = turned.transform(
        (wide, high), Image.Transform.QUAD, corners, resample=Image.Resampling.BICUBIC, fillcolor=235
    )
    grey = np.asarray(aside.filter(ImageFilter.GaussianBlur(0.8)), dtype=float) * 0.85 + 20.0
    grey *= np.linspace(0.8, 1.0, wide)[None, :]
    grey += np.random.default_rng(3).normal(0.0, 18.0, grey.shape)
    return Image.fromarray(grey.clip(0.0, 255.0).astype("uint8"))


def test_code_is_read_off_a_photograph(
    root: Path, quickly_judged: Callable[[str], Assessment], monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 300 dpi, less than a phone has that is near enough for one code to fill its width; upright 150 dpi do.

    Seen from aside, too, all of it at 150 dpi is left to the next test: there the squares' size decides.
    """
    monkeypatch.setattr(document, "drawing_blocks", lambda *_: [])
    name = "shaft_on_a_centre"  # the longest code of those shipped
    judged = quickly_judged(name)
    bundle = bundled(root / "scenarios" / f"{name}.toml", judged.scenario)
    codes = code_texts(bundle)
    pdf = pypdfium2.PdfDocument(written(pages([judged], Asked(), [Handed(codes.texts)])[-1:], Path("a.pdf")))
    for dpi, seen in ((300.0, photographed), (150.0, lambda page: page)):
        picture = seen(pdf[0].render(scale=dpi / 72.0).to_pil())
        assert [one.text for one in zxingcpp.read_barcodes(picture)] == list(codes.texts), dpi
    assert bundle_of("".join(codes.texts), "the code").digest == bundle.digest


def held_askew(page: Image.Image, unsharp: float, grain: float) -> Image.Image:
    """Return a page in grey, turned by 5 deg, unevenly lit, unsharp (points) and grainy."""
    turned = page.convert("L").rotate(5.0, expand=True, fillcolor=235, resample=Image.Resampling.BICUBIC)
    grey = np.asarray(turned.filter(ImageFilter.GaussianBlur(unsharp)), dtype=float) * 0.85 + 20.0
    grey *= np.linspace(0.8, 1.0, grey.shape[1])[None, :]
    grey += np.random.default_rng(5).normal(0.0, grain, grey.shape)
    return Image.fromarray(grey.clip(0.0, 255.0).astype("uint8"))


def test_larger_squares_are_read_off_worse_pictures(
    root: Path, quickly_judged: Callable[[str], Assessment]
) -> None:
    """At 150 dpi: squares of 0.6 mm, where two pages have room for them; those of 0.4 mm only sharp."""
    name = "cast_hub_on_ring"
    judged = quickly_judged(name)
    codes = code_texts(bundled(root / "scenarios" / f"{name}.toml", judged.scenario))
    pdf = pypdfium2.PdfDocument(written(pages([judged], Asked(), [Handed(codes.texts)]), Path("a.pdf")))
    assert len(pdf) == 2
    page = pdf[1].render(scale=150.0 / 72.0).to_pil()
    for unsharp, grain in ((0.5, 10.0), (0.8, 10.0)):
        found = zxingcpp.read_barcodes(held_askew(page, unsharp, grain))
        assert [one.text for one in found] == list(codes.texts), (unsharp, grain)
