"""One field of a scenario by its dotted key: what kind of quantity it is, and whether a value may stand there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from sim.base.units import KINDS, Quantity
from sim.scenario.mistakes import sentence
from sim.scenario.outline import Outline
from sim.scenario.scenario import Scenario


@dataclass(frozen=True, slots=True, eq=False)
class ScenarioField:
    """A field of a scenario.

    Attributes
    ----------
    key : str
        Dotted path, list items by number from 0.
    kind : str
        Of the quantity, a name in `sim.base.units.KINDS`; empty for what has no unit.
    stated : object
        What the scenario states, in the inside unit; None if nothing.
    """

    key: str
    kind: str
    stated: Any
    _type: Any
    _adapter: TypeAdapter[Any]

    @property
    def number(self) -> bool:
        """One number (or nothing yet) stands there, not a text, list or table."""
        plain = isinstance(self.stated, int | float) and not isinstance(self.stated, bool)
        return plain or (self.stated is None and not _has_tables(self._type))

    def text(self, value: Any) -> Any:
        """Return an inside value as a file states it."""
        return f"{float(value)!r} {KINDS[self.kind].inside}" if self.kind else value

    def refusal(self, value: Any) -> str:
        """Return why a value, as a file states it, may not stand there; empty if it may."""
        try:
            self._adapter.validate_python(value)
        except ValidationError as error:
            return f"{self.key} {sentence(error)}"
        return ""


def field_of(scenario: Scenario, key: str) -> ScenarioField:
    """Return the field that a dotted key names.

    Raises
    ------
    KeyError
        If it names none.
    """
    place: Any = scenario
    kind: Any = Scenario
    for step in key.split("."):
        try:
            if isinstance(place, BaseModel):
                info = type(place).model_fields[step]
                kind, place = whole_type(info), getattr(place, step)
            elif isinstance(place, tuple) and step.isdigit():
                place = (place.stated if isinstance(place, Outline) else place)[int(step)]
                kind = item_type(kind)
            else:
                raise KeyError(key)
        except (KeyError, IndexError):
            raise KeyError(key) from None
    quantity = None if isinstance(place, tuple | BaseModel) else quantity_of(kind)
    return ScenarioField(key, quantity.kind if quantity else "", place, kind, TypeAdapter(kind))


def whole_type(info: FieldInfo) -> Any:
    """Return a field's type with all that is annotated on it."""
    found: Any = info.annotation
    for one in info.metadata:
        found = Annotated[found, one]
    return found


def item_type(kind: Any) -> Any:
    """Return the type of a list's items."""
    return next(_items(kind), Any)


def _items(kind: Any) -> Iterator[Any]:
    """Yield the type of a tuple's items, within Annotated or a union."""
    if get_origin(kind) is tuple:
        yield get_args(kind)[0]
        return
    for one in get_args(kind):
        yield from _items(one)


def quantity_of(kind: Any) -> Quantity | None:
    """Return the kind of quantity that a type holds, not in a list; None for what has no unit."""
    return next(_quantities(kind), None)


def _quantities(kind: Any) -> Iterator[Quantity]:
    if get_origin(kind) is Annotated:
        yield from (one for one in kind.__metadata__ if isinstance(one, Quantity))
    if get_origin(kind) is not tuple:
        for one in get_args(kind):
            yield from _quantities(one)


def _has_tables(kind: Any) -> bool:
    if isinstance(kind, type) and issubclass(kind, BaseModel | str | tuple):
        return True
    return get_origin(kind) is tuple or any(_has_tables(one) for one in get_args(kind))
