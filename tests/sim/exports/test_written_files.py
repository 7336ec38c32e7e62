"""STL, 3MF, CSV, manifest and folder: read again by readers that share no code with the writers."""

from __future__ import annotations

import csv
import io
import os
import struct
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import trimesh

from meshes import soft_jaw
from meshes.soft_jaw import SoftJawBlank
from sim.base.beside import BEFORE
from sim.base.errors import OutputError
from sim.exports.csv_tables import table
from sim.exports.folder import require_free, write_folder
from sim.exports.handed import MANIFEST, HandedFile, digest, manifest, stated_files
from sim.exports.triangles import stl, three_mf

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
JAW = soft_jaw.mesh(SoftJawBlank(110.0, 50.0, 60.0, 50.0, (60.0, 90.0), 13.0, 20.0, 14.0))


def test_stl_is_read_by_trimesh() -> None:
    content = stl(JAW, "a jaw, mm")
    assert content[:80].rstrip() == b"a jaw, mm"
    read = trimesh.load(io.BytesIO(content), file_type="stl")
    assert read.is_watertight
    assert read.volume == pytest.approx(JAW.volume, rel=1e-6)
    assert len(content) == 84 + 50 * struct.unpack_from("<I", content, 80)[0]
    with pytest.raises(ValueError, match="solid"):
        stl(JAW, "solid jaw")


def test_3mf_is_a_package_with_one_closed_solid_in_millimetres() -> None:
    content = three_mf(JAW, 'jaw "A" <1>')
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        assert package.testzip() is None
        relations = ElementTree.fromstring(package.read("_rels/.rels"))  # noqa: S314
        (target,) = [one.attrib["Target"] for one in relations]
        model = ElementTree.fromstring(package.read(target.lstrip("/")))  # noqa: S314
        assert "[Content_Types].xml" in package.namelist()
    assert model.tag == f"{CORE}model"
    assert model.attrib["unit"] == "millimeter"
    (solid,) = model.iter(f"{CORE}object")
    assert solid.attrib["name"] == 'jaw "A" <1>'
    assert [one.attrib["objectid"] for one in model.iter(f"{CORE}item")] == [solid.attrib["id"]]
    corners = [[float(v.attrib[k]) for k in "xyz"] for v in model.iter(f"{CORE}vertex")]
    faces = [[int(t.attrib[k]) for k in ("v1", "v2", "v3")] for t in model.iter(f"{CORE}triangle")]
    read = trimesh.Trimesh(np.array(corners), np.array(faces), process=False)
    assert read.is_watertight
    assert read.is_winding_consistent
    assert read.volume == pytest.approx(JAW.volume, rel=1e-7)
    assert content == three_mf(JAW, 'jaw "A" <1>')


@pytest.mark.parametrize(
    ("words", "written"),
    [*((one, f"'{one}") for one in ("=1+2", "+1", "-x", "@sum")), ("\tx", r"\x09x"), ("\r=x", r"\x0d=x")],
)
def test_no_text_is_a_formula_and_numbers_stay_numbers(words: str, written: str) -> None:
    text = table([{"name": words, "force_N": -12.5, "none": None, "far": float("inf")}]).decode()
    head, row = csv.reader(io.StringIO(text, newline=""))
    assert head == ["name", "force_N", "none", "far"]
    assert row == [written, "-12.5", "", ""]


def files(**content: bytes) -> dict[str, bytes]:
    made = [HandedFile(name, one, "a file") for name, one in content.items()]
    return {**content, MANIFEST: manifest("export", made, [], {})}


def test_the_manifest_names_every_file_with_its_digest() -> None:
    text = files(a=b"one", b=b"")[MANIFEST]
    assert stated_files(text, "export") == {"a": (3, digest(b"one")), "b": (0, digest(b""))}
    # SHA-256 of nothing (FIPS 180-4, as widely printed).
    assert digest(b"") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    for wrong in (b"", b"[]", b"{}", b'{"made_by": "chuckscene"}', text.replace(b"export", b"other", 1)):
        with pytest.raises(ValueError, match="no manifest"):
            stated_files(wrong, "export")


def test_a_folder_is_replaced_only_where_all_in_it_is_ours(tmp_path: Path) -> None:
    place = tmp_path / "out"
    write_folder(place, files(a=b"one"), "export", replace=False)
    with pytest.raises(OutputError, match="is there already"):
        require_free(place, "export", replace=False)
    require_free(place, "export", replace=True)
    with pytest.raises(OutputError, match="is there already"):  # it came while files were made
        write_folder(place, files(b=b"two"), "export", replace=False)
    write_folder(place, files(b=b"two"), "export", replace=True)
    assert sorted(p.name for p in place.iterdir()) == ["b", MANIFEST]
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
    (place / "b").write_bytes(b"by hand")
    with pytest.raises(OutputError, match="b in it has been changed"):
        require_free(place, "export", replace=True)
    (place / "b").write_bytes(b"two")
    (place / "notes.txt").write_bytes(b"mine")
    with pytest.raises(OutputError, match=r"notes\.txt in it is no file"):
        require_free(place, "export", replace=True)
    with pytest.raises(OutputError, match="no manifest"):
        require_free(place, "job", replace=True)


def test_a_folder_without_our_manifest_or_a_link_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "other")
    (tmp_path / "file").write_bytes(b"")
    for name, said in (("other", "no manifest"), ("link", "it is a link"), ("file", "it is a file")):
        with pytest.raises(OutputError, match=said):
            require_free(tmp_path / name, "export", replace=True)


def test_what_cannot_be_written_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "out"
    write_folder(place, files(a=b"one"), "export", replace=False)
    rename = Path.rename

    def full(self: Path, target: Path) -> Path:
        if target == place and not self.name.endswith(BEFORE):
            raise OSError(28, os.strerror(28))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", full)
    with pytest.raises(OutputError, match="cannot be written"):
        write_folder(place, files(b=b"two"), "export", replace=True)
    assert sorted(p.name for p in place.iterdir()) == ["a", MANIFEST]
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
