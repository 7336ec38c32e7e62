"""Get a setup back from the code on its sheet."""

from __future__ import annotations

import codecs
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.base.errors import OutputError, ScenarioError, after
from sim.base.files import file_text, regular_bytes, require_place, write_whole
from sim.base.limits import CODE
from sim.commands.streams import say

if TYPE_CHECKING:
    from sim.setup_sheet.bundle import Bundle


def from_code(
    text: Annotated[
        str,
        typer.Argument(
            metavar="TEXT",
            help="of the codes on a setup sheet, or a file with it, or - for standard input; of several codes all, in "
            "any order",
            show_default=False,
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            help="scenario file to write, the files that it needs beside it; default: on standard output",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Give a setup back from the code on its sheet: the same digest, the same figures. Nothing is overwritten."""
    if out is not None:
        require_place(out, folder=False)
    from sim.setup_sheet.code_text import bundle_of

    content, where = _content(text)
    bundle = bundle_of(content, where)
    if out is None:
        if len(bundle.laid_out("")) > 1:
            names = ", ".join(name for name, _ in bundle.laid_out("")[1:])
            raise ScenarioError(f"{where}: holds other files beside the scenario ({names}): use --out")
        from sim.scenario.toml_text import in_ascii

        # Words in the place of a character would be another scenario.
        wide = codecs.lookup(sys.stdout.encoding or "utf-8").name.startswith("utf")
        sys.stdout.write(bundle.text if wide else in_ascii(bundle.text))
        return
    files = [(out.parent / name, data) for name, data in bundle.laid_out(out.name)]
    if len({str(path).lower() for path, _ in files}) < len(files):
        raise OutputError(f"{out}: is the name of a file that the scenario needs; name another one")
    for path, data in files:
        _require_new(path, data)
    for path, data in files:
        write_whole(path, data)
        say(str(path))
    _say_digest(out, bundle)


def _content(text: str) -> tuple[str, str]:
    """Return the text of codes, and where it comes from."""
    from sim.setup_sheet.code_text import LARGEST_TEXT, PREFIX

    if text == "-":
        try:  # one more than is allowed tells that there is more
            return sys.stdin.read(LARGEST_TEXT + 1), "standard input"
        except UnicodeDecodeError:
            raise ScenarioError("standard input: must be the text of a code, found binary data") from None
    if text.strip().startswith(PREFIX[:10]):
        return text, "the code"
    try:
        return file_text(Path(text), CODE), text
    except ValueError as error:
        raise ScenarioError(
            f"{text[:80]}: must be the text of a code, which begins with '{PREFIX}', or a file with it ({error})"
        ) from None


def _require_new(path: Path, data: bytes) -> None:
    """Refuse to write over another file; one that holds the same already is as good."""
    require_place(path, folder=False)
    if path.is_symlink() or path.exists():
        try:
            same = not path.is_symlink() and regular_bytes(path, len(data)) == data
        except OSError:
            same = False
        if not same:
            raise OutputError(f"{path}: exists already and is not overwritten; name another file or folder")


def _say_digest(out: Path, bundle: Bundle) -> None:
    """Say whether what was written is what the sheet was made of."""
    from sim.scenario import read
    from sim.setup_sheet.bundle import told_again

    try:
        scenario = read(out)
    except ScenarioError as error:
        raise after("written, but this chuckscene does not take it: ", error) from None
    say(told_again(bundle, out, scenario))
