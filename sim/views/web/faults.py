"""What is wrong with a scenario's text, each mistake with the place that it is to be mended at."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from sim.base.errors import ChuckSceneError
from sim.scenario import Scenario
from sim.scenario.edits import has_field
from sim.scenario.lines import Place
from sim.scenario.mistakes import TAGS, field_name, mistakes
from sim.scenario.scenario import full_tables
from sim.setup.loading import load

_NAMED = re.compile(r"[a-z_]+(?:\[\d+\])*(?:\.[a-z_0-9]+(?:\[\d+\])*)*(?=[ :])")
_STEPS = re.compile(r"[a-z_0-9]+")


@dataclass(frozen=True, slots=True)
class Fault:
    """One mistake: where it stands (nowhere in particular: an empty place), and what is wrong in words."""

    place: Place
    words: str

    @property
    def field(self) -> str:
        """The place as a file names it."""
        return field_name(self.place)


def faults(file: Path) -> tuple[Fault, ...]:
    """Return what `check` finds wrong with a file before anything is judged, in its order; nothing if it can be built.

    All that is wrong with the tables is told at once; of what cannot be built, as `check` does, the first.
    """
    try:
        tables = full_tables(file)
    except ChuckSceneError as error:
        return (_said(str(error), file),)
    try:
        Scenario.model_validate(tables)
    except ValidationError as error:
        return tuple(_fault(place, words) for place, words in mistakes(error, Scenario))
    try:
        load(file)
    except ChuckSceneError as error:
        return (_said(str(error), file),)
    return ()


def said_of(sentence: str, file: Path) -> Fault:
    """Return a sentence of `check` on a file as a mistake at the field that it names."""
    return _said(sentence, file)


def _said(sentence: str, file: Path) -> Fault:
    return _fault((), sentence.removeprefix(f"{file}: "))


def _fault(place: Place, sentence: str) -> Fault:
    """Return a mistake at its field: a sentence on a table begins with what of it is meant."""
    place = tuple(step for step in place if step not in TAGS)
    words = sentence
    if place and words.startswith(field_name(place)):
        words = words.removeprefix(field_name(place)).strip(" :")
    named = _NAMED.match(words)
    inner = _place(named[0]) if named else ()
    if inner and has_field((*place, *inner)):
        return Fault((*place, *inner), words[named.end() :].strip(" :") if named else words)
    return Fault(place, words)


def _place(name: str) -> Place:
    return tuple(int(step) if step.isdigit() else step for step in _STEPS.findall(name))
