"""A scenario as the text of codes on paper, and back: JSON, deflated (RFC 1951), in base45 (RFC 9285).

Each text says what it is, which of how many, and a check of the whole: ``CHUCKSCENE1:1/2:0A1B2C3D:...:``. It ends in a
colon, so that a space before it is not lost on the way.
"""

from __future__ import annotations

import hashlib
import json
import re
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sim.base.base45 import base45, from_base45
from sim.base.errors import ScenarioError
from sim.base.limits import CODE, UNPACKED_CODE
from sim.scenario.included import KEY
from sim.setup_sheet.bundle import Bundle, is_inside

PREFIX = "CHUCKSCENE1:"
MOST_LETTERS = 2506  # of one code: version 34 at level M (ISO/IEC 18004, table of capacities)
MOST_CODES = 4
LARGEST_TEXT, LARGEST_INSIDE = CODE.most, UNPACKED_CODE.most
_HEAD = re.compile(r"CHUCKSCENE1:([1-9])/([1-9]):([0-9A-F]{8}):")
_ANY_VERSION = re.compile(r"CHUCKSCENE(\d+):")
KEYS = {"name": str, "tables": dict, "included": list, "files": list, "apart": list, "digest": str}


@dataclass(frozen=True, slots=True)
class Codes:
    """What codes hold, and the files of the scenario that they do not.

    Attributes
    ----------
    texts : tuple of str
        Of each code; none where even the scenario's tables are longer than so many codes.
    apart : tuple of str
        Names of files.
    """

    texts: tuple[str, ...]
    apart: tuple[str, ...]


def code_texts(bundle: Bundle) -> Codes:
    """Return a scenario as the texts of as few codes as hold it; the files that it names go along where they fit."""
    for one in (bundle, bundle.without_files):
        data = _deflated(one)
        letters, room = base45(data), MOST_LETTERS - len(_framed("", 1, 1, data))
        count = -(-len(letters) // room)
        if count <= MOST_CODES:
            each = -(-len(letters) // count)
            parts = [letters[at : at + each] for at in range(0, len(letters), each)]
            texts = tuple(_framed(part, k, len(parts), data) for k, part in enumerate(parts, start=1))
            return Codes(texts, tuple(name for name, _ in one.apart))
    return Codes((), (bundle.name, *(name for name, _ in bundle.without_files.apart)))


def _framed(letters: str, number: int, count: int, data: bytes) -> str:
    return f"{PREFIX}{number}/{count}:{_checksum(data)}:{letters}:"


def _checksum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:8].upper()


def _deflated(bundle: Bundle) -> bytes:
    content = {
        "name": bundle.name,
        "tables": bundle.tables,
        "included": bundle.included,
        # Any bytes are text of this encoding, and a program is the shorter for it.
        "files": [(name, data.decode("latin-1")) for name, data in bundle.files],
        "apart": bundle.apart,
        "digest": bundle.digest,
    }
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    made = zlib.compressobj(9, zlib.DEFLATED, -15, 9)
    return made.compress(text.encode()) + made.flush()


def bundle_of(text: str, where: str) -> Bundle:
    """Return what codes hold, read in any order; `where` names their text in messages.

    Raises
    ------
    ScenarioError
        If they are damaged, not all there, of something else, or hold too much: one sentence.
    """
    data = _inflated(_joined(text, where), where)
    try:
        content = json.loads(data.decode("utf-8"), parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise ScenarioError(f"{where}: is a code that holds no scenario") from None
    return _bundle(content, where)


def _joined(text: str, where: str) -> bytes:
    """Return the deflated bytes of all codes in a text."""
    heads, parts = _parts(text, where)
    if len({head[2] for head in heads}) > 1 or len({head[3] for head in heads}) > 1:
        raise ScenarioError(f"{where}: must be the codes of one setup, found codes of several")
    count, check = int(heads[0][2]), heads[0][3]
    if set(parts) != set(range(1, count + 1)):
        told = ", ".join(map(str, sorted(parts)))
        raise ScenarioError(f"{where}: must be all {count} codes of the sheet, found {told}")
    try:
        data = from_base45("".join(parts[n] for n in range(1, count + 1)))
    except ValueError:
        data = b""
    if _checksum(data) != check:
        raise ScenarioError(
            f"{where}: is damaged: its characters do not give its check, {check}; read it once more"
        )
    return data


def _parts(text: str, where: str) -> tuple[list[re.Match[str]], dict[int, str]]:
    """Return the heads of all codes in a text, and what each code holds, by its number."""
    if len(text) > LARGEST_TEXT:
        raise ScenarioError(f"{where}: must be at most {LARGEST_TEXT} characters of codes, found {len(text)}")
    # Lines break anywhere on the way through mail and terminals; no code holds a break.
    text = re.sub(r"[\r\n\t\ufeff]", "", text).strip()
    heads = list(_HEAD.finditer(text))
    if not heads or heads[0].start() != 0:
        other = _ANY_VERSION.match(text)
        if other is not None and other[1] != "1":
            raise ScenarioError(
                f"{where}: is a code of version {other[1]}, this chuckscene reads version 1; a newer one reads it"
            )
        raise ScenarioError(
            f"{where}: must be the text of a setup sheet's code, which begins with '{PREFIX}', found '{text[:20]}'"
        )
    ends = [*(head.start() for head in heads[1:]), len(text)]
    parts: dict[int, str] = {}
    for head, end in zip(heads, ends, strict=True):
        part = text[head.end() : end].rstrip()
        if not part.endswith(":"):
            raise ScenarioError(
                f"{where}: code {head[1]} is not whole: it must end in ':'; read it once more"
            )
        if parts.setdefault(int(head[1]), part[:-1]) != part[:-1]:
            raise ScenarioError(
                f"{where}: code {head[1]} stands there twice, and not the same; read it once more"
            )
    return heads, parts


def _inflated(data: bytes, where: str) -> bytes:
    """Return the bytes that were deflated, never more than a scenario may have."""
    made = zlib.decompressobj(-15)
    try:
        found = made.decompress(data, LARGEST_INSIDE)
    except zlib.error:
        raise ScenarioError(f"{where}: is a code that holds no scenario") from None
    if not made.eof and (made.unconsumed_tail or len(found) == LARGEST_INSIDE):
        raise ScenarioError(f"{where}: must hold at most {LARGEST_INSIDE} bytes, found more")
    if not made.eof or made.unused_data:
        raise ScenarioError(f"{where}: is a code that holds no scenario")
    return found


def _no_number(word: str) -> float:
    raise ValueError(word)


def _bundle(content: Any, where: str) -> Bundle:
    """Return what a code's JSON says, nothing in it taken on trust."""
    foreign = ScenarioError(f"{where}: is a code that holds no scenario of this chuckscene")
    if not isinstance(content, Mapping) or set(content) != set(KEYS):
        raise foreign
    if not all(isinstance(content[key], kind) for key, kind in KEYS.items()):
        raise foreign
    if not all(_is_pair(one, dict) for one in content["included"]):
        raise foreign
    if not all(_is_pair(one, str) for key in ("files", "apart") for one in content[key]):
        raise foreign
    names = [content["name"], *(name for key in ("included", "files") for name, _ in content[key])]
    # A code may come from anybody: it must not name a place outside of the folder that it is laid out in.
    bad = [name for name in names if not is_inside(name)]
    if bad or "/" in names[0] or len({name.lower() for name in names[1:]}) < len(names) - 1:
        raise ScenarioError(
            f"{where}: must name files in its own folder, each once, found '{(bad or names)[0]}'"
        )
    try:
        files = tuple((name, data.encode("latin-1")) for name, data in content["files"])
    except UnicodeEncodeError:
        raise foreign from None
    tables = {key: value for key, value in content["tables"].items() if key != KEY}
    included = tuple((name, table) for name, table in content["included"])
    apart = tuple((name, sha) for name, sha in content["apart"])
    found = Bundle(content["name"], tables, included, files, apart, content["digest"])
    try:
        _ = found.laid_out("")
    except (TypeError, RecursionError):
        raise foreign from None
    return found


def _is_pair(value: Any, kind: type) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 2
        and isinstance(value[0], str)
        and isinstance(value[1], kind)
    )
