"""Fixed words of sheets in the language of who works from them: what is not in the table stays English.

The table's keys are the English phrases as they stand in the code, places for figures and names in braces.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any, Literal

Language = Literal["en", "de"]
LANGUAGES: tuple[Language, ...] = ("en", "de")
_POINT = re.compile(r"(?<=\d)\.(?=\d)")
COMMA: frozenset[Language] = frozenset({"de"})  # languages that write 1,5


def said(language: Language, english: str, **values: Any) -> str:
    """Return a phrase in a language, with its figures and names put in."""
    phrase = english if language == "en" else phrases(language).get(english, english)
    return phrase.format(**values) if values else phrase


def number(language: Language, text: str) -> str:
    """Return words with every figure in them as a language writes it, of those that have a decimal point."""
    return _POINT.sub(",", text) if language in COMMA else text


@cache
def phrases(language: Language) -> dict[str, str]:
    """Return the table of a language, by the English phrases."""
    text = Path(__file__).with_name(f"phrases_{language}.toml").read_text(encoding="utf-8")
    return {english: other for table in tomllib.loads(text).values() for english, other in table.items()}
