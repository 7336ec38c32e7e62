"""Look for layouts that pass with most margin, within the ranges of a search file.

First points scattered evenly over all ranges (a Halton sequence), then downhill from the best ones, one variable at a
time with steps that halve; then downhill again for each further aim from what was found. A layout that cannot be built
or that fails is worse than any that passes, by how much it fails. Nothing of it is random from run to run.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from sim.assessment.bodies import ContactModel
from sim.assessment.verdict import Verdict
from sim.base.share import Tell
from sim.layouts.candidate import Candidate, Keys, candidate, checked_fully, fixed_verdicts, margin, rank
from sim.layouts.space import Setting, Space, Variable

TRIES = 120
SCATTERED = 0.5  # share of the tries
STARTS = 2  # best scattered points from which to go downhill
FURTHER = 0.2  # share of the tries for the further aims
FIRST_STEP, LAST_STEP = 1.0 / 6.0, 1.0 / 100.0  # of a range
SHOWN = 8  # layouts of the front
MOST_CHECKED = 24  # layouts that get the full check, so that those it refuses are followed by the next best
AIMS: tuple[Callable[[Candidate], float], ...] = (
    lambda one: one.roundness,
    lambda one: one.metal,
    lambda one: float(one.set_ups),
)
Aim = Callable[[Candidate], tuple[float, ...]]
SEED = 0  # of the sequence's scrambling


@dataclass(frozen=True, slots=True)
class Blocking:
    """A verdict that stands in the way.

    Attributes
    ----------
    key, name, stage : str
        As in `Verdict`.
    count : int
        Layouts that fail it.
    value, limit : float
        Of the layout that fails least, in `unit`.
    unit : str
    """

    key: str
    name: str
    stage: str
    count: int
    value: float
    limit: float
    unit: str


@dataclass(frozen=True, slots=True, eq=False)
class SearchResult:
    """What a search found.

    Attributes
    ----------
    space : Space
    fixed : frozenset of (name, stage)
        Verdicts that no layout within the ranges changes; they are left out of the margins.
    front : tuple of Candidate
        Layouts that pass, of which none is better than another in every aim: margin, roundness, metal turned away,
        set-ups. Most margin first. Empty where none passes.
    nearest : Candidate
        The best of all; where none passes the one that fails least.
    tried, refused : int
        Layouts judged, and those among them that cannot be built or bored.
    blocking : tuple of Blocking
        What fails in the nearest one, and then what fails most often.
    refusals : tuple of (str, int)
        Why layouts cannot be built, and how often; most often first.
    fitting : tuple of Candidate
        All that passed while searching, best first: behind the front are those that follow if one is not confirmed.
    checked : int
        Layouts that got the full check; 0 before it was asked.
    rejected : tuple of (str, int)
        Why the full check refused some of them, and how often; most often first.
    """

    space: Space
    fixed: Keys
    front: tuple[Candidate, ...]
    nearest: Candidate
    tried: int
    refused: int
    blocking: tuple[Blocking, ...]
    refusals: tuple[tuple[str, int], ...]
    fitting: tuple[Candidate, ...] = ()
    checked: int = 0
    rejected: tuple[tuple[str, int], ...] = ()


@dataclass(slots=True, eq=False)
class _Trials:
    """Layouts tried so far, each once."""

    judge: Callable[[Setting], Candidate]
    limit: int
    progress: Tell
    known: dict[Setting, Candidate] = field(default_factory=dict)

    def __call__(self, point: Setting) -> Candidate | None:
        """Return the layout at a point; None when the tries are used up."""
        if point not in self.known:
            if len(self.known) >= self.limit:
                return None
            self.progress(f"layout {len(self.known) + 1} of {self.limit} at most")
            self.known[point] = self.judge(point)
        return self.known[point]


def search(
    tables: dict[str, Any],
    path: Path,
    within: Space,
    tries: int = TRIES,
    model: ContactModel = "foundation",
    progress: Tell = lambda _: None,
) -> SearchResult:
    """Return the layouts that pass with most margin, or what blocks them.

    Parameters
    ----------
    tables : dict
        Of the scenario's file, as it stands.
    path : Path
        Of that file.
    within : Space
    tries : int
        Layouts to judge at most.
    model : {'foundation', 'elastic'}
        Contact; the quick one is meant for looking around. None is named before `confirmed`.

    Raises
    ------
    ValueError
        If there are fewer tries than 2.
    """
    if tries < 2:
        raise ValueError(f"tries must be 2 or more, found {tries}")

    def judge(point: Setting) -> Candidate:
        return candidate(tables, path, within, point, model)

    trials = _Trials(judge, max(2, round(tries * (1.0 - FURTHER))), progress)
    for point in _scattered(within, max(1, round(SCATTERED * tries))):
        trials(point)
    fixed = fixed_verdicts(trials.known.values())
    for start in sorted(trials.known.values(), key=lambda c: rank(c, fixed))[:STARTS]:
        _downhill(trials, within, start, lambda c: rank(c, fixed))
    trials.limit = tries
    for first in AIMS:
        fitting = [c for c in trials.known.values() if c.fits]
        if fitting:
            aim = _further(first, fixed)
            _downhill(trials, within, min(fitting, key=aim), aim)
    return _summed_up(within, list(trials.known.values()), fixed)


def confirmed(
    found: SearchResult,
    tables: dict[str, Any],
    path: Path,
    model: ContactModel,
    progress: Tell = lambda _: None,
) -> SearchResult:
    """Return what was found with its front judged again by a contact model and then by the full check.

    A layout that the full check does not confirm is not named: the next best of those that passed while searching
    takes its place, `MOST_CHECKED` of them at most.
    """
    known: dict[Setting, Candidate] = {}
    pool = list(found.fitting)
    while len(known) < MOST_CHECKED:
        waiting = [one for one in _front(pool, found.fixed) if one.point not in known]
        if not waiting:
            break
        for one in waiting[: MOST_CHECKED - len(known)]:
            progress(f"full check, layout {len(known) + 1} of {MOST_CHECKED} at most")
            known[one.point] = _again(one, found.space, tables, path, model)
        pool = [one for one in pool if one.point not in known or known[one.point].fits]
    judged = list(known.values()) or [_again(found.nearest, found.space, tables, path, model)]
    summed = _summed_up(found.space, judged, found.fixed)
    rejected = Counter(_why(one) for one in known.values() if not one.fits)
    blocking = found.blocking if summed.front or not summed.blocking else summed.blocking
    return replace(
        found,
        front=summed.front,
        nearest=summed.nearest,
        blocking=blocking,
        checked=len(known),
        rejected=tuple(rejected.most_common()),
    )


def _again(
    one: Candidate, within: Space, tables: dict[str, Any], path: Path, model: ContactModel
) -> Candidate:
    """Return a layout judged at its best pressures by a contact model, then as a whole as its file will have it."""
    found = candidate(tables, path, within, one.point, model)
    return found if found.refusal else checked_fully(found, tables, path, model)


def _why(one: Candidate) -> str:
    if one.refusal:
        return one.refusal.split(", found")[0]
    return "; ".join(f"{v.name}, {v.stage}" for v in one.failing)


def _further(first: Callable[[Candidate], float], fixed: Keys) -> Aim:
    """Return an aim that comes before the margin, among layouts that pass."""
    return lambda one: (float(not one.fits), first(one), *rank(one, fixed))


def _scattered(within: Space, count: int) -> list[Setting]:
    from scipy.stats import qmc  # slow to load, and only a search scatters: not who prints a comparison

    shares = (
        qmc.Halton(len(within.variables), scramble=True, rng=SEED).random(count) if within.variables else [()]
    )
    return list(dict.fromkeys(within.point(tuple(map(float, row))) for row in shares))


def _downhill(trials: _Trials, within: Space, start: Candidate, aim: Aim) -> Candidate:
    """Return the best layout that steps along single variables lead to from a start."""
    best, step = start, FIRST_STEP
    while step >= LAST_STEP:
        better = best
        for place, variable in enumerate(within.variables):
            for value in _neighbours(variable, best.point[place], step):
                point = (*best.point[:place], value, *best.point[place + 1 :])
                tried = trials(point)
                if tried is None:
                    return min(best, better, key=aim)
                better = min(better, tried, key=aim)
        if better is best:
            step *= 0.5
        best = better
    return best


def _neighbours(variable: Variable, value: float, step: float) -> Iterable[float]:
    """Return where to look next along a variable: every other choice, or a step either way."""
    if variable.choice:
        count = round(variable.high - variable.low) + 1
        return [variable.low + k for k in range(count) if variable.low + k != value]
    length = max(step * (variable.high - variable.low), variable.step)
    around = {variable.nearest(value - length), variable.nearest(value + length)}
    return sorted(around - {value})


def _summed_up(within: Space, tried: list[Candidate], fixed: Keys) -> SearchResult:
    nearest = min(tried, key=lambda c: rank(c, fixed))
    refusals = Counter(c.refusal.split(", found")[0] for c in tried if c.refusal)
    return SearchResult(
        space=within,
        fixed=fixed,
        front=_front([c for c in tried if c.fits], fixed),
        nearest=nearest,
        tried=len(tried),
        refused=sum(bool(c.refusal) for c in tried),
        blocking=() if nearest.fits else tuple(_blocking(nearest, tried)),
        refusals=tuple(refusals.most_common(3)),
        fitting=tuple(sorted((c for c in tried if c.fits), key=lambda c: rank(c, fixed))),
    )


def _front(fitting: list[Candidate], fixed: Keys) -> tuple[Candidate, ...]:
    """Return the layouts of which none is at least as good as another in every aim and better in one."""
    weighed = [(_weighed(one, fixed), one) for one in sorted(fitting, key=lambda c: rank(c, fixed))]
    front: dict[tuple[float, ...], Candidate] = {}
    for mine, one in weighed:
        if not any(_covers(its, mine) for its, _ in weighed):
            front.setdefault(mine, one)
    return tuple(sorted(front.values(), key=lambda c: rank(c, fixed))[:SHOWN])


def _covers(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return all(a <= b for a, b in zip(one, other, strict=True)) and one != other


def _weighed(one: Candidate, fixed: Keys) -> tuple[float, ...]:
    """Return what is weighed, less is better, as finely as it matters."""
    roundness = math.inf if math.isnan(one.roundness) else round(one.roundness, 1)
    least = round(min(margin(one, fixed), 10.0), 2)
    return (float(one.warnings), -least, roundness, round(one.metal, 1), float(one.set_ups))


def _blocking(nearest: Candidate, tried: list[Candidate]) -> Iterable[Blocking]:
    """Yield what fails in the nearest layout, then what fails most often."""
    counts = Counter((v.key, v.stage) for c in tried for v in c.failing)
    least: dict[tuple[str, str], Verdict] = {}
    for one in tried:
        for verdict in one.failing:
            known = least.get((verdict.key, verdict.stage))
            if known is None or verdict.margin > known.margin:
                least[verdict.key, verdict.stage] = verdict
    here = {(v.key, v.stage): v for v in nearest.failing}
    often = [key for key, _ in counts.most_common() if key not in here]
    for key in [*here, *often]:
        verdict = here.get(key) or least[key]
        yield Blocking(
            verdict.key, verdict.name, verdict.stage, counts[key], verdict.value, verdict.limit, verdict.unit
        )
