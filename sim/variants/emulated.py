"""Contact of many variants of which every length, force and modulus differs: solved row by row, or emulated.

A grid over pressure, size, out-of-round, two moduli and a side load has too many points. `SolvedContact` solves each
row; `EmulatedContact` solves some rows (`trained`) that lie far from each other in the first batch asked, and takes
cubic radial functions over a polynomial of second degree (`scipy.interpolate.RBFInterpolator`) through them for all
others. It promises no error: who uses it measures it against `SolvedContact` on rows that it was not trained on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RBFInterpolator

from sim.assessment.bodies import lobes_of
from sim.base.arrays import Flags, Floats
from sim.contact import GripLoad
from sim.variants.contact import ContactFit, ContactPoint, ContactTables, Question

MOST, PER_DIRECTION = (
    160,
    8,
)  # rows solved for an emulator: of what has kinks; of what has none, for each direction
KINKED = 2.0  # coarseness of a question below which its answers follow the pattern of pressure
CANDIDATES = 2048  # first rows of a batch from which they are taken
KEPT = 10  # prepared bodies, 12 MB each
LOGARITHMIC = frozenset({"modulus", "jaw modulus", "friction"})
SAME, FLAT = 1e-12, 1e-3  # relative spread of a coordinate that is none; of a direction that is left out


class SolvedContact(ContactTables):
    """Every row is solved: nothing is interpolated."""

    def __call__(
        self, question: Question, force: Floats, fit: ContactFit, further: Mapping[str, Floats] | None = None
    ) -> Floats:
        """Return the answers to a question at closing forces, (n, k), as `ContactTables`."""
        return self._solved(question, _coordinates(force, fit, further))

    def _solved(self, question: Question, coordinates: Mapping[str, Floats]) -> Floats:
        rows = np.column_stack(list(coordinates.values()))
        key = (question.name, rows.tobytes())
        kept: dict[tuple[str, bytes], Floats] = self.__dict__.setdefault("_kept", {})
        if key not in kept:
            kept.clear()  # the three sizes of one part are asked for one after the other, and are often one
            kept[key] = self._answers(question, coordinates, rows)
        return kept[key]

    def _answers(self, question: Question, coordinates: Mapping[str, Floats], rows: Floats) -> Floats:
        known, row = np.unique(rows, axis=0, return_inverse=True)
        if not len(known):
            return np.zeros((0, question.width))
        answers = [question.answer(self._point_of(dict(zip(coordinates, at, strict=True)))) for at in known]
        return np.asarray(np.array(answers)[row.ravel()])

    def _point_of(self, at: dict[str, float]) -> ContactPoint:
        """Return the contact at one row's own sizes."""
        grip = self._setup.grip
        # The prepared face belongs to the part's radius, so the bore takes the difference.
        grip = replace(
            grip,
            bore_radius_mm=self._bore + grip.part_radius_mm - at["radius"],
            lobes=lobes_of(0.5 * at["out of round"]),
        )
        setup = replace(self._setup, grip=grip, load=GripLoad(at["force"]))
        ready = self._prepared(at)
        while len(self._ready) > KEPT:
            del self._ready[next(k for k in self._ready if k != (1.0, 1.0))]
        return ContactPoint(setup, ready, at["force"], at)


class EmulatedContact(SolvedContact):
    """Trained on the first batch that asks a question at a size; smaller batches are solved row by row.

    What follows the pattern of pressure has kinks where the pattern changes, in the ratio of a fit to how far the
    bodies give way. There the grids of `ContactTables` are asked at the ratios that a part and a jaw of other moduli
    have, and only the difference from them is emulated.
    """

    def __call__(
        self, question: Question, force: Floats, fit: ContactFit, further: Mapping[str, Floats] | None = None
    ) -> Floats:
        """Return the answers to a question at closing forces, (n, k), as `ContactTables`."""
        kinked = question.coarseness < KINKED and not question.smooth
        soft = bool(np.any(fit.modulus_share != 1.0) or np.any(fit.jaw_share != 1.0))
        if kinked and not soft:
            return ContactTables.__call__(self, question, force, fit, further)
        coordinates = _coordinates(force, fit, further)
        size = float(fit.radius[0]) if fit.radius.size and np.ptp(fit.radius) == 0.0 else None
        key = (question.name, size, tuple(coordinates))
        emulators: dict[object, Emulator] = self.__dict__.setdefault("_emulators", {})
        features = self._features(coordinates)
        if key not in emulators:
            scale = _scale(features)
            count = MOST if kinked else max(2, scale.directions.shape[1]) * PER_DIRECTION
            _, one_of, alike = np.unique(features, axis=0, return_index=True, return_inverse=True)
            if len(one_of) <= count:
                # Rows of one feature have one answer, whatever their forces: a part that fits its bore has one for all.
                one = {name: values[one_of] for name, values in coordinates.items()}
                return np.asarray(self._solved(question, one)[alike.ravel()])

            def solved(rows: NDArray[np.intp]) -> Floats:
                chosen = {name: values[rows] for name, values in coordinates.items()}
                found = self._solved(question, chosen)
                return found - self._by_grid(question, chosen) if kinked else found

            emulators[key] = emulator(features, scale, solved, count, may_be_negative=kinked)
        found = emulators[key](features)
        return found + self._by_grid(question, coordinates) if kinked else found

    def _by_grid(self, question: Question, at: Mapping[str, Floats]) -> Floats:
        """Return answers of the grids where fits and lobes are to the stated softness as those asked to their own."""
        softer = self._softness_of_part / at["modulus"] + self._softness_of_jaw / at["jaw modulus"]
        share = self._softness / softer
        one = np.ones(share.size)
        fit = ContactFit(
            self._bore + share * (at["radius"] - self._bore), share * at["out of round"], one, one
        )
        return ContactTables.__call__(self, question, at["force"], fit)

    def _features(self, coordinates: Mapping[str, Floats]) -> Floats:
        """Return what the answers are smooth in, (n, k): the ratios of the grids, by the same scales."""
        at, scale = dict(coordinates), 0.2 * self._softness
        force, radius, lobe = at.pop("force"), at.pop("radius"), at.pop("out of round")
        columns = [np.arcsinh((radius - self._bore) / force / scale), np.arcsinh(0.5 * lobe / force / scale)]
        if any(self._setup.grip.jaw_offsets_mm):
            columns.append(np.log(force))
        columns += [np.log(v) if name in LOGARITHMIC else v for name, v in at.items()]
        return np.column_stack(columns)


def _coordinates(force: Floats, fit: ContactFit, further: Mapping[str, Floats] | None) -> dict[str, Floats]:
    return {
        "force": force,
        "radius": fit.radius,
        "out of round": fit.out_of_round,
        "modulus": fit.modulus_share,
        "jaw modulus": fit.jaw_share,
        **({} if further is None else further),
    }


@dataclass(frozen=True, slots=True, eq=False)
class Scale:
    """Features made comparable, no unit: by their spread, turned so that directions without any drop out."""

    middle: Floats
    spread: Floats
    directions: Floats

    def __call__(self, features: Floats) -> Floats:
        """Return places (n, k)."""
        return np.asarray(((features - self.middle) / self.spread) @ self.directions)


def _scale(features: Floats) -> Scale:
    middle, spread = features.mean(axis=0), features.std(axis=0)
    spread = np.where(spread > SAME * np.abs(features).max(axis=0), spread, np.inf)
    _, size, turned = np.linalg.svd((features - middle) / spread, full_matrices=False)
    return Scale(middle, spread, turned[size > FLAT * max(size[0], SAME)].T)


@dataclass(frozen=True, slots=True, eq=False)
class Emulator:
    """A function through solved rows; what was nowhere negative stays so."""

    scale: Scale
    curve: RBFInterpolator
    never_negative: Flags

    def __call__(self, features: Floats) -> Floats:
        """Return answers (n, k)."""
        if not len(features):
            return np.zeros((0, self.never_negative.size))
        values = np.asarray(self.curve(self.scale(features)))
        return np.asarray(np.where(self.never_negative, np.maximum(values, 0.0), values))


def emulator(
    features: Floats,
    scale: Scale,
    solve: Callable[[NDArray[np.intp]], Floats],
    count: int,
    *,
    may_be_negative: bool,
) -> Emulator:
    """Return a function through solved rows of a batch.

    Parameters
    ----------
    features : (n, f) array
        Of the batch, n above `count`.
    scale : Scale
        Of these features.
    solve : callable
        Answers (m, k) of some rows.
    count : int
        Rows to be solved.
    may_be_negative : bool
        Else what is nowhere negative in those rows is so nowhere.
    """
    places = scale(features[:CANDIDATES])
    chosen = far_apart(places, count)
    answers = solve(chosen)
    dimensions = places.shape[1]
    second = (dimensions + 1) * (dimensions + 2) // 2
    degree = 2 if 2 * second <= len(chosen) else 1
    curve = RBFInterpolator(places[chosen], answers, kernel="cubic", degree=degree)
    return Emulator(scale, curve, np.asarray((answers.min(axis=0) >= 0.0) & (not may_be_negative)))


def far_apart(places: Floats, count: int) -> NDArray[np.intp]:
    """Return the rows of `places` (n, k) that lie far from each other: the middle one, then ever the farthest."""
    first = int(np.square(places - places.mean(axis=0)).sum(axis=1).argmin())
    chosen = [first]
    nearest = np.square(places - places[first]).sum(axis=1)
    while len(chosen) < min(count, len(places)) and nearest.max() > 0.0:
        chosen.append(int(nearest.argmax()))
        nearest = np.minimum(nearest, np.square(places - places[chosen[-1]]).sum(axis=1))
    return np.array(chosen)
