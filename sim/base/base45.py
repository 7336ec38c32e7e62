"""Bytes as text of the 45 characters that a QR code holds two in eleven bits (RFC 9285)."""

from __future__ import annotations

LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_VALUES = {letter: value for value, letter in enumerate(LETTERS)}


def base45(data: bytes) -> str:
    """Return bytes as text: three characters for two bytes, two for a last one, the lowest digit first."""
    found: list[str] = []
    for at in range(0, len(data), 2):
        pair = data[at : at + 2]
        value = int.from_bytes(pair)
        for _ in range(len(pair) + 1):
            value, digit = divmod(value, 45)
            found.append(LETTERS[digit])
    return "".join(found)


def from_base45(text: str) -> bytes:
    """Return the bytes of such a text.

    Raises
    ------
    ValueError
        If no bytes are written so: one sentence.
    """
    if len(text) % 3 == 1:
        raise ValueError(f"must have a length of 3 n or 3 n + 2 characters, found {len(text)}")
    found = bytearray()
    for at in range(0, len(text), 3):
        letters = text[at : at + 3]
        value = 0
        for letter in reversed(letters):
            if letter not in _VALUES:
                raise ValueError(f"must hold digits, capitals and ' $%*+-./:' only, found {letter!r}")
            value = 45 * value + _VALUES[letter]
        count = len(letters) - 1
        if value >= 256**count:
            raise ValueError(f"must stand for bytes, found '{letters}'")
        found += value.to_bytes(count)
    return bytes(found)
