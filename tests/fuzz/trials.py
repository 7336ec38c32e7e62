"""Try very many drawn inputs on a reader of the program, and keep what must not happen."""

from __future__ import annotations

import random
import signal
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from types import FrameType
from typing import Any

from sim.base.printable import printable

SLOW = 5.0  # seconds of the processor for one input
LONGEST = 3000  # characters of a refusal
HANGING = 60  # seconds of the processor after which an input is cut off


class FindingError(Exception):
    """What must not happen, with the input as it can be tried again."""

    def __init__(self, what: str, shown: Any = "") -> None:
        super().__init__(what)
        self.shown = shown


@dataclass(frozen=True, slots=True)
class Kind:
    """What is tried: a function that draws one input, tries it and returns one word for what came of it.

    Attributes
    ----------
    name : str
    tried : callable
        Takes the source of chance; raises FindingError, or what the program lets through.
    words : frozenset of str
        What may come of an input; a short run must see all of them, else half of what is held is not tried.
    """

    name: str
    tried: Callable[[random.Random], str]
    words: frozenset[str]


@dataclass(slots=True)
class Tally:
    """What came of a run: how often which word, and the findings."""

    seed: int
    counts: Counter[str] = field(default_factory=Counter)
    findings: list[dict[str, Any]] = field(default_factory=list)
    seconds: float = 0.0

    @property
    def inputs(self) -> int:
        """How many were tried."""
        return self.counts.total() + len(self.findings)

    def __str__(self) -> str:
        told = ", ".join(f"{count} {word}" for word, count in sorted(self.counts.items()))
        return (
            f"seed {self.seed}: {self.inputs} inputs tried ({told}), {len(self.findings)} findings, "
            f"{self.seconds:.0f} s of the processor"
        )


class _HangingError(BaseException):
    """Not an Exception, so that nothing that is tried catches it."""


@contextmanager
def _bounded(seconds: int) -> Iterator[None]:
    """Cut off what takes so many seconds of the processor."""

    def cut(_number: int, _frame: FrameType | None) -> None:
        raise _HangingError

    before = signal.signal(signal.SIGVTALRM, cut)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def run(kind: Kind, seed: int, inputs: int, slow: float = SLOW) -> Tally:
    """Try inputs drawn from a seed: each has a source of chance of its own, so that it can be drawn again alone."""
    tally = Tally(seed)
    began = time.process_time()
    for number in range(inputs):
        _try(kind, seed, number, slow, tally)
    tally.seconds = time.process_time() - began
    return tally


def _try(kind: Kind, seed: int, number: int, slow: float, tally: Tally) -> None:
    draw = random.Random(f"{seed} {number}")  # noqa: S311 - drawn, not guarded
    began = time.process_time()
    try:
        with _bounded(HANGING):
            word = kind.tried(draw)
        taken = time.process_time() - began
        if taken > slow:
            raise FindingError(f"took {taken:.1f} s")
    except _HangingError:
        tally.findings.append(_told(seed, number, f"took over {HANGING} s", "", ""))
    except FindingError as error:
        tally.findings.append(_told(seed, number, str(error), error.shown, ""))
    except Exception as error:
        where = "".join(traceback.format_exception(error)[-4:])
        tally.findings.append(_told(seed, number, f"{type(error).__name__}: {error}", "", where))
    else:
        tally.counts[word] += 1


def _told(seed: int, number: int, what: str, shown: Any, where: str) -> dict[str, Any]:
    return {"seed": seed, "number": number, "what": what, "input": shown, "where": where}


def one_sentence(text: str, shown: Any) -> None:
    """Hold a refusal to one line, as the command says it, that tells something and is not endless."""
    said = printable(text)
    if not said.strip() or "\n" in said or len(said) > LONGEST:
        raise FindingError(f"no sentence of one line: {said[:300]!r} ...", shown)
