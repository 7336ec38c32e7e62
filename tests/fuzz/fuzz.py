"""Read very many drawn texts; by hand: ``python tests/fuzz/fuzz.py --seed 1 --texts 100000 --out FILE``.

Every text must be read into moves that join, or be refused in one sentence that names a line and a whole word of
it; nothing else may be raised, and nothing may run long. Written in another way that means the same, a text must be
read the same, or refused as well.
"""

from __future__ import annotations

import argparse
import contextlib
import itertools
import json
import math
import random
import re
import sys
import time
from pathlib import Path
from typing import Any

if __name__ == "__main__":
    ROOT = Path(__file__).parents[2]
    sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "corpus"), str(Path(__file__).parent)]

from drawn_programs import drawn, told
from same_meaning import MAY_BE_REFUSED, WAYS, meaning

from sim.programs import cycle_moves, flow
from sim.programs.program import Program, read
from sim.programs.reading import Reading
from sim.programs.words import ProgramError

SLOW = 3.0  # seconds of the processor for one text
_RENAMED = re.compile(r"G0*[0-9]+|G41/G42|[GMTNOPL][0-9]+")


class FindingError(Exception):
    """What must not happen."""


def bounded() -> None:
    """Let loops and cycles run less long than a program may: thousands of texts are to be read."""
    flow.MOST_BLOCKS = 400
    cycle_moves.MOST_MOVES = 2000


def once(text: str, reading: Reading) -> Program | ProgramError:
    """Read a text and hold what was read, or the refusal, to what every text must keep."""
    began = time.perf_counter()
    try:
        program = read(text, reading)
    except ProgramError as error:
        _hold(error, text)
        return error
    finally:
        if time.perf_counter() - began > SLOW:
            _hold_time(text, reading)
    for before, after in itertools.pairwise(program.moves):
        if math.dist(before.end, after.start) > 1e-5:
            raise FindingError(f"moves do not join: {before} {after}")
    if not len(program.moves) == len(program.tools) == len(program.machine):
        raise FindingError("moves, tools and machine are not of one length")
    return program


def _hold_time(text: str, reading: Reading) -> None:
    """Hold a text that took long to the processor's time, which other work on the machine does not count for."""
    began = time.process_time()
    with contextlib.suppress(ProgramError):
        read(text, reading)
    taken = time.process_time() - began
    if taken > SLOW:
        raise FindingError(f"took {taken:.1f} s")


def _hold(error: ProgramError, text: str) -> None:
    """Hold a refusal to one sentence on a line that is there and a whole word of it."""
    lines = re.split(r"\r\n|\n|\r", text)
    if "\n" in str(error) or not 1 <= error.line <= len(lines):
        raise FindingError(f"not one sentence on a line: {error!r}")
    line = lines[error.line - 1].upper()
    said = "".join(error.word.split()).upper()
    if not said or _RENAMED.fullmatch(said) or not said.isascii() or "\\X" in said or set("#[") & set(line):
        return
    shortened = said.endswith("...")
    said = said.removesuffix("...")
    letters = r"(?:[ \t]|\([^()]*\))*".join(map(re.escape, said))  # a comment may stand within a word
    found = list(re.finditer(f"(?=({letters}))", line))  # wherever one begins, within another too
    if not found:
        raise FindingError(f"names a word that its line does not hold: {error!r}")
    behind = [line[match.end(1) : match.end(1) + 1] for match in found]
    if said[-1].isdigit() and not shortened and all(c and c in "0123456789.=" for c in behind):
        raise FindingError(f"names half a word: {error!r}")


def compared(text: str, reading: Reading, draw: random.Random, found: Program | ProgramError) -> int:
    """Read a text once more, written otherwise, and compare; return how many texts were read."""
    way = draw.choice((*WAYS, *MAY_BE_REFUSED))
    other = way(draw, text)
    if other == text:
        return 0
    again = once(other, reading)
    refused = isinstance(found, ProgramError), isinstance(again, ProgramError)
    if way in MAY_BE_REFUSED and any(refused):
        return 1
    if refused[0] != refused[1]:
        raise FindingError(f"{way.__name__}: {found!r} became {again!r} for\n{other}")
    if isinstance(found, Program) and isinstance(again, Program) and meaning(found) != meaning(again):
        raise FindingError(f"{way.__name__}: another meaning of\n{other}")
    return 1


def run(seed: int, texts: int) -> tuple[int, int, list[dict[str, Any]]]:
    """Read texts drawn from a seed; return how many were read, how many of them into moves, and the findings."""
    draw = random.Random(seed)  # noqa: S311 - drawn, not guarded
    count = whole = 0
    findings: list[dict[str, Any]] = []
    while count < texts:
        name, text, reading = drawn(draw)
        state = draw.getstate()
        try:
            count += 1
            found = once(text, reading)
            whole += isinstance(found, Program)
            if isinstance(found, Program) or draw.random() < 0.3:
                count += compared(text, reading, draw, found)
        except Exception as error:
            draw.setstate(state)
            findings.append(
                {"seed": seed, "by": name, "what": f"{type(error).__name__}: {error}"} | told(text, reading)
            )
    return count, whole, findings


def main() -> None:
    """Read the texts of a seed and write the findings, a line of JSON each."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--texts", type=int, default=10_000)
    asked.add_argument("--out", type=Path)
    given = asked.parse_args()
    bounded()
    count, whole, findings = run(given.seed, given.texts)
    if given.out is not None:
        given.out.write_text("".join(json.dumps(one) + "\n" for one in findings), encoding="utf-8")
    sys.stdout.write(
        f"seed {given.seed}: {count} texts read, {whole} of them into moves, {len(findings)} findings\n"
    )


if __name__ == "__main__":
    main()
