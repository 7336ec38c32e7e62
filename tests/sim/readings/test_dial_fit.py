"""A dial's readings of jaws that are known: what is found, and bounds that mean what they say.

The readings are made here, from the errors of single jaws, with sines and cosines of their own: no formula of the
program is asked for them. By the rule for a part between three jaws without friction, an error d along and q across
jaw i moves the part by (2/3) [rho d u_i + (1 - rho) q t_i].
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from sim.assessment.running import Springs
from sim.readings.dial_file import DialReadings, read_dial
from sim.readings.dial_findings import dial_findings
from sim.readings.dial_fit import DialFit, dial_fit
from sim.readings.dial_written import dial_written
from sim.readings.dialled import Dialled
from sim.readings.scatters import between, deviation, needed, upper_over_value, within
from sim.scenario import Running

SEEDS = 200
LOW, HIGH = (int(k) for k in stats.binom.interval(0.999, SEEDS, 0.95))
RHO, RADIAL, TILTING, LEVER, SEAT = 0.7, 400e3, 6e9, 50.0, 45.0
FORCE = 10_000.0  # N of a jaw for each MPa
Z = 1.959964  # 95 % of a normal distribution lie within (any table)


@dataclass(frozen=True)
class Jaws:
    """What was put in: standard deviations of each jaw, mm or a share; unlike compliance of the jaws, mm/N."""

    force_share: float = 0.02
    along: float = 0.004
    across: float = 0.0
    up: float = 0.003
    unlike: tuple[float, float, float] = (6e-8, -2e-8, -4e-8)
    own: tuple[float, float] = (0.003, -0.002)  # what bored jaws and the part itself add, always the same
    lean: tuple[float, float] = (2e-5, 1e-5)


def made(
    true: Jaws,
    seed: int,
    *,
    mountings: int = 5,
    clampings: int = 5,
    pressures: tuple[float, ...] = (1.0, 2.0),
    heights: tuple[float, ...] = (60.0, 110.0),
) -> DialReadings:
    """Return readings of jaws with these errors; a part in these jaws swings about the height 60 mm."""
    rng = np.random.default_rng(seed)
    angle = np.radians([0.0, 120.0, 240.0])

    def moved(along: np.ndarray, across: np.ndarray) -> np.ndarray:
        x = RHO * along * np.cos(angle) - (1.0 - RHO) * across * np.sin(angle)
        y = RHO * along * np.sin(angle) + (1.0 - RHO) * across * np.cos(angle)
        return np.array([x.sum(), y.sum()]) * 2.0 / 3.0

    rows: list[tuple[float, ...]] = []
    for m in range(1, mountings + 1):
        off = moved(true.along * rng.normal(size=3), true.across * rng.normal(size=3))
        seats = true.up * rng.normal(size=3)
        g = np.array(true.lean) + 2.0 / (3.0 * SEAT) * np.array(
            [(seats * np.cos(angle)).sum(), (seats * np.sin(angle)).sum()]
        )
        for c in range(1, clampings + 1):
            shares = true.force_share * rng.normal(size=3)
            for p in pressures:
                force = FORCE * p
                gives = force * (shares / RADIAL + np.array(true.unlike))
                e = np.array(true.own) + off + moved(gives, np.zeros(3))
                for z in heights:
                    x, y = e - g * (z - 60.0)
                    rows.append((m, c, p, z, math.nan, x, y))
                rows.append((m, c, p, math.nan, 40.0, *g))
    r = np.array(rows)
    whole = np.ones(len(r), dtype=int)
    return DialReadings(
        (r[:, 0] * whole).astype(int),
        r[:, 1].astype(int),
        r[:, 2],
        r[:, 3],
        r[:, 4],
        r[:, 5] + 1j * r[:, 6],
        np.arange(2, len(r) + 2),
    )


def beside(readings: DialReadings, *, running: Running | None = None, step: float = 1e-5) -> Dialled:
    return Dialled(
        readings=readings,
        force=FORCE * readings.pressure,
        rho=RHO,
        springs=Springs(RADIAL, TILTING, LEVER, 60.0, SEAT),
        running=Running() if running is None else running,
        runout_limit=0.04,
        squareness_limit=0.03,
        face=100.0,
        step=step,
    )


def found(true: Jaws | None = None, seed: int = 0, **how: object) -> DialFit:
    return dial_fit(beside(made(Jaws() if true is None else true, seed, **how)))  # type: ignore[arg-type]


def compliance() -> float:
    """Along a jaw, of drive and guideway: pushed, and tilted by the grip above the guideway."""
    return 1.0 / RADIAL + LEVER * LEVER / TILTING


def test_bounds_cover_what_was_put_in_as_often_as_they_say() -> None:
    """95 % bounds over 200 seeds: 179 to 198 of them by the binomial law (1 of 1100 runs outside).

    Of a limit what is found is that of 95 %: Z deviations of a jaw. The drift's bounds are those of a circle, which
    hold its length oftener than they say; the scatter between mountings is allowed to, too.
    """
    true, kept = Jaws(), dict.fromkeys(("repeat", "remount", "lean", "drift"), 0)
    moved = 2.0 / 3.0 * RHO * np.sum(np.array(true.unlike) * np.exp(2j * np.pi * np.arange(3) / 3.0))
    expected = {
        "repeat": math.sqrt(2.0 / 3.0) * RHO * true.force_share / RADIAL,
        "remount": math.sqrt(2.0 / 3.0) * RHO * true.along,
        "lean": math.sqrt(2.0 / 3.0) * true.up / SEAT,
        "drift": abs(moved),
    }
    for seed in range(SEEDS):
        fit = found(true, seed)
        for name, estimate in (
            ("repeat", fit.repeat_shift),
            ("remount", fit.remount_shift),
            ("lean", fit.remount_lean),
            ("drift", fit.drift),
        ):
            assert estimate is not None
            assert estimate.low <= estimate.value <= estimate.high
            kept[name] += estimate.low <= expected[name] <= estimate.high
    assert LOW <= kept["repeat"] <= HIGH, kept
    assert LOW <= kept["lean"] <= HIGH, kept
    assert kept["remount"] >= LOW, kept
    assert kept["drift"] >= LOW, kept


def test_fields_are_limits_of_95_in_100_of_each_jaw() -> None:
    """Many readings: the shares and lengths that were put in, times Z."""
    fit = found(seed=3, mountings=400, clampings=3)
    assert fit.fields["repeat_scatter"].value == pytest.approx(Z * 0.02, rel=0.05)
    assert fit.fields["rebolted_along"].value == pytest.approx(Z * 0.004, rel=0.08)
    assert fit.fields["rebolted_up"].value == pytest.approx(Z * 0.003, rel=0.08)


def test_a_shift_alone_does_not_tell_along_from_across() -> None:
    """Jaws that stand off across, not along: the field along is then none or more, never surely more than it is."""
    fit = found(Jaws(along=0.0, across=0.010), seed=5, mountings=300, clampings=3)
    for name in ("rebolted_along", "rebolted_across"):
        assert fit.fields[name].low == 0.0
    assert fit.fields["rebolted_across"].value == pytest.approx(Z * 0.010, rel=0.1)


def test_the_drift_is_the_least_unlikeness_that_explains_it() -> None:
    """Jaw 1 yields more by a share and the two others less: the worst of such a share, (4/3) rho of it."""
    share = 0.08
    unlike = tuple(sign * share * compliance() for sign in (1.0, -1.0, -1.0))
    fit = found(Jaws(unlike=unlike, force_share=1e-6), mountings=1)  # type: ignore[arg-type]
    assert fit.fields["stiffness_scatter"].value == pytest.approx(share, rel=1e-3)


def test_faces_and_heights_tell_one_lean() -> None:
    true = Jaws(up=0.0, force_share=1e-9)
    expected = math.hypot(*true.lean)
    for readings in (made(true, 1), made(true, 1, heights=(60.0,))):
        fit = dial_fit(beside(readings))
        assert fit.lean is not None
        assert fit.lean.value == pytest.approx(expected, rel=1e-3)
    only = made(true, 1)
    at = ~only.on_face
    names = ("mounting", "clamping", "pressure", "height", "radius", "vector", "line")
    fit = dial_fit(beside(DialReadings(*(getattr(only, name)[at] for name in names))))
    assert fit.lean is not None
    assert fit.lean.value == pytest.approx(expected, rel=1e-3)


def test_by_hand() -> None:
    """Three clampings at 1 + 0i, 3 + 0i, 2 + 3i um: about their mean 2 + i squares of 2, 2 and 4, so 8 over 4."""
    group = np.array([1.0, 3.0, 2.0 + 3.0j])
    squares = within([group])
    assert (squares.total, squares.freedom) == (pytest.approx(8.0), 4)
    told = deviation(squares)
    assert told.value == pytest.approx(math.sqrt(2.0))
    # Chi-square of 4 degrees at 2.5 and 97.5 %: 0.4844 and 11.143 (any table).
    assert (told.low, told.high) == pytest.approx(
        (math.sqrt(8.0 / 11.143), math.sqrt(8.0 / 0.4844)), rel=1e-4
    )


def test_between_groups_by_hand() -> None:
    """Variance of means less that of one mean: groups of two, 1 + 1 off, and means 0, 3 and 6 um."""
    means, inside = np.array([0.0, 3.0, 6.0 + 0.0j]), within([np.array([-1.0, 1.0]) + m for m in (0, 3, 6)])
    assert (inside.total, inside.freedom) == (6.0, 6)
    assert between(means, [2, 2, 2], inside).value == pytest.approx(math.sqrt(18.0 / 4.0 - 1.0 / 2.0))


def test_how_many_readings_it_takes() -> None:
    """Square root of 2 (n - 1) over chi-square at 2.5 % (any table): 2.87 for three, 2.20 for four, 1.92 for five."""
    table = {3: (4, 0.4844), 4: (6, 1.2373), 5: (8, 2.1797), 10: (18, 8.2307)}
    for count, (freedom, chi) in table.items():
        assert upper_over_value(count) == pytest.approx(math.sqrt(freedom / chi), rel=1e-4)
    assert needed() == 5


@pytest.mark.parametrize("count", [1, 2])
def test_too_few_are_not_told_and_said(count: int) -> None:
    fit = found(mountings=count, clampings=1, heights=(60.0,))
    held = {name for name, e in fit.fields.items() if e.held}
    assert held == set(fit.reasons) == set(fit.fields)
    texts = " ".join(f.text for f in dial_findings(fit))
    assert "it takes 3 mountings" in texts
    assert "it takes 3 clampings" in texts


def test_a_scatter_below_the_dials_step_is_not_called_none() -> None:
    """Five readings all alike on a dial that shows 10 um leave up to half a step of shift."""
    fit = dial_fit(
        beside(made(Jaws(force_share=0.0, along=0.0, up=0.0, unlike=(0.0, 0.0, 0.0)), 0), step=0.01)
    )
    assert fit.repeat_shift is not None
    assert fit.repeat_shift.value == pytest.approx(0.0, abs=1e-15)
    assert fit.repeat_shift.high * FORCE * 2.0 == pytest.approx(0.005)
    for name in ("repeat_scatter", "rebolted_along", "rebolted_up"):
        assert fit.fields[name].high > 0.0


def test_coarser_dials_and_more_scatter_never_make_a_field_smaller() -> None:
    base = made(Jaws(), 7)
    fine, coarse = (dial_fit(beside(base, step=step)).fields for step in (1e-5, 5e-3))
    assert all(coarse[name].high >= fine[name].high for name in fine)
    mean = base.vector.mean()
    wider = DialReadings(
        base.mounting, base.clamping, base.pressure, base.height, base.radius,
        mean + 2.0 * (base.vector - mean), base.line,
    )  # fmt: skip
    more = dial_fit(beside(wider, step=1e-5)).fields
    for name in ("repeat_scatter", "rebolted_along", "rebolted_across", "rebolted_up", "stiffness_scatter"):
        assert more[name].high >= fine[name].high


def kinds(fit: DialFit) -> set[str]:
    return {f.kind for f in dial_findings(fit) if f.serious}


def test_jaws_as_stated_contradict_nothing() -> None:
    """Deviations a half of the stated limits; false alarms are those of one bound, 2.5 %, three times: at most 15."""
    true = Jaws(force_share=0.01, along=0.004, up=0.004, unlike=(0.0, 0.0, 0.0))
    alarms = sum(bool(kinds(found(true, seed))) for seed in range(100))
    assert alarms <= 15


@pytest.mark.parametrize(
    ("true", "kind"),
    [
        (Jaws(force_share=0.08), "clamping anew"),
        (Jaws(along=0.03), "jaws bolted on again"),
        (Jaws(up=0.03), "jaws bolted on again"),
        (Jaws(unlike=(9e-7, -9e-7, -9e-7)), "unlike stiffness"),
        (Jaws(own=(0.05, 0.0)), "run-out"),
        (Jaws(lean=(5e-4, 0.0)), "squareness"),
    ],
)
def test_what_is_more_than_stated_is_said(true: Jaws, kind: str) -> None:
    sound = replace(Jaws(), force_share=0.008, unlike=(0.0, 0.0, 0.0))  # deviations within the stated limits
    assert kind not in kinds(found(sound, 2))
    assert kind in kinds(found(true, 2))


def test_more_than_all_of_the_force_is_rejected() -> None:
    rejected = {f.kind for f in dial_findings(found(Jaws(force_share=3.0), 1)) if f.rejects}
    assert rejected == {"too much"}


def test_what_is_written_is_the_upper_bound(tmp_path: Path, scenario_file: Callable[[str], Path]) -> None:
    from sim.setup.loading import load

    fit = found(seed=4)
    text = dial_written(fit, dial_findings(fit), "test")
    (tmp_path / "dial.toml").write_text(text, encoding="utf-8")
    own = scenario_file("cast_hub_on_ring").read_text(encoding="utf-8")
    file = tmp_path / "hub.toml"
    file.write_text('include = ["dial.toml"]\n' + own, encoding="utf-8")
    scenario = load(file)
    for name, estimate in fit.fields.items():
        assert not estimate.held
        taken = getattr(scenario.running, name)
        assert estimate.high * (1.0 - 1e-9) <= taken <= 1.011 * estimate.high
    (included,) = scenario.included
    assert included.is_gauged
    assert included.judgement is not None


def test_the_file_gives_the_readings_back(tmp_path: Path) -> None:
    """Written as a setter would, TIR and the angle of the high spot, and read again."""
    r = made(Jaws(), 9, mountings=2, clampings=2)
    lines = ["mounting; clamping; pressure (bar); height (mm); radius (mm); TIR (um); high spot (deg)"]
    for k in range(r.count):
        size = 2000.0 * abs(r.vector[k]) * (r.radius[k] if r.on_face[k] else 1.0)
        place = f";{r.radius[k]:g}" if r.on_face[k] else f"{r.height[k]:g};"
        turn = math.degrees(math.atan2(r.vector[k].imag, r.vector[k].real)) % 360.0
        lines.append(
            f"{r.mounting[k]};{r.clamping[k]};{10.0 * r.pressure[k]:g};{place};{size:.6f};{turn:.6f}"
        )
    file = tmp_path / "dial.csv"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    back = read_dial(file, 10.0)
    assert not back.bad
    np.testing.assert_allclose(back.vector, r.vector, atol=1e-8)
    np.testing.assert_array_equal(back.on_face, r.on_face)
