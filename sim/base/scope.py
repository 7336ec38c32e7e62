"""What has no model: one list, which the manual prints and which answers a scenario that asks for it."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

_BREAK = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class OutOfScope:
    """Something that has no model: by which words it is asked for, why it has none, and what comes nearest."""

    name: str
    words: tuple[str, ...]
    why: str
    nearest: str

    @property
    def told(self) -> str:
        """In one sentence."""
        near = "" if self.nearest == "nothing" else f"; what comes nearest: {self.nearest}"
        return f"{self.name} have no model, for {self.why}{near} (chuckscene manual scope)"


@cache
def out_of_scope() -> tuple[OutOfScope, ...]:
    """Return the whole list, in the file's order."""
    text = resources.files("sim").joinpath("data", "scope.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["scope"]
    return tuple(OutOfScope(row["name"], tuple(row["words"]), row["why"], row["nearest"]) for row in rows)


def named(name: str) -> OutOfScope:
    """Return the row of that name; KeyError if there is none."""
    found = next((row for row in out_of_scope() if row.name == name), None)
    if found is None:
        raise KeyError(name)
    return found


def asked_for(*texts: str) -> OutOfScope | None:
    """Return what texts of a scenario, keys or values, ask for of this; None if for none of it."""
    words = f" {_BREAK.sub(' ', ' '.join(texts).lower())} "
    return next((row for row in out_of_scope() if any(f" {word} " in words for word in row.words)), None)


def table() -> str:
    """Return the list as a table of Markdown."""
    rows = [f"| {row.name} | {row.why} | {row.nearest} |" for row in out_of_scope()]
    return "\n".join(["| what | why it has no model | what comes nearest |", "|---|---|---|", *rows])
