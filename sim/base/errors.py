"""Errors that a user sees, each one sentence.

::

    ChuckSceneError
    ├── ScenarioError      the scenario file is wrong: which file, which field, what is allowed
    ├── ReadingsError      the file of gauge readings is wrong, or too few of them to find what is asked
    ├── OutputError        a result cannot be written where it was asked for
    └── NotAvailableError  something outside the project is missing (a display driver, a browser)
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeVar

DEBUG = "CHUCKSCENE_DEBUG"  # variable of the environment: an internal error is told with its messages and traceback


class ChuckSceneError(Exception):
    """Base of every error that is shown to a user as one sentence.

    Attributes
    ----------
    offered : str
        Lines for the user to take over, shown behind the sentence; empty where there are none.
    """

    offered: str = ""


class ScenarioError(ChuckSceneError):
    """The scenario is wrong; the message names the file, the field, what was found and what is allowed."""


class ReadingsError(ChuckSceneError):
    """Gauge readings are wrong; the message names the file, the row, the column, what was found and what is allowed."""


class OutputError(ChuckSceneError):
    """A result cannot be written; nothing half-written is left."""


class NotAvailableError(ChuckSceneError):
    """A driver or program outside the project is missing; the message says what to install."""


ErrorT = TypeVar("ErrorT", bound=ChuckSceneError)


def after(words: str, error: ErrorT) -> ErrorT:
    """Return an error with words before its sentence."""
    found = type(error)(f"{words}{error}")
    found.offered = error.offered
    return found


@contextmanager
def in_field(name: str) -> Iterator[None]:
    """Name a field in the errors of what is made of its value.

    Raises
    ------
    ScenarioError, ValueError
        As raised inside, after the field's name.
    """
    try:
        yield
    except ScenarioError as error:
        raise after(f"{name}: ", error) from None
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None
