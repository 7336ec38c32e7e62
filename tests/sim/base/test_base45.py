"""Base45 against the examples of RFC 9285, 4.3 and 4.4, and there and back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.base.base45 import LETTERS, base45, from_base45

RFC_9285 = ((b"AB", "BB8"), (b"Hello!!", "%69 VD92EX0"), (b"base-45", "UJCLQE7W581"), (b"ietf!", "QED8WEX0"))


@pytest.mark.parametrize(("data", "text"), RFC_9285)
def test_examples_of_the_rfc(data: bytes, text: str) -> None:
    assert base45(data) == text
    assert from_base45(text) == data


@given(st.binary(max_size=40))
def test_there_and_back(data: bytes) -> None:
    text = base45(data)
    assert set(text) <= set(LETTERS)
    assert from_base45(text) == data


# 65536 stands in no two bytes (the RFC's own example), 256 in no single one.
@pytest.mark.parametrize("text", ["GGW", ":::", "V5", "A", "BB8A", "bb8", "BB\n", "BBé"])
def test_what_stands_for_no_bytes_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="must"):
        from_base45(text)
