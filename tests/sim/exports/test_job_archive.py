"""A job as one file: what is read back, and every way in which it could do harm or be another one."""

from __future__ import annotations

import io
import json
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sim.base.errors import ScenarioError
from sim.exports import job_archive
from sim.exports.handed import MANIFEST, HandedFile, manifest
from sim.exports.job_archive import job_of, read_job, told_apart
from sim.exports.job_files import job_files, require_inside
from sim.exports.zipped import zipped
from sim.scenario.scenario import read

CONTENT = {"files/a.toml": b"title", "figures/a.json": b"{}", "sheet.pdf": b"%PDF"}
ABOUT = {"scenarios": [{"file": "files/a.toml", "figures": "figures/a.json", "quick": True}]}


def stated(content: dict[str, bytes], about: dict[str, Any] | None = None) -> bytes:
    files = [HandedFile(name, one, "a file") for name, one in content.items()]
    return manifest("job", files, [], ABOUT if about is None else about)


def packed(content: dict[str, bytes], text: bytes | None = None) -> bytes:
    return zipped({MANIFEST: stated(content) if text is None else text, **content})


def test_a_job_is_read_back() -> None:
    found = job_of(packed(CONTENT))
    assert {name: found.files[name] for name in CONTENT} == CONTENT
    assert [(one.file, one.figures, one.quick) for one in found.scenarios] == [
        ("files/a.toml", "figures/a.json", True)
    ]
    assert packed(CONTENT) == packed(CONTENT)


def swapped() -> bytes:
    text = stated(CONTENT)
    return packed({**CONTENT, "sheet.pdf": CONTENT["figures/a.json"], "figures/a.json": b"%PDF"}, text)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (
            packed({**CONTENT, "sheet.pdf": b"%PDG"}, stated(CONTENT)),
            "sheet.pdf in it is not what was packed",
        ),
        (swapped(), "is not what was packed"),
        (packed({**CONTENT, "more": b""}, stated(CONTENT)), "holds more, which its manifest does not name"),
        (packed({"files/a.toml": b"title"}, stated(CONTENT)), "lacks figures/a.json"),
        (zipped(CONTENT), "has no manifest.json"),
        (packed(CONTENT, b"{}"), "no manifest of a chuckscene job"),
        (packed(CONTENT, stated(CONTENT).replace(b'"kind": "job"', b'"kind": "export"')), "no manifest"),
        (packed(CONTENT, stated(CONTENT, {})), "names no scenario"),
        (packed(CONTENT, stated(CONTENT, {"scenarios": [{"file": "b", "figures": "c"}]})), "are not in it"),
        (
            packed(CONTENT, stated(CONTENT, {"scenarios": [{"file": "sheet.pdf", "figures": "sheet.pdf"}]})),
            "outside of files",
        ),
        (b"no zip", "no whole zip file"),
        (packed(CONTENT)[:-30], "no whole zip file"),
    ],
)
def test_what_is_not_what_was_packed(content: bytes, said: str) -> None:
    with pytest.raises(ValueError, match=said.replace(".", r"\.")):
        job_of(content)


def test_one_changed_byte_anywhere_is_noticed() -> None:
    """Each byte of the whole file is turned round once: nothing but a refusal or the very same job comes of it."""
    whole = packed(CONTENT)
    wanted = job_of(whole)
    refused = 0
    for at in range(0, len(whole), 3):
        changed = bytearray(whole)
        changed[at] ^= 0x20
        try:
            found = job_of(bytes(changed))
        except ValueError:
            refused += 1
            continue
        assert dict(found.files) == dict(wanted.files)  # what says when or by which system it was packed
    assert refused > 0.6 * len(range(0, len(whole), 3))


@pytest.mark.parametrize(
    "name",
    [
        "../a", "files/../../a", "/etc/a", "files//a", "./a", "C:/a", "C:a", "..\\a", "a\\b", "files/", "nul",
        "files/CON.txt", "a\nb", "a\u202eb", "files/a.", "files/a ", "x" * 200, "MANIFEST.json", "FILES/A.toml",
    ],
)  # fmt: skip
def test_no_path_leaves_the_folder_or_is_another_one(name: str) -> None:
    content = {**CONTENT, name: b""}
    with pytest.raises(ValueError, match=r"path|name|twice"):
        job_of(packed(content))


def test_no_link_is_opened() -> None:
    whole = io.BytesIO(packed(CONTENT))
    with zipfile.ZipFile(whole, "a") as archive:
        link = zipfile.ZipInfo("files/link")
        link.create_system, link.external_attr = 3, 0o120777 << 16
        archive.writestr(link, b"/etc/passwd")
    with pytest.raises(ValueError, match="is a link or a device"):
        job_of(whole.getvalue())


def test_no_bomb_is_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job_archive, "LARGEST_FILE", 10_000)
    with pytest.raises(ValueError, match="unpacks to more than 10000 bytes"):
        job_of(packed({**CONTENT, "big": bytes(10_001)}))
    # One that states to be small: its own size stands in the entry and in the directory (PKZIP's APPNOTE, 4.3).
    whole = packed({**CONTENT, "big": bytes(100_000)})
    with pytest.raises(ValueError, match=r"no whole zip|not what was packed|unpacks to more"):
        job_of(whole.replace(struct.pack("<I", 100_000), struct.pack("<I", 50)))
    monkeypatch.setattr(job_archive, "LARGEST_JOB", 15_000)
    with pytest.raises(ValueError, match="unpacks to more than"):
        job_of(packed({**CONTENT, "big": bytes(9_000), "more": bytes(9_000)}))
    monkeypatch.setattr(job_archive, "MOST_FILES", 3)
    with pytest.raises(ValueError, match="holds 4 files, more than 3"):
        job_of(packed(CONTENT))


def test_a_device_or_nothing_is_no_job(tmp_path: Path) -> None:
    for path in (Path("/dev/zero"), tmp_path, tmp_path / "none.zip"):
        with pytest.raises(ScenarioError, match=r"cannot be read|must be one file"):
            read_job(path)


def test_the_files_of_a_job_keep_their_places(scenario_file: Callable[[str], Path], tmp_path: Path) -> None:
    text = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")
    (tmp_path / "parts").mkdir()
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "chuck.toml").write_text("[chuck]\nefficiency = 0.8\n", encoding="utf-8")
    path = tmp_path / "parts" / "hub.toml"
    path.write_text(f'include = ["../shop/chuck.toml"]\n{text}', encoding="utf-8")
    found, own = job_files([(path, read(path))])
    assert sorted(found) == ["files/parts/hub.toml", "files/shop/chuck.toml"]
    assert own == ["files/parts/hub.toml"]
    assert found[own[0]] == path.read_bytes()


@pytest.mark.parametrize(
    ("head", "rest", "other"),
    [
        ('include = ["../../x.toml"]\n', "", ""),
        ('include = ["/etc/hostname"]\n', "", ""),
        ('shop_files = ["../../x.toml"]\n', "", ""),
        ("", '[soft_jaw.model]\nfile = "../../../jaw.stl"\n', ""),
        ("", '[boring.program]\nfile = "/dev/zero"\n', ""),
        ("", '[[operations]]\nprogram = { file = "C:/x.nc" }\n', ""),
        ('include = ["other.toml"]\n', "", '[boring.program]\nfile = "../../x.nc"\n'),
        ('shop_files = ["other.toml"]\n', "", '[[tools]]\nhead = { drawing = { file = "../../x.dxf" } }\n'),
    ],
)
def test_no_file_out_of_the_job_is_named(tmp_path: Path, head: str, rest: str, other: str) -> None:
    folder = tmp_path / "job" / "files"
    folder.mkdir(parents=True)
    (folder / "a.toml").write_text(f"{head}title = 'a'\n{rest}", encoding="utf-8")
    (folder / "other.toml").write_text(other or "[chuck]\n", encoding="utf-8")
    with pytest.raises(ScenarioError, match="must name files of the job only"):
        require_inside(tmp_path / "job", [folder / "a.toml"])


@pytest.mark.parametrize(("key", "refused"), [("include", True), ("shop_files", False)])
def test_paths_count_from_where_they_are_read(tmp_path: Path, key: str, *, refused: bool) -> None:
    """In an included file from the scenario's folder, in a shop file from its own: only one of these leaves the job."""
    folder = tmp_path / "job" / "files"
    (folder / "sub").mkdir(parents=True)
    (folder / "a.toml").write_text(f'{key} = ["sub/other.toml"]\n', encoding="utf-8")
    (folder / "sub" / "other.toml").write_text('[soft_jaw.model]\nfile = "../../x.stl"\n', encoding="utf-8")
    if not refused:
        require_inside(tmp_path / "job", [folder / "a.toml"])
        return
    with pytest.raises(ScenarioError, match="must name files of the job only"):
        require_inside(tmp_path / "job", [folder / "a.toml"])


def test_what_stays_inside_may_be_named(tmp_path: Path) -> None:
    folder = tmp_path / "files" / "parts"
    folder.mkdir(parents=True)
    (folder / "a.toml").write_text('include = ["../b.toml"]\n[boring.program]\nfile = "../x.nc"\n', "utf-8")
    (folder.parent / "b.toml").write_text("[chuck]\n", encoding="utf-8")
    require_inside(tmp_path, [folder / "a.toml"])


def test_figures_are_told_apart_and_sentences_are_not() -> None:
    report = {
        "status": "pass",
        "grip": [{"rest_total_N": 1000.0, "limit": None}],
        "message": "1000 N",
        "on": True,
    }
    same = json.loads(json.dumps(report))
    same["grip"][0]["rest_total_N"] *= 1.0 + 1e-7
    same["message"] = "other words"
    assert told_apart(report, same) == []
    for change, place in (
        ({"status": "fail"}, "status"),
        ({"grip": [{"rest_total_N": 1001.0, "limit": None}]}, "grip[0].rest_total_N"),
        ({"grip": [{"rest_total_N": 1000.0, "limit": 3.0}]}, "grip[0].limit"),
        ({"grip": []}, "grip"),
        ({"on": False}, "on"),
        ({"new": 1}, ".new"),
    ):
        assert told_apart(report, {**report, **change}) == [place]
