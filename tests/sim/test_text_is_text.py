"""What a file says is shown as text: planted in every field that takes words, found in no output as anything else."""

from __future__ import annotations

import csv
import io
import json
import re
import sys
import unicodedata
import zipfile
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from html.parser import HTMLParser
from pathlib import Path
from typing import Annotated, Any, get_args, get_origin
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
from numpy.typing import NDArray
from pydantic import BaseModel

from sim import cli
from sim.base.errors import ScenarioError
from sim.base.printable import printable
from sim.scenario import Scenario, read
from sim.scenario.fields import whole_type
from sim.scenario.scenario import full_tables
from sim.scenario.toml_text import toml_text
from sim.scenario.uncertainty import Uncertainty
from sim.uncertainty import analysis
from sim.views import picture, render

HUB = "cast_hub_by_program"
# A formula, markup, quotes, templates, a place outside, formatting of drawings, the end of a comment.
NAMED = "=1+\"</script><svg onload=q(1)>&'${q}{{q}}../..\\n"
ELSE = "@1|</style><img src=x onerror=q()>&quot;%%c \\U+0041 ]]>-->{%q%}\n=2 +cmd"
FILE = "=1\"<svg onload=q(1)>&'${q}{{q}}.nc"
SECOND = "CON"  # of a pocket, an operation and a view: no file may have that name on some machines

# Fields that take words, and are planted below; a new field of the schema has no line and the first test says so.
PLANTED = {
    "Scenario.title", "Scenario.revision", "Scenario.description", "Scenario.include", "Chuck.name", "OwnMaterial.name",
    "OwnMaterial.source",
    "OwnPairing.jaw", "OwnPairing.source", "SoftJaw.material", "Ring.material", "JawScrews.single_screw_reason",
    "Pocket.name", "BoredPocket.name",
    "ProgramTool.name", "CuttingProgram.file", "PartProgram.file", "Operation.name", "Operation.pocket",
    "Workpiece.material", "Cut.name", "View.name", "View.stage", "OperationUncertainty.name",
}  # fmt: skip
# Words of a closed list, or such as must be the name of something else: others are refused, as below.
REFUSED = {
    "Scenario.typical": ("typical", [NAMED]),
    "Gripping.pairing": ("operations.0.gripping.pairing", NAMED),
    "Scenario.shop_files": ("shop_files", [NAMED]),
    "OwnMaterial.group": ("materials.0.group", "<b>"),
    "Cut.insert": ("operations.0.cuts.0.insert", NAMED[:40]),
    "ProgramTool.insert": ("boring.program.tools.0.insert", NAMED),
    "BoringTool.insert": ("boring.tool", {"insert": NAMED}),
    "CuttingProgram.chuck_opens": ("boring.program.chuck_opens", NAMED),
    "CuttingProgram.chuck_closes": ("boring.program.chuck_closes", NAMED),
    "PartProgram.chuck_opens": ("operations.0.program.chuck_opens", NAMED),
    "PartProgram.chuck_closes": ("operations.0.program.chuck_closes", NAMED),
    "Workpiece.turned_in": ("operations.0.workpiece.turned_in", "other" + NAMED[:50]),
    "PartModel.file": ("operations.0.workpiece.model", {"file": NAMED, "chuck_end": "low"}),
    "PartModel.layer": ("operations.0.workpiece.model", {"file": f"{NAMED}.dxf", "layer": NAMED}),
    "JawModel.file": ("soft_jaw.model", {"file": NAMED, "unit": "mm"}),
    "Drawing.file": ("boring.program.tools.0.cutter", {"drawing": {"file": NAMED, "unit": "mm"}}),
    "Drawing.layer": ("boring.program.tools.0.cutter", {"drawing": {"file": NAMED, "layer": NAMED}}),
    "Plug.material": ("boring.fixture", {"kind": "plug", "material": NAMED}),
    "OuterRing.material": ("boring.fixture", {"kind": "outer ring", "material": NAMED}),
}  # fmt: skip


def text_fields(kind: Any, at: str = "", seen: frozenset[Any] = frozenset()) -> Iterator[str]:
    """Yield every field where text may stand that is none of a closed list, by its table's kind and its name."""
    while get_origin(kind) is Annotated:
        kind = get_args(kind)[0]
    if kind is str:
        yield at
    elif isinstance(kind, type) and issubclass(kind, BaseModel):
        if kind not in seen:
            for name, info in kind.model_fields.items():
                yield from text_fields(
                    whole_type(info), f"{kind.__name__.split('[')[0]}.{name}", seen | {kind}
                )
    else:
        for one in get_args(kind) if get_origin(kind) is not None else ():
            yield from text_fields(one, at, seen)


def test_every_field_that_takes_words_is_planted_or_refused() -> None:
    found = {*text_fields(Scenario), *text_fields(Uncertainty)}
    bases = {one for one in found if re.match(r"(Normal|Uniform|Triangular|Lognormal) .*\.basis$", one)}
    assert bases
    assert found - bases == PLANTED | set(REFUSED)


def planted(root: Path, folder: Path, named: str, words: str, file: str) -> Path:
    """Write a scenario with words in all these fields, and the files that it names."""
    (folder / "programs").mkdir(parents=True)
    for name in ("cast_hub_jaws.nc", "cast_hub_first_side.nc"):
        text = (root / "scenarios" / "programs" / name).read_text(encoding="utf-8")
        (folder / "programs" / f"{name[:13]}{file}").write_text(
            text.replace("\n", f"\n({printable(words).replace('(', '').replace(')', '')})\n", 1),
            encoding="utf-8",
        )
    tables = full_tables(root / "scenarios" / f"{HUB}.toml")
    part, jaw, long = f"{named[:50]}p", f"{named[:50]}j", f"{words} {words}"
    own = {
        "modulus": "115 GPa",
        "poisson": 0.26,
        "density": "7200 kg/m3",
        "yield_strength": "165 MPa",
        "surface_pressure": "700 MPa",
        "source": words,
    }
    pair = {"jaw": jaw, "surface": "turned", "low": 0.1, "high": 0.16, "source": words}
    tables |= {
        "title": named, "revision": named[:20], "description": long, "include": [f"fit{file}.toml"],
        "materials": [
            {**own, "name": part, "group": "15", "brittle": True, "pairings": [pair]},
            {**own, "name": jaw, "group": "3", "modulus": "206 GPa"},
        ],
        "views": [{"name": named, "stage": named}, {"name": SECOND}],
        "uncertainty": {
            "jaw_modulus": {"kind": "normal", "standard_deviation": "4 GPa", "basis": words},
            "operations": [
                {"name": named, "pressure": {"kind": "uniform", "low": "18 bar", "high": "19.5 bar", "basis": words}}
            ],
        },
    }  # fmt: skip
    tables["chuck"]["name"] = named
    tables["soft_jaw"] |= {"material": jaw}
    tables["soft_jaw"]["screws"]["single_screw_reason"] = words
    tables["boring"]["fixture"]["material"] = jaw
    tables["boring"]["program"]["file"] = f"programs/cast_hub_jaws{file}"
    tables["pockets"][0]["name"] = named
    earlier = {"name": named, "diameter": "100 mm", "depth": "20 mm"}  # within what is bored now
    tables["soft_jaw"]["bored_before"] = [{"travel": tables["boring"]["travel"], "pockets": [earlier]}]
    operation = tables["operations"][0]
    operation |= {"name": named, "pocket": named}
    operation["workpiece"]["material"] = part
    operation["gripping"].pop("pairing")
    operation["program"]["file"] = f"programs/cast_hub_firs{file}"
    for tool in (*tables["boring"]["program"]["tools"], *operation["program"]["tools"]):
        tool["name"] = named
    for cut in operation["cuts"]:
        cut["name"] = f"{named[:58]}{operation['cuts'].index(cut)}"
    (folder / f"fit{file}.toml").write_text(
        toml_text(
            {"chuck": {"efficiency": 0.8}, "gauge_readings": {"judgement": "accepted", "source": words}}
        ),
        "utf-8",
    )
    path = folder / f"set{file}.toml"
    path.write_text(toml_text(tables), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def run() -> Callable[..., tuple[int, str, str]]:
    def call(*arguments: str | Path) -> tuple[int, str, str]:
        out, err = io.StringIO(), io.StringIO()
        with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
            patch.setattr(sys, "argv", ["chuckscene", *map(str, arguments)])
            with pytest.raises(SystemExit) as left:
                cli.main()
        return int(left.value.code or 0), out.getvalue(), err.getvalue()

    return call


def commands(file: Path, harmless: Path, out: Path) -> Iterator[tuple[str | Path, ...]]:
    for more in ((), ("--all", "--basis"), ("--moves",), ("--json", "--moves")):
        yield ("check", file, *more)
    yield "diff", harmless, file
    yield "diff", harmless, file, "--json"
    yield "review", file, "--out", out / "review.html"
    for kind in ("html", "pdf"):
        yield "sheet", file, "--to", out / f"sheet.{kind}", "--readings", out / f"{kind}.csv"
    for of, kind in (("assembly", "svg"), ("assembly", "dxf"), ("jaws", "pdf"), ("pocket", "svg")):
        yield "drawing", file, "--of", of, "--to", out / f"{of}.{kind}"
    yield "compare", file, harmless, "--out", out / "compare.html"
    yield "picture", file, "--out", out / "pictures", "--svg", "--width", "320"
    yield "export", file, "--out", out / "export"
    yield "program", file, "--out", out / "made.nc", "--code-system", "G90 cycles"
    yield "job", "pack", file, "--out", out / "job.zip"
    yield "uncertainty", file, "--samples", "2"


def without_pixels(patch: pytest.MonkeyPatch) -> None:
    """Draw no pixels, in which no word can be more than text: the files and all that is written in them stay.

    A plot is laid out and its letters are set as it is written as SVG. Tests of `sim.views` hold what pictures show.
    """

    def ground(*asked: Any) -> NDArray[np.uint8]:
        _, _, (width, height), transparent = asked
        return np.full((height, width, 4 if transparent else 3), 200, np.uint8)

    def nothing(*asked: Any) -> NDArray[np.float64]:
        _, _, (width, height) = asked
        return np.full((height, width), np.inf)

    patch.setattr(render, "_rendered", ground)
    patch.setattr(render, "_depth", nothing)
    patch.setattr(picture, "as_png", lambda *_, **__: picture.png(np.full((4, 4, 3), 200, np.uint8)))


@pytest.fixture(scope="module")
def made(
    root: Path, tmp_path_factory: pytest.TempPathFactory, run: Any
) -> tuple[Path, dict[str, tuple[int, str, str]]]:
    """The folder with all outputs of a scenario that is planted, and what each command said.

    Its words are the same of few draws as of many: of fewer than are worth a figure.
    """
    folder = tmp_path_factory.mktemp("planted")
    harmless = planted(root, folder / "harmless", "plain name", "plain words of a source", ".nc")
    file = planted(root, folder / "hostile", NAMED, ELSE, FILE)
    said = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(analysis, "LEAST_SAMPLES", 2)
        patch.setattr(analysis, "CHECKED", 1)
        without_pixels(patch)
        for arguments in commands(file, harmless, folder / "out"):
            quick = () if arguments[0] == "program" else ("--quick",)
            said[" ".join(map(str, arguments[:1] + arguments[2:]))] = run(*arguments, *quick)
    assert {one.name for one in folder.iterdir()} == {"harmless", "hostile", "out"}
    for inside, name in ((folder / "harmless", "harmless"), (folder / "hostile", "hostile")):
        assert len([one for one in inside.rglob("*") if one.is_file()]) == 4, name
    return folder / "out", said


class Tags(HTMLParser):
    """What a browser makes elements and attributes of."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.kinds: set[str] = set()
        self.attributes: set[str] = set()
        self.addresses: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.kinds.add(tag)
        self.attributes |= {name for name, _ in attrs}
        self.addresses |= {
            value or "" for name, value in attrs if name in ("href", "src", "action", "srcset")
        }


def harmless(text: str) -> None:
    """Hold that a terminal would obey nothing in a text, and that none of it turns round."""
    assert printable(text, "\n") == text


def is_text_in_markup(text: str) -> None:
    found = Tags()
    found.feed(text)
    assert not {name for name in found.attributes if name.startswith("on")}
    assert "img" not in found.kinds or "onerror" not in found.attributes
    for address in found.addresses:
        assert re.match(r"(#|data:(image/|,)|[a-z0-9-]+\.|https?://www\.w3\.org/|$)", address), address
    harmless(text.replace("\t", " "))


def is_table(data: bytes) -> None:
    for row in csv.reader(io.StringIO(data.decode())):
        for cell in row:
            number = re.fullmatch(r"[-+]?[0-9.]+(e[-+][0-9]+)?|", cell)
            assert number or (cell.strip() or "x")[0] not in "=+-@\uff1d\uff0b\uff0d\uff20", cell


def is_drawing(data: bytes) -> None:
    document = ezdxf.read(io.StringIO(data.decode("utf-8")))  # type: ignore[attr-defined]
    assert not document.audit().has_errors
    for one in document.modelspace().query("TEXT MTEXT"):
        assert "\n" not in one.dxf.text if one.dxftype() == "TEXT" else True


def is_page_without_actions(data: bytes) -> None:
    assert data.startswith(b"%PDF-")
    for word in (b"/JavaScript", b"/JS ", b"/Launch", b"/URI"):
        assert word not in data


def is_step(data: bytes) -> None:
    text = data.decode("ascii")
    assert text.startswith("ISO-10303-21;")
    assert "onload" not in text


def is_program(data: bytes) -> None:
    """Between brackets nothing but plain letters: no bracket ends a comment, no word stands outside of one."""
    for line in data.decode("ascii").splitlines():
        code = re.sub(r"\([^()]*\)", "", line)
        assert re.fullmatch(r"[A-Z0-9 .+%-]*", code), line


def is_json(data: bytes) -> None:
    json.loads(data)
    harmless(data.decode("utf-8"))


def is_svg(data: bytes) -> None:
    is_text_in_markup(data.decode("utf-8"))
    ElementTree.fromstring(data)  # noqa: S314  (our own)


def is_three_mf(data: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for one in archive.namelist():
            ElementTree.fromstring(archive.read(one))  # noqa: S314  (our own)


def is_glb(data: bytes) -> None:
    size = int.from_bytes(data[12:16], "little")
    told = json.loads(data[20 : 20 + size])
    assert not any("uri" in one for key in ("buffers", "images") for one in told.get(key, []))


KINDS: dict[str, Callable[[bytes], None]] = {
    ".html": lambda data: is_text_in_markup(data.decode("utf-8")), ".svg": is_svg, ".csv": is_table, ".json": is_json,
    ".dxf": is_drawing, ".pdf": is_page_without_actions, ".step": is_step, ".nc": is_program, ".3mf": is_three_mf,
    ".glb": is_glb,
}  # fmt: skip


def is_whole(name: str, data: bytes) -> None:
    """Hold that a file is of its kind and that nothing planted is more than text in it."""
    if not name.startswith("files/"):  # of a job: those are the shop's own, as they were
        KINDS.get(Path(name).suffix, lambda _: None)(data)


RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}


def test_no_output_takes_words_for_more_than_text(made: tuple[Path, dict[str, tuple[int, str, str]]]) -> None:
    out, said = made
    for name, (status, text, err) in said.items():
        assert status in (0, 1) or "no program is written" in err, (name, err)
        harmless(text + err)
        assert "Traceback" not in err
    seen = set()
    for file in sorted(one for one in out.rglob("*") if one.is_file()):
        name = file.relative_to(out).as_posix()
        assert re.fullmatch(r"[A-Za-z0-9_./-]+", name), name
        assert not {step.split(".")[0].lower() for step in name.split("/")} & RESERVED
        is_whole(name, file.read_bytes())
        seen.add(file.suffix)
    with zipfile.ZipFile(out / "job.zip") as job:
        for name in job.namelist():
            assert not Path(name).is_absolute()
            assert ".." not in Path(name).parts
            is_whole(name, job.read(name))
    kinds = {
        ".html",
        ".svg",
        ".pdf",
        ".dxf",
        ".png",
        ".step",
        ".stl",
        ".3mf",
        ".glb",
        ".csv",
        ".json",
        ".zip",
    }
    assert kinds <= seen


def test_words_are_there_and_whole(made: tuple[Path, dict[str, tuple[int, str, str]]]) -> None:
    """They are shown, not left out: what holds above would hold of nothing, too."""
    out, said = made
    report = json.loads(said["check --json --moves"][1])
    assert report["title"] == NAMED.strip()
    assert json.loads((out / "export" / "manifest.json").read_text(encoding="utf-8"))["title"] == NAMED
    assert NAMED in said["check --all --basis"][1].replace("\n", " ")
    page = (out / "review.html").read_text(encoding="utf-8")
    assert "&lt;/script&gt;&lt;svg onload=q(1)&gt;" in page
    table = (out / "export" / "cuts.csv").read_text(encoding="utf-8")
    assert "'=1+" in table
    assert "=1+" in (out / "sheet.html").read_text(encoding="utf-8")


def stated(tables: Any, field: str, value: Any) -> None:
    """Put a value into a scenario's tables."""
    *steps, last = field.split(".")
    for step in steps:
        tables = tables[int(step)] if step.isdigit() else tables.setdefault(step, {})
    tables[last] = value


@pytest.mark.parametrize("field", REFUSED)
def test_other_fields_take_no_such_words(field: str, root: Path, tmp_path: Path, run: Any) -> None:
    place, value = REFUSED[field]
    tables = full_tables(root / "scenarios" / f"{HUB}.toml")
    if field == "OwnMaterial.group":
        tables["materials"] = [{"name": "own", "source": "nobody at all"}]
    stated(tables, place, value)
    for program in (tables["boring"]["program"], tables["operations"][0]["program"]):
        program["file"] = str(root / "scenarios" / program["file"])
    file = tmp_path / "a.toml"
    file.write_text(toml_text(tables), encoding="utf-8")
    status, out, err = run("check", file, "--quick")
    assert (status, out) == (2, "")
    harmless(err)
    assert err.startswith(f"error: {file}")


@pytest.mark.parametrize("character", ["\x1b", "\0", "\u202e", "\u2066", "\x9b", "\u2028"])
@pytest.mark.parametrize(
    "field", ["title", "chuck.name", "operations.0.name", "operations.0.cuts.0.name", "include"]
)
def test_what_turns_or_hides_words_is_refused_though_escaped(
    character: str, field: str, root: Path, tmp_path: Path
) -> None:
    tables: Any = full_tables(root / "scenarios" / f"{HUB}.toml")
    stated(tables, field, [f"a{character}b"] if field == "include" else f"a{character}b")
    file = tmp_path / "a.toml"
    file.write_text(toml_text(tables), encoding="utf-8")
    assert character not in file.read_text(encoding="utf-8")
    with pytest.raises(ScenarioError, match=f"must hold no .* found U[+]{ord(character):04X}") as caught:
        read(file)
    assert re.sub(r"\[(\d)\]", r".\1", str(caught.value)).partition(": ")[2].startswith(field)
    assert unicodedata.category(character) not in {unicodedata.category(c) for c in str(caught.value)}


def test_a_page_makes_no_markup_of_words(root: Path) -> None:
    """The page gets names as data; its scripts put them in as text alone."""
    for script in (root / "sim" / "views" / "web" / "assets").glob("*.js"):
        text = script.read_text(encoding="utf-8")
        for way in (
            "innerHTML",
            "outerHTML",
            "insertAdjacentHTML",
            "document.write",
            "eval(",
            "new Function",
            "srcdoc",
        ):
            assert way not in text, (script.name, way)
