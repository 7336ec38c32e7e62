"""The command line: every mistake in the input ends in one sentence with file and field, status 2, nothing written."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from sim import cli

GOOD = "cast_hub_on_ring"


def swap(old: str, new: str) -> Callable[[str], str]:
    """Replace one line's text; the old text must be there."""

    def edit(text: str) -> str:
        assert old in text
        return text.replace(old, new, 1)

    return edit


def add(table: str, line: str) -> Callable[[str], str]:
    """Add a line at the head of a table."""
    return swap(f"[{table}]\n", f"[{table}]\n{line}\n")


def drop(line: str) -> Callable[[str], str]:
    """Remove a line."""
    return swap(f"{line}\n", "")


TRAVEL = 'travel = "3 mm"'
DIAMETER = 'diameter = "118 mm"'
OUTLINE = '["20 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "26 mm"], ["40 mm", "26 mm"],'
SECOND_POCKET = '[[pockets]]\nname = "{}"\ndiameter = "{}"\ndepth = "{}"\n\n[boring]\n'
PINS = 'pin_diameter = "20 mm", pin_length = "9 mm" }'
RING = f'{{ kind = "ring", outer_diameter = "190 mm", inner_diameter = "126 mm", thickness = "14 mm", {PINS}'
OPERATION = '[[operations]]\nname = "first side"'

# name, edit of scenarios/cast_hub_on_ring.toml, what the sentence must name
WRONG: list[tuple[str, Callable[[str], str], str]] = [
    ("unknown key", add("chuck", 'colour = "red"'), "chuck.colour"),
    ("unknown table", swap("[machine]\n", "[robot]\narms = 2\n\n[machine]\n"), "robot"),
    ("unknown key in the fixture", swap("{ kind =", "{ colour = 1, kind ="), "boring.fixture.colour"),
    ("missing key", drop('marked_speed = "4000 rpm"'), "chuck.marked_speed is missing"),
    ("missing unit", swap(TRAVEL, 'travel = "3"'), "boring.travel"),
    ("number instead of text", swap(TRAVEL, "travel = 3"), "boring.travel"),
    ("true instead of text", swap(TRAVEL, "travel = true"), "boring.travel"),
    ("table instead of text", swap(TRAVEL, "travel = { value = 3 }"), "boring.travel"),
    ("text instead of a table", swap("{ kind =", '"ring" # { kind ='), "boring.fixture"),
    ("wrong dimension", swap(TRAVEL, 'travel = "3000 rpm"'), "boring.travel"),
    ("unit off the list", swap(TRAVEL, 'travel = "3 furlong"'), "boring.travel"),
    ("two units", swap(TRAVEL, 'travel = "3 mm 2 mm"'), "boring.travel"),
    ("negative", swap(TRAVEL, 'travel = "-3 mm"'), "boring.travel"),
    ("zero", swap(DIAMETER, 'diameter = "0 mm"'), "pockets[0].diameter"),
    ("not a number", swap(TRAVEL, 'travel = "nan mm"'), "boring.travel"),
    (
        "not a number, bare",
        swap('title = "Cast', 'limits.holding_factor = nan\ntitle = "Cast'),
        "limits.holding_factor",
    ),
    ("decimal comma", swap(TRAVEL, 'travel = "12,7 mm"'), "boring.travel"),
    ("fraction", swap(TRAVEL, 'travel = "2 1/3 mm"'), "boring.travel"),
    ("infinite by its exponent", swap(TRAVEL, 'travel = "1e400 mm"'), "boring.travel"),
    (
        "too large to compute with",
        swap('body_height = "95 mm"', 'body_height = "1e300 mm"'),
        "chuck.body_height",
    ),
    (
        "too small to compute with",
        swap('body_height = "95 mm"', 'body_height = "1e-300 mm"'),
        "chuck.body_height",
    ),
    (
        "huge diameter",
        swap('swing_diameter = "400 mm"', 'swing_diameter = "1e308 m"'),
        "machine.swing_diameter",
    ),
    ("control character", swap(TRAVEL, 'travel = "3 \\u0007mm"'), "boring.travel"),
    ("line break in a value", swap(TRAVEL, 'travel = """3\nmm\nmm"""'), "boring.travel"),
    ("line break in a name", swap('pocket = "rim"', 'pocket = "r\\nim"'), "operations[0].pocket"),
    ("line break in a key", add("chuck", '"a\\nb" = 1'), "chuck.a\\x0ab"),
    ("empty title", swap("Cast hub, first side, pocket bored on a ring", ""), "title"),
    ("T-nut outside the body", swap('["32 mm", "57 mm"]', '["32 mm", "75 mm"]'), "soft_jaw.screws.positions"),
    ("T-nuts overlap", swap('["32 mm", "57 mm"]', '["41 mm", "61 mm"]'), "master_jaw.t_nut.length"),
    ("bore larger than the jaw can hold", swap(DIAMETER, 'diameter = "300 mm"'), "pockets[0].diameter"),
    ("bore smaller than the opening", swap(DIAMETER, 'diameter = "60 mm"'), "pockets[0].diameter"),
    (
        "bore through a screw",
        swap(DIAMETER + '\ndepth = "23 mm"', 'diameter = "150 mm"\ndepth = "30 mm"'),
        "pockets[0].diameter must not bore through the screw",
    ),
    ("pocket through the jaw", swap('depth = "23 mm"', 'depth = "50 mm"'), "pockets[0].depth"),
    ("no wall under the chamfer", swap('depth = "23 mm"', 'depth = "23 mm"\nchamfer = "22 mm"'), "pockets"),
    ("groove half stated", swap('depth = "23 mm"', 'depth = "23 mm"\ngroove_depth = "0 mm"'), "pockets"),
    (
        "part larger than the opening",
        swap('"118.05 mm"', '"124 mm"'),
        "operations[0].workpiece.gripped_diameter_high",
    ),
    ("limits of size swapped", swap('"117.90 mm"', '"118.10 mm"'), "operations[0].workpiece"),
    (
        "gripped surface not on the part",
        swap('["59 mm", "0 mm"], ["59 mm", "26 mm"]', '["55 mm", "0 mm"], ["55 mm", "26 mm"]'),
        "operations[0].workpiece.outline",
    ),
    (
        "outline crosses itself",
        swap(OUTLINE, '["20 mm", "0 mm"], ["59 mm", "26 mm"], ["59 mm", "0 mm"], ["40 mm", "26 mm"],'),
        "operations[0].workpiece.outline",
    ),
    (
        "outline with a negative radius",
        swap('["20 mm", "0 mm"]', '["-20 mm", "0 mm"]'),
        "operations[0].workpiece.outline[0][0]",
    ),
    (
        "outline of one point three times",
        swap(
            OUTLINE + '\n  ["40 mm", "58 mm"], ["20 mm", "58 mm"],',
            '["59 mm", "0 mm"], ["59 mm", "0 mm"], ["59 mm", "0 mm"],',
        ),
        "operations[0].workpiece.outline",
    ),
    (
        "outline of two points",
        swap(
            OUTLINE + '\n  ["40 mm", "58 mm"], ["20 mm", "58 mm"],', '["20 mm", "0 mm"], ["59 mm", "0 mm"],'
        ),
        "operations[0].workpiece.outline",
    ),
    (
        "pressure over the chuck's limit",
        swap('pressure = "19.5 bar"', 'pressure = "32 bar"'),
        "operations[0].gripping.pressure",
    ),
    ("boring pressure over the limit", swap('pressure = "7 bar"', 'pressure = "70 bar"'), "boring.pressure"),
    ("travel over the stroke", swap(TRAVEL, 'travel = "7 mm"'), "boring.travel"),
    (
        "speeds swapped",
        swap('speed_low = "200 rpm"', 'speed_low = "2000 rpm"'),
        "operations[0].gripping.speed_low",
    ),
    (
        "closed jaws meet",
        swap('mounting_radius = "45 mm"', 'mounting_radius = "15 mm"'),
        "soft_jaw.mounting_radius",
    ),
    ("unknown jaw material", swap('"steel C45"', '"cheese"'), "soft_jaw.material"),
    ("unknown part material", swap('"cast iron GJL-250"', '"cheese"'), "operations[0].workpiece.material"),
    (
        "unknown pairing",
        swap('"cast iron on steel, smooth jaw, turned part"', '"ice on ice"'),
        "operations[0].gripping.pairing",
    ),
    ("unknown thread", swap('thread = "M14"', 'thread = "M13"'), "soft_jaw.screws.thread"),
    (
        "thread without such a class",
        swap('property_class = "12.9"', 'property_class = "13.9"'),
        "soft_jaw.screws.property_class",
    ),
    ("unknown insert", swap('"DCMT 11T304"', '"QQQQ 11T304"'), "boring.tool.insert"),
    ("nonsense insert", swap('"DCMT 11T304"', '"sharp"'), "boring.tool.insert"),
    ("trailing edge rubs", swap('approach_angle = "93 deg"', 'approach_angle = "150 deg"'), "approach"),
    ("bar not of this world", swap('functional_offset = "17 mm"', 'functional_offset = "1 mm"'), "boring"),
    ("operation names no pocket", swap('pocket = "rim"', 'pocket = "edge"'), "operations[0].pocket"),
    (
        "two pockets of one name",
        swap("[boring]\n", SECOND_POCKET.format("rim", "100 mm", "24 mm")),
        "pockets",
    ),
    ("pockets do not nest", swap("[boring]\n", SECOND_POCKET.format("deep", "125 mm", "30 mm")), "pocket"),
    ("no pocket", swap('[[pockets]]\nname = "rim"\ndiameter = "118 mm"\ndepth = "23 mm"\n', ""), "pockets"),
    (
        "ring without room for its pins",
        swap('inner_diameter = "126 mm"', 'inner_diameter = "140 mm"'),
        "boring.fixture",
    ),
    ("ring inside out", swap('inner_diameter = "126 mm"', 'inner_diameter = "226 mm"'), "boring.fixture"),
    (
        "ring on no screw",
        swap(PINS, 'pin_diameter = "20 mm", screw = 2 }'),
        "boring.fixture.screw",
    ),
    (
        "pins wider than the counterbore",
        swap(PINS, 'pin_diameter = "23 mm" }'),
        "boring.fixture.pin_diameter",
    ),
    ("unknown fixture", swap('kind = "ring"', 'kind = "glue"'), "boring.fixture"),
    ("fixture without a kind", swap('kind = "ring", ', ""), "boring.fixture"),
    (
        "plug smaller than the opening",
        swap(RING, '{ kind = "plug", diameter = "50 mm", thickness = "12 mm", height = "10 mm" }'),
        "boring.fixture.diameter",
    ),
    (
        "plug above the jaws",
        swap(RING, '{ kind = "plug", diameter = "92 mm", thickness = "12 mm", height = "45 mm" }'),
        "boring.fixture.height",
    ),
    (
        "plug all bore",
        swap(
            RING,
            '{ kind = "plug", diameter = "92 mm", thickness = "12 mm", height = "10 mm", bore_diameter = "95 mm" }',
        ),
        "boring.fixture",
    ),
    (
        "outer ring around jaws that close",
        swap(
            RING,
            '{ kind = "outer ring", outer_diameter = "275 mm", inner_diameter = "244 mm", '
            'thickness = "16 mm", height = "14 mm" }',
        ),
        "boring.fixture.kind",
    ),
    ("pull stated twice", add("chuck", 'largest_pull = "40 kN"'), "chuck"),
    ("pull not stated", drop('piston_area = "150 cm2"'), "chuck"),
    (
        "grip points that fall",
        add(
            "chuck",
            'grip_points = [{ pressure = "10 bar", grip = "30 kN" }, { pressure = "20 bar", grip = "20 kN" }]',
        ),
        "chuck grip_points",
    ),
    ("wedge angle", add("chuck", 'wedge_angle = "89 deg"'), "chuck"),
    ("chuck all bore", swap('bore_diameter = "75 mm"', 'bore_diameter = "300 mm"'), "chuck"),
    ("body thinner than its slot", swap('body_height = "95 mm"', 'body_height = "20 mm"'), "chuck"),
    ("friction over any", add("chuck", "guideway_friction = 5.0"), "chuck.guideway_friction"),
    ("jaw locks in its guideway", add("chuck", "guideway_friction = 1.5"), "chuck.guideway_friction"),
    (
        "counterbore through the jaw",
        swap('counterbore_depth = "28 mm"', 'counterbore_depth = "49 mm"'),
        "soft_jaw",
    ),
    (
        "hole wider than its counterbore",
        swap('hole_diameter = "15.5 mm"', 'hole_diameter = "30 mm"'),
        "soft_jaw",
    ),
    ("screw off the blank", swap('length = "81 mm"', 'length = "55 mm"'), "soft_jaw"),
    ("screw wider than its hole", swap('"M14"', '"M24"'), "soft_jaw.screws.hole_diameter"),
    ("serration index as text", add("soft_jaw", 'serration_index = "1"'), "soft_jaw.serration_index"),
    ("tip wider than the jaw", add("soft_jaw", 'tip_width = "60 mm"'), "soft_jaw"),
    ("jaw all chamfer", add("soft_jaw", 'edge_chamfer = "25 mm"'), "soft_jaw edge_chamfer"),
    (
        "two operations of one name",
        swap(OPERATION, '[[operations]]\nname = "first side"\npocket = "rim"\n' + OPERATION),
        "operations",
    ),
    (
        "a cut at no angle",
        swap('kind = "turning"', 'kind = "turning"\napproach_angle = "0 deg"'),
        "operations[0].cuts[0]",
    ),
    ("unknown kind of cut", swap('kind = "turning"', 'kind = "milling"'), "operations[0].cuts[0].kind"),
    ("toml with a typing error", swap("[machine]", "[machine"), "TOML"),
    ("key twice", swap(TRAVEL, f"{TRAVEL}\n{TRAVEL}"), "TOML"),
    ("deeply nested", swap(TRAVEL, "travel = " + "[" * 5000 + "]" * 5000), "TOML"),
    ("deeply nested tables", swap('title = "Cast', "a." * 500 + 'b = 1\ntitle = "Cast'), "a"),
    ("nested enough to read", swap(TRAVEL, "travel = " + "[" * 100 + "]" * 100), "boring.travel"),
    ("long number", swap(TRAVEL, "travel = " + "9" * 5000), ""),
    ("long text", swap(TRAVEL, f'travel = "{"9" * 5000} mm"'), "boring.travel"),
    ("date", swap(TRAVEL, "travel = 2024-01-01"), "boring.travel"),
    ("over a megabyte", lambda text: text + "#" * 1_000_001, "1 MB"),
    ("empty", lambda _: "", "empty"),
    ("only spaces", lambda _: " \n\n", "empty"),
]

FILES: list[tuple[str, bytes | None, str]] = [
    ("binary", bytes(range(256)), "binary"),
    ("a picture", b"\x89PNG\r\n\x1a\n\x00\x00", "binary"),
    ("null bytes", b"\x00\x00\x00\x00", "null character"),
    ("missing", None, "cannot be read"),
]
COMMANDS = ("check", "picture", "review")


@pytest.fixture
def run(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Run the command with arguments in this process; return exit status, stdout and stderr."""

    def call(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["chuckscene", *arguments])
        capfd.readouterr()
        with pytest.raises(SystemExit) as left:
            cli.main()
        out, err = capfd.readouterr()
        return int(left.value.code or 0), out, err

    return call


@pytest.fixture
def good(scenario_file: Callable[[str], Path]) -> str:
    """Text of a scenario without a fault."""
    return scenario_file(GOOD).read_text(encoding="utf-8")


def refused(found: tuple[int, str, str], file: Path, field: str) -> None:
    """Exit status 2, nothing on stdout, one line on stderr that names file and field; others only behind a gap."""
    status, out, err = found
    assert status == 2, err
    assert out == ""
    err = err.partition("\n\n")[0].rstrip("\n") + "\n"
    assert err.count("\n") == 1, err
    assert err.startswith(f"error: {file}: "), err
    assert field in err, err
    assert "Traceback" not in err


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(("edit", "field"), [w[1:] for w in WRONG], ids=[w[0] for w in WRONG])
def test_wrong_scenario(
    run: Callable[..., tuple[int, str, str]],
    good: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    command: str,
    edit: Callable[[str], str],
    field: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    file = tmp_path / "setup.toml"
    file.write_text(edit(good), encoding="utf-8")
    refused(run(command, str(file)), file, field)
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["setup.toml"]


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(("content", "said"), [f[1:] for f in FILES], ids=[f[0] for f in FILES])
def test_no_scenario(
    run: Callable[..., tuple[int, str, str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    command: str,
    content: bytes | None,
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    file = tmp_path / "setup.toml"
    if content is not None:
        file.write_bytes(content)
    refused(run(command, str(file)), file, said)
    assert [p.name for p in tmp_path.rglob("*")] == ([] if content is None else ["setup.toml"])


@pytest.mark.parametrize("command", COMMANDS)
def test_a_directory(run: Callable[..., tuple[int, str, str]], tmp_path: Path, command: str) -> None:
    refused(run(command, str(tmp_path)), tmp_path, "directory")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("command", "place"),
    [("picture", "file"), ("picture", "file/x"), ("review", "folder"), ("review", "file/x.html")],
)
def test_out_where_nothing_can_be_written(
    run: Callable[..., tuple[int, str, str]],
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    command: str,
    place: str,
) -> None:
    (tmp_path / "file").write_bytes(b"kept")
    (tmp_path / "folder").mkdir()
    status, out, err = run(command, str(scenario_file(GOOD)), "--out", str(tmp_path / place))
    assert status == 2
    assert out == ""
    assert err.startswith(f"error: {tmp_path / place}: cannot be written")
    assert err.count("\n") == 1
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["file", "folder"]
    assert (tmp_path / "file").read_bytes() == b"kept"


def test_as_a_process(good: str, tmp_path: Path) -> None:
    """The same through a shell: status 2, one line, no traceback, nothing beside the file."""
    file = tmp_path / "setup.toml"
    file.write_text(swap(TRAVEL, 'travel = "3000 rpm"')(good), encoding="utf-8")
    found = subprocess.run(  # noqa: S603
        [sys.executable, "-c", "from sim.cli import main; main()", "check", str(file)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    refused((found.returncode, found.stdout, found.stderr), file, "boring.travel")
    assert [p.name for p in tmp_path.iterdir()] == ["setup.toml"]


def test_byte_order_mark_and_windows_lines_are_read(
    run: Callable[..., tuple[int, str, str]], good: str, tmp_path: Path
) -> None:
    file = tmp_path / "setup.toml"
    file.write_bytes(b"\xef\xbb\xbf" + good.replace("\n", "\r\n").encode())
    assert run("check", str(file))[0] == 0


@pytest.mark.parametrize(("name", "status"), [(GOOD, 0), ("cast_hub_ring_blocks", 1)])
def test_exit_status(
    run: Callable[..., tuple[int, str, str]], scenario_file: Callable[[str], Path], name: str, status: int
) -> None:
    code, out, err = run("check", str(scenario_file(name)))
    assert code == status
    assert err == ""
    word = "Passes what was asked" if status == 0 else "Do not run this setup as it is"
    assert word in out
    assert "Cautions" in out


def test_check_writes_nothing(
    run: Callable[..., tuple[int, str, str]],
    scenario_file: Callable[[str], Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("check", str(scenario_file(GOOD)), "--json")[0] == 0
    assert list(tmp_path.iterdir()) == []


def test_json_is_one_object(
    run: Callable[..., tuple[int, str, str]], scenario_file: Callable[[str], Path]
) -> None:
    def no_constant(text: str) -> float:
        pytest.fail(f"{text} is not JSON (RFC 8259)")

    _, out, _ = run("check", str(scenario_file(GOOD)), "--json")
    found = json.loads(out, parse_constant=no_constant)
    assert {v["status"] for v in found["verdicts"]} == {"pass"}
    assert found["status"] == "warn"  # neither program is stated
    assert [one["stage"] for one in found["not_judged"] if one["matters"]] == ["boring", "first side"]


def test_schema_names_every_table(run: Callable[..., tuple[int, str, str]]) -> None:
    code, out, _ = run("schema")
    assert code == 0
    assert {"machine", "chuck", "soft_jaw", "pockets", "boring", "operations"} <= set(
        json.loads(out)["properties"]
    )


def test_schema_of_the_report(run: Callable[..., tuple[int, str, str]]) -> None:
    code, out, _ = run("schema", "--report")
    assert code == 0
    assert {"grip", "contact", "hold", "verdicts", "cautions"} <= set(json.loads(out)["properties"])
    code, _, err = run("schema", "--report", "--study")
    assert code == 2
    assert "exclude each other" in err


def test_materials_state_a_source_each(run: Callable[..., tuple[int, str, str]]) -> None:
    code, out, _ = run("materials")
    assert code == 0
    assert "steel C45" in out
    assert "friction pairing" in out


def test_names_in_messages_are_ones_that_materials_lists(
    run: Callable[..., tuple[int, str, str]], good: str, tmp_path: Path
) -> None:
    """What the sentence offers for an unknown material can be found in the list of materials."""
    file = tmp_path / "setup.toml"
    file.write_text(swap('"steel C45"', '"cheese"')(good), encoding="utf-8")
    offered = re.findall(r"'([^']+)'", run("check", str(file))[2])[1:]
    listed = run("materials")[1]
    assert len(offered) >= 10
    assert all(name in listed for name in offered)


def test_a_reader_that_leaves_early_ends_without_a_verdict(scenario_file: Callable[[str], Path]) -> None:
    """As in `chuckscene check FILE --json | head -1`."""
    read, write = os.pipe()
    os.close(read)
    found = subprocess.run(  # noqa: S603
        [
            sys.executable,
            "-c",
            "from sim.cli import main; main()",
            "check",
            str(scenario_file(GOOD)),
            "--json",
        ],
        stdout=write,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(write)
    assert "Traceback" not in found.stderr
    assert found.stderr.count("\n") == 1
    assert found.returncode == 2
