"""Advice that is judged before it is given: another pressure, speed or torque is named only where its limits allow it.

Plain functions on figures; pressures in bar, speeds in rev/min. A pressure may be lowered to what the hydraulics hold
steadily and what the cuts need, and raised to what chuck, machine, guideway and part bear; a speed may be lowered to
the operation's lowest. Where nothing in that range mends a verdict, the advice says so and names what else would.
What squeezes the part falls less than in proportion to the grip; where it is missed its pressure is solved for.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from sim.base.rounding import within_text

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Bound:
    """An end of a range, in the unit of what it bounds, and what sets it, in words.

    For a lower end the words follow 'is', for an upper end they come before 'allows'.
    """

    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Change:
    """A change that was judged: what to do where it is possible, why it does not help where it is not."""

    words: str
    possible: bool


def lower_pressure(
    now: float, wanted: float, lows: Sequence[Bound], what: str = "gripping pressure"
) -> Change:
    """Judge a lower pressure.

    Parameters
    ----------
    now, wanted : float
        Pressure that is set, and about that at which the verdict would be met, bar.
    lows : sequence of Bound
        Below which it may not be set.
    what : str
        Which pressure.
    """
    if wanted >= now:
        return _cannot(f"a lower {what} does not help")
    above = sorted((b for b in lows if b.value > wanted * (1.0 + _SAME)), key=lambda b: -b.value)
    if above:
        ends = " and ".join(
            f"{_shown(b.value, math.ceil)} bar is {b.words}"
            if math.isfinite(b.value)
            else f"no pressure gives {b.words}"
            for b in above
        )
        return _cannot(
            f"no allowed pressure is low enough: it would take about {_shown(max(wanted, 0.0))} bar, and {ends}"
        )
    least = max((b.value for b in lows), default=0.0)
    return _can(
        f"lower the {what} to about {within_text(min(least, wanted), wanted, 1).removesuffix('.0')} bar"
    )


def raise_pressure(
    now: float,
    wanted: float,
    highs: Sequence[Bound],
    what: str = "gripping pressure",
    unsure: Sequence[Bound] = (),
) -> Change:
    """Judge a higher pressure; as `lower_pressure`, `highs` above which it may not be set.

    `unsure` are ends that are only estimates: beyond one the pressure is named, but with a word to judge it again.
    """
    if wanted <= now:
        return _cannot(f"a higher {what} does not help")
    high = min(highs, key=lambda b: b.value, default=Bound(math.inf, ""))
    if wanted > high.value * (1.0 + _SAME):
        needs = "no pressure gives that"
        if math.isfinite(wanted):
            needs = f"it would take about {_shown(wanted, math.ceil)} bar"
        if high.value <= now * (1.0 + _SAME):
            return _cannot(
                f"the {what}, {_shown(now)} bar, is as high as {high.words} allows already: {needs}"
            )
        return _cannot(
            f"no allowed pressure is high enough: {needs}, and {high.words} allows {_shown(high.value, math.floor)} bar"
        )
    whole = float(math.ceil(wanted - 1e-6))
    value = whole if whole <= high.value else min(math.ceil(10.0 * wanted) / 10.0, high.value)
    again = [b.words for b in unsure if value > b.value]
    more = f" (and judge {' and '.join(again)} again there)" if again else ""
    named = within_text(min(wanted, value), value, 1)
    return _can(f"raise the {what} to {named.removesuffix('.0')} bar{more}")


def lower_speed(now: float, wanted: float, low: Bound, verb: str = "run", *, or_less: bool = True) -> Change:
    """Judge a lower speed (rev/min): `now` is set, at `wanted` the verdict would be met, `low` is the least allowed.

    Where not every speed below it does (`or_less`), it is named alone.
    """
    if wanted >= now:
        return _cannot("a lower speed does not help")
    if wanted <= 0.0:
        return _cannot("no speed is low enough: the grip at rest is too little")
    if wanted < low.value:
        return _cannot(
            f"no speed is low enough: it would take {_whole(wanted):.0f} rev/min, and {low.value:.0f} rev/min is "
            f"{low.words}"
        )
    named = within_text(min(low.value, wanted), max(_whole(wanted), low.value), 0)
    less = " or less" if or_less else ", not much less, since slower cuts take more force"
    return _can(f"{verb} at {named} rev/min{less}")


def more_torque(now: float, wanted: float, allowed: float) -> Change:
    """Judge a higher tightening torque (N m) of the jaw screws against what screw and jaw bear."""
    value = math.ceil(wanted - 1e-6)
    if value <= allowed:
        return _can(f"tighten the jaw screws to {value} N m")
    return _cannot(
        f"more torque does not mend it: it would take about {value} N m, and the screws and what lies under their "
        f"heads bear {max(allowed, 0.0):.0f} N m"
        if now < allowed
        else "the jaw screws bear no more torque"
    )


def less_torque(wanted: float, needed: float) -> Change:
    """Judge a lower tightening torque (N m) of the jaw screws against what keeps the jaws on their seat."""
    value = math.floor(wanted + 1e-6)
    if value >= needed:
        return _can(f"tighten to {value} N m or less")
    return _cannot(
        f"less torque does not mend it: {value} N m would spare the screws, and the jaws' seat needs about "
        f"{math.ceil(needed)} N m"
    )


def sentence(changes: Iterable[Change], others: str) -> str:
    """Return one piece of advice: what is possible, or why nothing is, and what else would help.

    `others` is a sentence of its own with what needs no judging here, '' for none. What does not help is told where the
    first change is among it.
    """
    judged = list(changes)
    can = [c.words for c in judged if c.possible]
    cannot = _capital("; ".join(c.words for c in judged if not c.possible))
    rest = others.rstrip(".")
    if not can:
        return f"{cannot}. {others}".strip() if cannot else others
    doing = _capital(", or ".join([*can, *([rest[0].lower() + rest[1:]] if rest else [])]))
    return f"{doing}." if judged[0].possible else f"{doing}. ({cannot}.)"


def _can(words: str) -> Change:
    return Change(words, possible=True)


def _cannot(words: str) -> Change:
    return Change(words, possible=False)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _shown(pressure: float, towards: Callable[[float], float] = round) -> str:
    """Return a pressure to a tenth of a bar, rounded up or down as asked."""
    tenths = 10.0 * pressure
    near = round(tenths)
    tenths = float(near) if abs(tenths - near) < 1e-6 else towards(tenths)
    return f"{tenths / 10.0:.4g}"


def _whole(speed: float) -> float:
    """Return a speed rounded down to tens, or to whole revolutions where that is coarse."""
    return 10.0 * math.floor(speed / 10.0) if speed >= 100.0 else float(math.floor(speed))
