import ast
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import sim.contact.elastic
import sim.contact.part
from sim.contact import ContactSetup, GripGeometry, GripLoad, Hole, JawBlock, TurnedPart, cache, prepare
from sim.contact.cache import cache_key, default_cache, maker, sources, store, stored

SHAPES = {"a": (2, 2), "b": (3,)}
ARRAYS = {"a": np.eye(2), "b": np.arange(3.0)}
SMALL = ContactSetup(
    part=TurnedPart(np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 30.0], [0.0, 30.0]]), 210_000.0, 0.3),
    grip=GripGeometry(20.0, 20.0, 20.0, 0.0, 10.0, edge_chamfer_mm=0.5),
    jaw=JawBlock(back_radius_mm=50.0, height_mm=20.0, modulus_mpa=210_000.0, poisson=0.3),
    load=GripLoad(10_000.0),
    model="elastic",
    strips=8,
    bands=2,
)


def test_what_is_stored_is_read(tmp_path):
    store(tmp_path / "new", "key", ARRAYS)
    read = stored(tmp_path / "new", "key", SHAPES)
    assert all(np.array_equal(read[name], ARRAYS[name]) for name in ARRAYS)
    assert [path.suffix for path in (tmp_path / "new").iterdir()] == [".npz"]


@pytest.mark.parametrize("damage", [b"", b"not an archive", None])
def test_a_damaged_file_counts_as_none(tmp_path, damage):
    store(tmp_path, "key", ARRAYS)
    path = tmp_path / "key.npz"
    path.write_bytes(path.read_bytes()[:-40] if damage is None else damage)
    assert stored(tmp_path, "key", SHAPES) is None


def test_a_missing_file_or_wrong_shape_counts_as_none(tmp_path):
    assert stored(tmp_path, "key", SHAPES) is None
    store(tmp_path, "key", ARRAYS)
    assert stored(tmp_path, "key", SHAPES | {"b": (4,)}) is None
    assert stored(tmp_path, "key", SHAPES | {"c": (1,)}) is None
    store(tmp_path, "key", ARRAYS | {"b": np.array([1.0, np.nan, 2.0])})
    assert stored(tmp_path, "key", SHAPES) is None


def test_a_folder_that_cannot_be_written_costs_nothing(tmp_path):
    (tmp_path / "file").write_text("in the way")
    store(tmp_path / "file", "key", ARRAYS)
    assert stored(tmp_path / "file", "key", SHAPES) is None


def test_old_files_go(tmp_path, monkeypatch):
    monkeypatch.setattr("sim.contact.cache._KEPT", 3)
    for number in range(5):
        store(tmp_path, f"key{number}", ARRAYS)
    assert len(list(tmp_path.iterdir())) == 3
    assert stored(tmp_path, "key4", SHAPES) is not None


def test_what_is_used_stays(tmp_path, monkeypatch):
    """However many entries come after it; of those that nobody asks for the oldest go."""
    monkeypatch.setattr("sim.contact.cache._KEPT", 3)
    store(tmp_path, "used", ARRAYS)
    for number in range(5):
        for age, path in enumerate(sorted(tmp_path.iterdir(), key=lambda path: -path.stat().st_mtime_ns)):
            os.utime(
                path, (1e9 - age, 1e9 - age)
            )  # clocks of file systems are too coarse to tell the steps apart
        assert stored(tmp_path, "used", SHAPES) is not None
        store(tmp_path, f"key{number}", ARRAYS)
    assert {path.stem for path in tmp_path.iterdir()} == {"used", "key3", "key4"}


def test_keys_tell_values_shapes_and_kinds_apart():
    values = [1.0, 1, "1", True, None, (1.0,), ((1.0,),), np.array([1.0]), np.array([[1.0]]), 1.0 + 1e-16 * 4]
    assert len({cache_key(value) for value in values}) == len(values)
    assert cache_key(0.1 + 0.2) != cache_key(0.3)
    assert cache_key((1.0, 2.0), 3.0) == cache_key((1.0, 2.0), 3.0)
    with pytest.raises(TypeError, match="dict"):
        cache_key({})


def test_the_folder_follows_the_xdg_specification(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert default_cache() == tmp_path / "chuckscene" / "contact"
    monkeypatch.setenv("XDG_CACHE_HOME", "relative/is/ignored")
    assert default_cache() == Path.home() / ".cache" / "chuckscene" / "contact"
    monkeypatch.delenv("XDG_CACHE_HOME")
    assert default_cache() == Path.home() / ".cache" / "chuckscene" / "contact"


def test_other_systems_have_folders_of_their_own(monkeypatch, tmp_path):
    """A folder named as on Linux is hidden from, or unknown to, the users of other systems."""
    folder = tmp_path / "Library" / "Caches" / "chuckscene"
    monkeypatch.setattr("sim.base.user_cache.user_cache_path", lambda *_, **__: folder)
    assert default_cache() == folder / "contact"


@pytest.mark.parametrize("place", [0.0, 0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 1.0])
def test_no_flipped_bit_gives_other_figures(tmp_path, place):
    """Each bit of a byte anywhere in an entry, headers and checksum too: what was stored, or nothing."""
    store(tmp_path, "key", ARRAYS)
    path = tmp_path / "key.npz"
    whole = path.read_bytes()
    at = round(place * (len(whole) - 1))
    for bit in range(8):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1 << bit]) + whole[at + 1 :])
        read = stored(tmp_path, "key", SHAPES)
        assert read is None or all(np.array_equal(read[name], ARRAYS[name]) for name in ARRAYS)


def test_a_flipped_bit_in_a_figure_counts_as_none(tmp_path):
    """Also where nothing else would notice: the archive's own sums are made anew, as by another program."""
    store(tmp_path, "key", ARRAYS)
    with np.load(tmp_path / "key.npz") as archive:
        entries = {name: archive[name].copy() for name in archive.files}
    entries["b"].view(np.uint8)[12] ^= 1
    np.savez(tmp_path / "key.npz", **entries)
    assert stored(tmp_path, "key", SHAPES) is None


@pytest.mark.parametrize("kept", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_a_truncated_entry_counts_as_none(tmp_path, kept):
    store(tmp_path, "key", ARRAYS)
    path = tmp_path / "key.npz"
    whole = path.read_bytes()
    path.write_bytes(whole[: int(kept * len(whole))])
    assert stored(tmp_path, "key", SHAPES) is None


@pytest.mark.parametrize("body", [0, 1])
@pytest.mark.parametrize("damage", ["flipped", "truncated", "foreign", "of an older version"])
def test_a_spoiled_entry_is_computed_anew_and_mended(tmp_path, damage, body, monkeypatch):
    """The figures are those of an empty cache, and the entry, of part or jaw, is good again."""
    before = prepare(SMALL, cache=tmp_path)
    both = sorted(tmp_path.glob("*.npz"))
    path = both[body]
    whole = path.read_bytes()
    if damage == "flipped":
        at = len(whole) // 2
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 16]) + whole[at + 1 :])
    elif damage == "truncated":
        path.write_bytes(whole[: len(whole) // 2])
    else:
        with np.load(path) as archive:
            entries = {name: archive[name].copy() for name in archive.files}
        if (
            damage == "foreign"
        ):  # another body's figures, of the same shapes and rightly signed for its own key
            changed = {name: 2.0 * array for name, array in entries.items() if name != "sum"}
            path.unlink()
            store(tmp_path, "0" * 64, changed)
            (tmp_path / f"{'0' * 64}.npz").rename(path)
        else:  # before entries had a checksum
            del entries["sum"]
            np.savez(path, **entries)
    after = prepare(SMALL, cache=tmp_path)
    assert np.array_equal(before.total_mm_n, after.total_mm_n)
    assert sorted(tmp_path.iterdir()) == both
    monkeypatch.setattr("sim.contact.elastic._made", None)  # what is kept must be enough now
    assert np.array_equal(prepare(SMALL, cache=tmp_path).total_mm_n, before.total_mm_n)


@pytest.mark.parametrize(
    ("change", "computed"),
    [
        ({"jaw": replace(SMALL.jaw, holes=(Hole(38.0, 8.0, 0.0, 20.0),))}, ["jaw"]),
        ({"jaw": replace(SMALL.jaw, modulus_mpa=70e3)}, ["jaw"]),
        ({"grip": replace(SMALL.grip, bore_radius_mm=SMALL.grip.bore_radius_mm + 0.2)}, ["jaw"]),
        ({"part": replace(SMALL.part, modulus_mpa=110e3)}, ["part"]),
        ({"grip": replace(SMALL.grip, jaw_offsets_mm=(0.1, 0.0, 0.0)), "load": GripLoad(1.0)}, []),
        ({"grip": replace(SMALL.grip, z_high_mm=SMALL.grip.z_high_mm - 2.0)}, ["jaw", "part"]),
        ({"grip": replace(SMALL.grip, width_mm=SMALL.grip.width_mm - 2.0)}, ["jaw", "part"]),
    ],
)
def test_a_body_that_has_not_changed_is_not_computed_anew(tmp_path, monkeypatch, change, computed):
    """A moved screw leaves the part, another part the jaw; and the figures are those of an empty cache."""
    prepare(SMALL, cache=tmp_path / "warm")
    made = []
    whole = sim.contact.elastic._made

    def noted(body):
        found = whole(body)
        made.append("jaw" if "jaw" in found else "part")
        return found

    monkeypatch.setattr(sim.contact.elastic, "_made", noted)
    other = replace(SMALL, **change)
    found = prepare(other, cache=tmp_path / "warm")
    assert sorted(made) == computed
    assert np.array_equal(found.total_mm_n, prepare(other, cache=tmp_path / "cold").total_mm_n)


@pytest.fixture
def forgetful(monkeypatch):
    """The digest of the code is taken anew within the test, and after it."""
    yield
    monkeypatch.undo()
    maker.cache_clear()


@pytest.fixture
def changed_source(tmp_path, monkeypatch, forgetful):  # noqa: ARG001
    """The cache's sources with a line added to one of them."""

    def change(name, line="# nothing else\n"):
        copies = []
        for path in sources():
            copy = tmp_path / "source" / path.name
            copy.parent.mkdir(exist_ok=True)
            copy.write_bytes(path.read_bytes() + (line.encode() if path.name == name else b""))
            copies.append(copy)
        monkeypatch.setattr(cache, "sources", lambda: copies)
        maker.cache_clear()

    return change


def test_every_module_that_the_elements_come_from_is_a_source(root):
    """Whatever a source imports of the project is a source, too; errors, and how a file is read, decide no figure."""
    kept = {path.resolve() for path in sources()}
    imported = set()
    for path in kept:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [name.name for name in node.names] if isinstance(node, ast.Import) else []
            imported |= {name for name in names if name.split(".")[0] in ("sim", "meshes", "")}
    assert {"sim.contact.face", "sim.base.threads"} <= imported
    files = {
        root / f"{name.replace('.', '/')}.py"
        for name in imported - {"sim.base.errors", "sim.base.files", "sim.base.limits"}
    }
    assert files <= kept
    assert root / "sim" / "contact" / "part.py" in kept


@pytest.mark.parametrize("name", ["part.py", "jaw.py", "substructure.py", "cache.py", "threads.py"])
def test_other_source_other_key(changed_source, name):
    before = cache_key(1.0)
    changed_source("no file")
    assert cache_key(1.0) == before
    changed_source(name)
    assert cache_key(1.0) != before


@pytest.mark.usefixtures("forgetful")
@pytest.mark.parametrize("library", ["np", "scipy", "shapely"])
def test_other_libraries_other_key(monkeypatch, library):
    before = cache_key(1.0)
    monkeypatch.setattr(getattr(cache, library), "__version__", "0.0.1")
    maker.cache_clear()
    assert cache_key(1.0) != before


@pytest.mark.usefixtures("forgetful")
def test_other_finite_elements_other_key(monkeypatch):
    before = cache_key(1.0)
    monkeypatch.setattr(cache, "version", lambda _: "0.0.1")
    maker.cache_clear()
    assert cache_key(1.0) != before


@pytest.mark.usefixtures("forgetful")
def test_without_source_nothing_is_known_again(monkeypatch):
    monkeypatch.setattr(cache, "sources", list)
    maker.cache_clear()
    before = cache_key(1.0)
    maker.cache_clear()
    assert cache_key(1.0) != before


def test_a_changed_law_does_not_give_the_old_figures(tmp_path, changed_source, monkeypatch):
    """Hooke's law written anew as half as stiff: from a warm cache the part must come out twice as soft."""
    setup = SMALL
    before = prepare(setup, cache=tmp_path)
    assert np.array_equal(prepare(setup, cache=tmp_path).harmonics.band_mm, before.harmonics.band_mm)
    law = sim.contact.part.elastic_matrix
    monkeypatch.setattr(
        sim.contact.part, "elastic_matrix", lambda modulus, poisson: 0.5 * law(modulus, poisson)
    )
    changed_source("part.py", "# as the line above says\n")
    after = prepare(setup, cache=tmp_path)
    np.testing.assert_allclose(after.harmonics.band_mm, 2.0 * before.harmonics.band_mm, rtol=1e-6)


def test_an_entry_of_another_key_counts_as_none(tmp_path):
    store(tmp_path, "one", ARRAYS)
    (tmp_path / "one.npz").rename(tmp_path / "two.npz")
    assert stored(tmp_path, "two", SHAPES) is None


def test_changed_figures_count_as_none(tmp_path):
    store(tmp_path, "key", ARRAYS)
    with np.load(tmp_path / "key.npz") as archive:
        entries = dict(archive)
    np.savez(tmp_path / "key.npz", **entries)
    assert stored(tmp_path, "key", SHAPES) is not None
    np.savez(tmp_path / "key.npz", **entries | {"a": 2.0 * ARRAYS["a"]})
    assert stored(tmp_path, "key", SHAPES) is None


def test_the_tests_have_a_cache_of_their_own():
    used = default_cache()
    assert "chuckscene-test-cache-" in str(used)
    code = "from sim.contact import default_cache; print(default_cache())"
    found = subprocess.run(  # noqa: S603  our own words
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=os.environ
    )
    assert Path(found.stdout.strip()) == used
