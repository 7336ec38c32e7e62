"""Value and limit of every verdict come from one function of figures beside its rule, in variants and windows, too.

The functions are wrapped so that what they give remembers which of them it came from. A number that was worked out
again on its way into a verdict has forgotten it.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import sys
from collections.abc import Callable, Iterator, Sequence
from types import ModuleType
from typing import Any

import numpy as np
import pytest

import sim.assessment.verdicts as package
from sim.assessment.results import Assessment
from sim.assessment.state import states
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.judge import judge
from sim.assessment.verdicts.rule import Rule
from sim.assessment.verdicts.rules import RULES
from sim.layouts import boring_window, criteria
from sim.variants import boring, jaws, operation, places, program, travel, variants
from sim.variants import judge as judging
from sim.variants.keys import Values, quick_keys, stated
from sim.variants.line import Line

ENDING = "_and_limit"
# Between them they show nearly every verdict; `test_every_rule_has_its_function` reads the others' source.
JUDGED = ("cast_hub_by_program", "cast_hub_on_ring", "housing_gripped_inside", "valve_bonnet_two_steps")
OF_VARIANTS = (boring, jaws, operation, places, program, travel)


class Remembered(float):
    """A number with the function that gave it; what is worked out from it is a plain number."""

    of: Callable[..., Any] | None = None


class ManyRemembered(np.ndarray):  # type: ignore[type-arg]
    """An array with the function that gave it; what is worked out from it has none."""

    of: Callable[..., Any] | None = None


def remembered(value: Any, of: Callable[..., Any]) -> Any:
    kept: Any = value.view(ManyRemembered) if isinstance(value, np.ndarray) else Remembered(value)
    if isinstance(kept, np.ndarray):
        kept = kept.copy()
    kept.of = of
    return kept


def origin(value: Any) -> Callable[..., Any] | None:
    found: Callable[..., Any] | None = getattr(value, "of", None)
    return found


def origin_of(pair: Sequence[Any]) -> Callable[..., Any] | None:
    value, limit = (origin(one) for one in pair)
    return value if value is limit else None


def same_margin(key: str, value: Any, limit: Any) -> bool:
    """Tell whether value over limit are what the function of a rule makes of both as they are."""
    shown, bound = FUNCTIONS[key](value, limit)
    return bool(np.allclose(value / limit, shown / bound, rtol=1e-12))


def wrapped(function: Callable[..., Any]) -> Callable[..., Any]:
    def pair(*args: Any, **named: Any) -> tuple[Any, Any]:
        value, limit = function(*args, **named)
        return remembered(value, function), remembered(limit, function)

    return pair


def stated_in() -> Iterator[tuple[Rule, ModuleType]]:
    """Yield every rule with the module that states it."""
    modules = [
        importlib.import_module(f"{package.__name__}.{info.name}")
        for info in pkgutil.iter_modules(package.__path__)
        if info.name not in ("rules", "judge")
    ]
    for rule in RULES:
        name = f"{rule.key.upper()} = Rule("
        (own,) = (module for module in modules if f"\n{name}" in inspect.getsource(module))
        yield rule, own


FUNCTIONS = {
    rule.key: getattr(module, f"{rule.key}{ENDING}")
    for rule, module in stated_in()
    if hasattr(module, f"{rule.key}{ENDING}")
}


@pytest.fixture
def remember(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Wrap the functions, when called, wherever a module of `sim` has one by its name."""

    def wrap() -> None:
        known = {function: wrapped(function) for function in FUNCTIONS.values()}
        for name, module in list(sys.modules.items()):
            if name.startswith("sim."):
                for attribute, value in list(vars(module).items()):
                    if attribute.endswith(ENDING) and value in known:
                        monkeypatch.setattr(module, attribute, known[value])

    return wrap


def counted(rule: Rule, module: ModuleType) -> bool:
    """Tell whether every verdict that a module makes of a rule has the limit 0, written out."""
    made = [
        call
        for call in ast.walk(ast.parse(inspect.getsource(module)))
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Attribute)
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id == rule.key.upper()
    ]
    limits = [call.args[-1] for call in made]
    return bool(limits) and all(isinstance(limit, ast.Constant) and limit.value == 0.0 for limit in limits)


@pytest.mark.parametrize(("rule", "module"), list(stated_in()), ids=[rule.key for rule in RULES])
def test_every_rule_has_its_function(rule: Rule, module: ModuleType) -> None:
    """But for counts of what may not be at all."""
    assert (rule.key in FUNCTIONS) != counted(rule, module)


def test_what_is_worked_out_again_is_found() -> None:
    """The wrapping itself: else the tests below could not fail."""
    value, limit = wrapped(lambda: (1.0, np.array([2.0, 3.0])))()
    assert origin(value) is origin(limit) is not None
    assert origin(value * 1.0) is origin(float(value)) is origin(max(0.0, value * 1.0)) is None
    assert origin(limit * 1.0) is origin(limit[:1]) is origin(np.maximum(limit, 0.0)) is None


@pytest.mark.parametrize("name", JUDGED)
def test_verdicts_have_theirs_of_it(
    name: str, quickly_judged: Callable[[str], Assessment], remember: Callable[[], None]
) -> None:
    one = quickly_judged(name)
    remember()
    verdicts = judge(one.parts, one.boring, one.operations, one.machining)
    assert len(verdicts) > 40
    assert not [verdict.name for verdict in verdicts if not given(verdict)]


def given(verdict: Verdict) -> bool:
    """Tell whether value and limit are those of the rule's function, or a count beside none."""
    if verdict.key not in FUNCTIONS:
        return verdict.limit == 0.0 and verdict.value == round(verdict.value)
    return origin(verdict.value) is origin(verdict.limit) is FUNCTIONS[verdict.key]


@pytest.mark.parametrize("name", ["cast_hub_by_program", "housing_gripped_inside"])
def test_variants_have_theirs_of_it(
    name: str,
    quickly_judged: Callable[[str], Assessment],
    remember: Callable[[], None],
) -> None:
    ready = variants(quickly_judged(name))
    own = ready.assessment
    friction = "operations.0.gripping.friction"
    varied = {key: float(stated(own.scenario, key) or 0.2) for key in quick_keys(own) if key == friction}
    values = Values(own, {key: np.array([value, value]) for key, value in varied.items()})
    scenario, place = own.scenario, own.parts.place
    where = tuple(travel.sizes(scenario, place, n, values) for n in range(len(ready.operations)))
    remember()
    _, lines = judging._lines(ready, values, where)
    assert len(lines) > 20
    assert not [line.rule.name for line in lines if not of_its_rule(line)]


def of_its_rule(line: Line) -> bool:
    return origin(line.value) is origin(line.limit) is FUNCTIONS[line.rule.key]


def test_windows_have_theirs_of_it(
    quickly_judged: Callable[[str], Assessment],
    monkeypatch: pytest.MonkeyPatch,
    remember: Callable[[], None],
) -> None:
    """Every margin that a window works out without a verdict; speeds as marked are limits of its own.

    In inside units it may, where the function does no more than to change these: the margin is the same.
    """
    own = quickly_judged("cast_hub_on_ring")
    remember()
    seen: list[tuple[str, Any, Any]] = []

    def kept(rule: Rule, value: Any, limit: Any, *_: Any, **__: Any) -> str:
        seen.append((rule.key, value, limit))
        return rule.key

    monkeypatch.setattr(boring_window, "_kept", kept)
    pressures, speeds = np.array([0.4, 0.6]), np.array([300.0, 600.0, 900.0])
    list(boring_window._criteria(own, pressures, speeds))
    assert len(seen) > 7
    assert not [
        key for key, *pair in seen if not (origin_of(pair) is FUNCTIONS[key] or same_margin(key, *pair))
    ]
    pairs: list[tuple[Any, Any]] = []

    def margins(*pair: Any, at_least: bool) -> Any:
        pairs.append(pair)
        return np.full(needed.shape, float(at_least))

    monkeypatch.setattr(criteria, "margins", margins)
    needed = np.full((len(pressures), len(speeds)), 1e4)
    list(criteria._by_grip(states(own), 0, pressures, speeds, needed))
    assert len(pairs) >= 2
    list(criteria._unbalance(own, 0, pressures, speeds))
    assert all(origin_of(pair) is not None for pair in pairs)
