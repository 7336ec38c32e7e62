"""Verdicts on boring bars: slenderness, and the bend under the cut."""

from __future__ import annotations

from collections.abc import Iterator

from sim.assessment.figures.path import PathFigures
from sim.assessment.verdict import Verdict
from sim.assessment.verdicts.path import PRACTICE, place
from sim.assessment.verdicts.rule import Rule
from sim.base.rounding import at_least_text, at_most_text, near
from sim.setup.parts import Parts

# Reach over diameter: up to the first a bar bores without chatter, beyond the second it is not to be used (common
# practice, no source: steel 4, carbide 6, with a damper 10; the second half as much again).
SLENDER = {"steel": (4.0, 6.0), "carbide": (6.0, 9.0), "damped steel": (10.0, 15.0)}
STIFFER = {
    "steel": "of carbide or with a damper",
    "carbide": "with a damper",
    "damped steel": "of carbide with a damper, by its maker's word",
}
# The clearance found is that of a straight bar. A bend at the tip up to half of the wanted clearance is left to it; the
# other half is for holder, turret and swing. Beyond the whole the bar may be in what it is said to clear (common
# practice, no source). No wanted clearance, however large, allows more than the usual one does.
BEND_SHARE = 0.5
USUAL_CLEARANCE = 1.5  # mm

BAR_SLENDERNESS = Rule(
    key="bar_slenderness",
    name="bar slenderness",
    unit="",
    at_least=False,
    basis=(
        "common practice: 4 diameters for steel, 6 for carbide, 10 with a damper, and never more than "
        "half as much again"
    ),
    background="common practice: 4 diameters for steel, 6 for carbide, 10 with a damper, and never more than "
    "half as much again; F L^3 / (3 E I) with Kienzle forces within half of the wanted clearance",
    depends=frozenset({"geometry"}),
    view="bar",
    asks="is a boring bar short enough for its thickness?",
)
BAR_BEND = Rule(
    key="bar_bend",
    name="bar bend",
    unit="mm",
    at_least=False,
    basis=(
        f"F L^3 / (3 E I), forces by Kienzle at the least favourable speed; {PRACTICE}, no source: half of the "
        f"wanted clearance, of {USUAL_CLEARANCE:g} mm at most"
    ),
    background="common practice: 4 diameters for steel, 6 for carbide, 10 with a damper, and never more than "
    "half as much again; F L^3 / (3 E I) with Kienzle forces within half of the wanted clearance",
    depends=frozenset({"geometry"}),
    view="bar",
    asks="how far does a boring bar bend under its heaviest cut?",
)


def bar_slenderness_and_limit(slenderness: float, shank: str) -> tuple[float, float]:
    """Return reach over diameter of a bar and the most at which its shank bores without chatter."""
    usual, _ = SLENDER[shank]
    return slenderness, usual


def bar_bend_and_limit(bend: float, clearance: float) -> tuple[float, float]:
    """Return how far a bar bends and how far it may beside a wanted clearance, mm."""
    return bend, BEND_SHARE * min(clearance, USUAL_CLEARANCE)


def bar_verdicts(parts: Parts, path: PathFigures, stage: str) -> Iterator[Verdict]:
    """Yield the verdicts on the bars of a path, each for the worst of them; none without a bar."""
    if not path.bars:
        return
    bar = max(path.bars, key=lambda one: one.slenderness / SLENDER[one.shank][0])
    _, longest = SLENDER[bar.shank]
    slenderness, usual = bar_slenderness_and_limit(bar.slenderness, bar.shank)
    yield BAR_SLENDERNESS.verdict(
        stage,
        slenderness,
        usual,
        basis=f"{PRACTICE}, no source: {usual:g} diameters for a {bar.shank} bar, {longest:g} at the very most",
        message=f"{bar.tool}: {bar.shank}, reaches {bar.reach:g} mm, "
        f"{near(slenderness, usual, 2)} times its diameter.",
        advice=(
            f"Let it reach {at_most_text(usual * bar.diameter, 0)} mm or less, or use a bar of "
            f"{at_least_text(bar.reach / usual, 0)} mm or more, or one {STIFFER[bar.shank]}."
        ),
        otherwise="fail" if slenderness > longest else "warn",
    )
    bent = max(path.bars, key=lambda one: one.bend)
    bend, most = bar_bend_and_limit(bent.bend, parts.scenario.limits.clearance)
    cut = (
        "it cuts nothing."
        if bent.move is None
        else (
            f"{path.clearance.depth_of_cut[bent.move]:.2f} mm deep in {place(path, bent.move, name_tool=False)} "
            f"with {bent.tangential:.0f} N bend it by {near(bend, most, 3)} mm, "
            f"{bent.push:.3f} mm of it across the wall."
        )
    )
    yield BAR_BEND.verdict(
        stage,
        bend,
        most,
        message=f"{bent.tool}: {cut}",
        advice="Take a shorter or thicker bar, or a lighter cut.",
        otherwise="fail" if bend > most / BEND_SHARE else "warn",
    )
