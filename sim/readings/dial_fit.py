"""What keeps a part from running true, from a dial's readings: scatter of clampings and mountings, drift, lean.

A mounting is one bolting on of the jaws, a clamping one putting in of the part. Only differences tell: what the part
itself and the bored jaws add is the same in every reading of one mounting, if the part is put in at the same angle
each time. By `sim.mechanics.run_out` errors of a deviation sd of each jaw along its guideway shift the part by rho sd
sqrt(2/3) in one direction, across it by (1 - rho) sd sqrt(2/3), and seats that stand sd off tilt it by sqrt(2/3) sd /
r. A limit either way of a scenario is taken as what 95 % keep within. So

    repeat_scatter     = z sqrt(3/2) sd_e k_r / (rho F)       e between clampings of one mounting
    rebolted_along     = z sqrt(3/2) sd_e / rho               e between mountings, all of it taken as along
    rebolted_across    = z sqrt(3/2) sd_e / (1 - rho)         the same, all of it taken as across
    rebolted_up        = z sqrt(3/2) sd_g r                   lean between mountings
    stiffness_scatter  = |de/dF| / ((4/3) rho c)              e over the force within clampings, c = 1/k_r + h^2/k_tilt

with rho of the contact model, its least: where guideways have play the fields are then larger than need be.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np
from scipy import stats

from sim.base.arrays import Floats, Ints
from sim.mechanics.run_out import ALIKE_WORST
from sim.readings.dial_file import ALIKE
from sim.readings.dialled import Dialled
from sim.readings.fit import CONFIDENCE, Estimate
from sim.readings.scatters import LEAST, Squares, Vectors, between, deviation, length, widened, within

WITHIN = float(stats.norm.ppf(0.5 + 0.5 * CONFIDENCE))  # standard deviations that a limit stands off
OF_JAW = WITHIN * math.sqrt(
    1.5
)  # such a limit of each jaw over the deviation of the part in one direction, rho apart
SAME_PLACE = 1.0  # mm
LEAST_SPAN = 20.0  # mm between two heights, or a face's radius, that tell a lean
LEAST_ACROSS = 0.05  # 1 - rho, below which errors across the guideways shift a part by next to nothing
FIELDS = ("repeat_scatter", "stiffness_scatter", "rebolted_along", "rebolted_across", "rebolted_up")
Rows = Ints


@dataclass(frozen=True, slots=True, eq=False)
class DialFit:
    """What the readings tell; lengths in mm, tilts in rad.

    Attributes
    ----------
    dialled : Dialled
    clampings, mountings : int
        That were compared.
    repeat_shift : Estimate
        Deviation of the part in one direction from clamping to clamping, over the force of a jaw, mm/N.
    remount_shift, remount_lean : Estimate or None
        The same from mounting to mounting, as a shift and as a tilt; None where it is not told.
    drift : Estimate or None
        Shift over the force of a jaw, mm/N.
    run_out, lean : Estimate or None
        Whole movement of the dial, and tilt, where they are largest, with what the part itself adds.
    fields : dict of str to Estimate
        Those of the scenario's [running]; what is not told is held.
    reasons : dict of str to str
        Why, for each of those.
    """

    dialled: Dialled
    clampings: int
    mountings: int
    repeat_shift: Estimate | None
    remount_shift: Estimate | None
    remount_lean: Estimate | None
    drift: Estimate | None
    run_out: Estimate | None
    lean: Estimate | None
    fields: Mapping[str, Estimate]
    reasons: Mapping[str, str]


def dial_fit(setup: Dialled) -> DialFit:
    """Return what readings of a dial tell of a chuck and its jaws."""
    places = _Places(setup)
    groups = places.groups()
    repeat = _repeat(setup, places, groups)
    remount, mountings = _remount(setup, places)
    lean, lean_between = _lean(places.leans())
    drift = _drift(setup, places)
    found = _fields(setup, repeat, remount, lean_between, drift)
    return DialFit(
        dialled=setup,
        clampings=sum(len(set(places.clamping[rows])) for rows in groups.values()),
        mountings=mountings,
        repeat_shift=repeat,
        remount_shift=remount,
        remount_lean=lean_between,
        drift=drift,
        run_out=_run_out(setup, places, groups),
        lean=lean,
        fields={name: _held(setup, name) for name in FIELDS} | found.fields,
        reasons={name: why for name, why in found.reasons.items() if name not in found.fields},
    )


@dataclass(slots=True)
class _Found:
    fields: dict[str, Estimate] = field(default_factory=dict)
    reasons: dict[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class _Leans:
    """Tilts (rad) of the clampings of each mounting, told one way, and the least tilt that the dial's step shows."""

    members: dict[int, list[complex]] = field(default_factory=dict)
    step: float = 0.0

    def add(self, mounting: int, tilt: complex, step: float) -> None:
        self.members.setdefault(mounting, []).append(tilt)
        self.step = max(self.step, step)


class _Places:
    """Which readings belong together: one mounting, one clamping, one place of the dial, one pressure."""

    def __init__(self, setup: Dialled) -> None:
        r = setup.readings
        self._setup = setup
        self.mounting, self.clamping, self.vector = r.mounting, r.clamping, r.vector
        self.on_face = r.on_face
        self.place = np.round(np.where(self.on_face, r.radius, r.height) / SAME_PLACE).astype(int)
        self.pressure = _binned(r.pressure)

    def rows(self, **wanted: int) -> Rows:
        """Return the readings on a diameter with these marks."""
        chosen = ~self.on_face
        for name, value in wanted.items():
            chosen = chosen & (getattr(self, name) == value)
        return np.flatnonzero(chosen)

    def clamped(self, rows: Rows) -> tuple[Vectors, Rows]:
        """Return the mean vector of each clamping among some readings of one mounting, and one row of each."""
        numbers, first = np.unique(self.clamping[rows], return_index=True)
        means = [self.vector[rows][self.clamping[rows] == n].mean() for n in numbers]
        return np.array(means), rows[first]

    def groups(self) -> dict[int, Rows]:
        """Return of each mounting the readings at the place and pressure that most clampings share, one of each."""
        found: dict[int, Rows] = {}
        for mounting in np.unique(self.mounting):
            choices: list[Rows] = []
            for place, pressure in {(self.place[k], self.pressure[k]) for k in self.rows(mounting=mounting)}:
                choices.append(self.rows(mounting=mounting, place=place, pressure=pressure))
            if choices:
                found[int(mounting)] = max(
                    choices,
                    key=lambda rows: (
                        len(set(self.clamping[rows])),
                        self.pressure[rows[0]],
                        -self.place[rows[0]],
                    ),
                )
        return found

    def common(self) -> dict[int, Rows]:
        """Return of each mounting the readings at the place and pressure that most mountings share."""
        keys = [(self.place[k], self.pressure[k]) for k in self.rows()]
        if not keys:
            return {}
        mounted = {
            key: len(set(self.mounting[self.rows(place=key[0], pressure=key[1])])) for key in set(keys)
        }
        counted = Counter(keys)
        place, pressure = max(mounted, key=lambda key: (mounted[key], counted[key], key[1], -key[0]))
        found = {
            int(m): self.rows(mounting=m, place=place, pressure=pressure) for m in np.unique(self.mounting)
        }
        return {m: rows for m, rows in found.items() if len(rows)}

    def leans(self) -> list[_Leans]:
        """Return the tilts of all clampings of each mounting, by faces and by diameters at two heights."""
        by_face, by_heights = _Leans(), _Leans()
        r, step = self._setup.readings, self._setup.step
        for mounting, clamping in sorted(
            set(zip(self.mounting.tolist(), self.clamping.tolist(), strict=True))
        ):
            own = (self.mounting == mounting) & (self.clamping == clamping)
            face = np.flatnonzero(own & self.on_face & (np.nan_to_num(r.radius) >= LEAST_SPAN))
            if len(face):
                top = face[self.pressure[face] == self.pressure[face].max()]
                by_face.add(
                    mounting, complex(self.vector[top].mean()), 0.5 * step / float(r.radius[top].min())
                )
            at = self._at_two_heights(np.flatnonzero(own & ~self.on_face))
            if at is not None:
                span = float(np.ptp(r.height[at]))
                by_heights.add(mounting, -_slope(r.height[at], self.vector[at]), step / span)
        return [one for one in (by_face, by_heights) if one.members]

    def _at_two_heights(self, rows: Rows) -> Rows | None:
        """Return those of the highest pressure that was read at two heights."""
        for pressure in sorted(set(self.pressure[rows].tolist()), reverse=True):
            at: Rows = rows[self.pressure[rows] == pressure]
            if float(np.ptp(self._setup.readings.height[at])) >= LEAST_SPAN:
                return at
        return None

    def stepped(self) -> list[Rows]:
        """Return the readings of each clamping that were taken at the pressures and the place that most share."""
        by_clamping: dict[tuple[int, int, int], list[int]] = {}
        for k in self.rows():
            key = int(self.mounting[k]), int(self.clamping[k]), int(self.place[k])
            by_clamping.setdefault(key, []).append(int(k))
        kinds: dict[Hashable, list[Rows]] = {}
        for (_, _, place), rows in by_clamping.items():
            pressures = tuple(sorted(set(self.pressure[rows].tolist())))
            if len(pressures) > 1:
                kinds.setdefault((place, pressures), []).append(np.array(rows))
        return max(kinds.values(), key=len, default=[])


def _binned(values: Floats) -> Rows:
    """Return marks that are alike for values that differ by no more than `ALIKE`, rising with them."""
    order = np.argsort(values, kind="stable")
    marks, mark, first = np.zeros(len(values), dtype=np.intp), 0, values[order[0]]
    for k in order:
        if values[k] > first * (1.0 + ALIKE):
            mark, first = mark + 1, values[k]
        marks[k] = mark
    return marks


def _slope(x: Floats, y: Vectors) -> complex:
    off = x - x.mean()
    return complex(np.sum(off * y) / np.sum(off * off))


def _repeat(setup: Dialled, places: _Places, groups: Mapping[int, Rows]) -> Estimate | None:
    scaled, forces = [], []
    for rows in groups.values():
        means, one = places.clamped(rows)
        scaled.append(means / setup.force[one])
        forces.append(float(setup.force[one].mean()))
    if sum(len(group) - 1 for group in scaled) < LEAST - 1:
        return None
    return widened(deviation(within(scaled)), 0.5 * setup.step / min(forces))


def _remount(setup: Dialled, places: _Places) -> tuple[Estimate | None, int]:
    common = places.common()
    members = [places.clamped(rows)[0] for rows in common.values()]
    if len(members) < LEAST:
        return None, len(members)
    means, counts = np.array([m.mean() for m in members]), [len(m) for m in members]
    return widened(between(means, counts, within(members)), 0.5 * setup.step), len(members)


def _drift(setup: Dialled, places: _Places) -> Estimate | None:
    stepped = places.stepped()
    if len(stepped) < LEAST:
        return None
    slopes = np.array([_slope(setup.force[rows], setup.readings.vector[rows]) for rows in stepped])
    span = min(float(np.ptp(setup.force[rows])) for rows in stepped)
    return widened(length(complex(slopes.mean()), len(slopes), within([slopes])), 0.5 * setup.step / span)


def _run_out(setup: Dialled, places: _Places, groups: Mapping[int, Rows]) -> Estimate | None:
    members = [places.clamped(rows)[0] for rows in groups.values()]
    found = _largest(members, within(members))
    return None if found is None else widened(found.times(2.0), setup.step)


def _largest(members: Iterable[Vectors], inside: Squares) -> Estimate | None:
    """Return the longest mean of groups; None where their members are too few to tell their scatter."""
    if inside.freedom < 2 * (LEAST - 1):
        return None
    return max((length(complex(m.mean()), len(m), inside) for m in members), key=lambda found: found.value)


def _lean(kinds: Iterable[_Leans]) -> tuple[Estimate | None, Estimate | None]:
    """Return the lean of the worst mounting and what it scatters between them; the larger of faces and heights."""
    worst, scatter = [], []
    for kind in kinds:
        members = [np.array(own) for own in kind.members.values()]
        inside = within(members)
        found = _largest(members, inside)
        if found is not None:
            worst.append(widened(found, kind.step))
        if len(members) >= LEAST:
            means, counts = np.array([m.mean() for m in members]), [len(m) for m in members]
            scatter.append(widened(between(means, counts, inside), kind.step))
    return max(worst, key=_upper, default=None), max(scatter, key=_upper, default=None)


def _upper(found: Estimate) -> float:
    return found.high


def _fields(
    setup: Dialled,
    repeat: Estimate | None,
    remount: Estimate | None,
    lean: Estimate | None,
    drift: Estimate | None,
) -> _Found:
    """Return the fields of the scenario that follow, and why the others do not."""
    springs, rho, found = setup.springs, setup.rho, _Found()
    if repeat is None:
        found.reasons["repeat_scatter"] = (
            f"it takes {LEAST} clampings of one mounting at one height and pressure"
        )
    else:
        found.fields["repeat_scatter"] = repeat.times(OF_JAW * springs.radial / rho)
    if drift is None:
        found.reasons["stiffness_scatter"] = (
            f"it takes {LEAST} clampings, each read at the same two pressures or more at one height"
        )
    else:
        yields = 1.0 / springs.radial + springs.lever**2 / springs.tilting
        found.fields["stiffness_scatter"] = drift.times(1.0 / (ALIKE_WORST * rho * yields))
    if remount is None:
        why = f"it takes {LEAST} mountings read at one height and pressure"
        found.reasons |= {"rebolted_along": why, "rebolted_across": why}
    else:
        # Along or across is not told by a shift alone: each may be none, and may be all of it.
        found.fields["rebolted_along"] = _at_most(remount.times(OF_JAW / rho))
        if 1.0 - rho < LEAST_ACROSS:
            found.reasons["rebolted_across"] = "jaws that stand off across shift this part by next to nothing"
        else:
            found.fields["rebolted_across"] = _at_most(remount.times(OF_JAW / (1.0 - rho)))
    if springs.seat_radius <= 0.0:
        found.reasons["rebolted_up"] = "the part does not stand on the jaws"
    elif lean is None:
        found.reasons["rebolted_up"] = (
            f"it takes {LEAST} mountings, each read on a face or at two heights {LEAST_SPAN:g} mm apart or more"
        )
    else:
        found.fields["rebolted_up"] = lean.times(OF_JAW * springs.seat_radius)
    return found


def _at_most(found: Estimate) -> Estimate:
    return Estimate(found.value, 0.0, found.high)


def _held(setup: Dialled, name: str) -> Estimate:
    value = float(getattr(setup.running, name))
    return Estimate(value, value, value, held=True)
