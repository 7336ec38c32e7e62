"""Text of a file as it may reach a terminal: nothing in it moves the cursor, changes colours or turns words round."""

from __future__ import annotations

import unicodedata

# Control and format characters (with the bidirectional ones), halves of a pair, private and unassigned ones, breaks.
_UNSEEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def printable(text: str, kept: str = "") -> str:
    r"""Return a text with every character that a terminal would obey written out, as in '\x1b' or '\u202e'.

    Parameters
    ----------
    text : str
    kept : str
        Characters that stay, as "\n" where a text has lines of its own.
    """
    if text.isprintable():
        return text
    return "".join(c if c in kept or not _unseen(c) else _written_out(c) for c in text)


def json_printable(text: str) -> str:
    """Return JSON that means the same without such characters: they can stand in its strings only, escaped."""
    if text.replace("\n", "").isprintable():
        return text
    return "".join(c if c == "\n" or not _unseen(c) else _json_escape(c) for c in text)


def _unseen(character: str) -> bool:
    return unicodedata.category(character) in _UNSEEN


def _written_out(character: str) -> str:
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _json_escape(character: str) -> str:
    code = ord(character)
    if code < 0x10000:
        return f"\\u{code:04x}"
    code -= 0x10000
    return f"\\u{0xD800 + (code >> 10):04x}\\u{0xDC00 + (code & 0x3FF):04x}"
