"""Looking for garbage goes on as it was, whatever is raised meanwhile."""

from __future__ import annotations

import gc

import pytest

from sim.base.garbage import left_alone


def test_it_goes_on_afterwards() -> None:
    assert gc.isenabled()
    with left_alone():
        assert not gc.isenabled()
    assert gc.isenabled()
    with pytest.raises(KeyError), left_alone():
        raise KeyError
    assert gc.isenabled()


def test_who_looks_for_none_goes_on_looking_for_none() -> None:
    gc.disable()
    try:
        with left_alone():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()
