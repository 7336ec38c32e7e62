from pathlib import Path

import numpy as np
import pytest

from sim.contact.cache import cache_key, default_cache, store, stored

SHAPES = {"a": (2, 2), "b": (3,)}
ARRAYS = {"a": np.eye(2), "b": np.arange(3.0)}


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
