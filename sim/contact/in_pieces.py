"""Compliance of faces whose strips are divided, never put together: what pieces add is known band by band.

With the displacements Y of the strips, the pieces of one band move by y = T Y + e, and only e, which their own forces
make, is new (`sim.contact.split`). So bodies whose closed pieces c move by y_c have the energy

    1/2 Y' H Y + 1/2 sum over bands (y_c - T_c Y)' (s E_cc)^-1 (y_c - T_c Y)

with H the inverse of the strips' compliance and s the softness of the band. A strip that is closed all over has the
mean of its pieces' displacements, the others are where the energy is least: one factor of these strips among each other
and a small one of each band take the place of a factor of all closed pieces, and of their compliance in the memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve
from scipy.linalg.lapack import dpotrf, dtrtrs

from sim.base.arrays import Flags, Floats, Ints

_KEPT = 128  # bands whose factor is kept


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """How pieces follow from strips; no unit.

    Attributes
    ----------
    share : (pieces, strips) array
        M, of the pieces in the width of their strip.
    mean : (pieces, strips) array
        T.
    own : (pieces, pieces) array
        E, for a half plane whose displacement under 1 N/mm is -ln of the distance.
    precision : (pieces, pieces) array
        D' E^- D.
    strip : (pieces,) array of int
        In which each lies.
    first : (strips,) array of int
        First piece of each strip.
    weight : (pieces,) array
        Their entries of M.
    """

    share: Floats
    mean: Floats
    own: Floats
    precision: Floats
    strip: Ints = field(init=False)
    first: Ints = field(init=False)
    weight: Floats = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "strip", np.argmax(self.share > 0.0, axis=1))
        object.__setattr__(self, "first", np.flatnonzero(np.diff(self.strip, prepend=-1)))
        object.__setattr__(self, "weight", self.share.max(axis=1))
        for name in ("share", "mean", "own", "precision"):
            getattr(self, name).setflags(write=False)


@dataclass(frozen=True, slots=True, eq=False)
class _Band:
    """The closed pieces of one band that say something beyond their strips.

    Attributes
    ----------
    full : (strips,) array of bool
        Strips that are closed all over.
    pieces : (c,) array of int
        Closed pieces of divided strips, but one of each strip that is closed all over.
    factor : (c, c) array
        Cholesky's of their E.
    mean : (c, strips) array
        Their T.
    follow : (c, f) array
        The factor's inverse times their T, of the f strips that are not closed all over.
    stiffens : (f, f) array
        What these strips meet from them, of a softness of 1.
    """

    full: Flags
    pieces: Ints
    factor: Floats
    mean: Floats
    follow: Floats
    stiffens: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Face:
    """One band of one jaw: its pieces and strips among all, and the root of its softness, (mm/N)^0.5."""

    own: Pieces
    root: float
    pieces: slice
    strips: slice


@dataclass(frozen=True, slots=True, eq=False)
class _Pattern:
    """Closed pieces of all faces.

    Attributes
    ----------
    closed : (pieces of all,) array of bool
    bands : tuple of _Band
    full : (n,) array of bool
        Strips that are closed all over.
    free : (f,) array of int
        The others.
    rows : (f, n) array
        Inverse of the strips' compliance, of these.
    factor : (f, f) array
        Cholesky's of what resists their displacements.
    """

    closed: Flags
    bands: tuple[_Band, ...]
    full: Flags
    free: Ints
    rows: Floats
    factor: Floats


@dataclass(frozen=True, slots=True, eq=False)
class DividedBodies:
    """Bodies between the pieces of all faces, cells by jaw, band and piece.

    Attributes
    ----------
    compliance, inverse : (n, n) arrays
        Between strips, mm/N and N/mm.
    faces : tuples of (Pieces, (b,) array)
        How the pieces of each face follow from strips, and the softness of each of its bands, mm for 1 N for -ln
        of the distance; as in `sim.contact.split.of_pieces`.
    """

    compliance: Floats
    inverse: Floats
    faces: tuple[tuple[Pieces, Floats], ...]
    _each: tuple[_Face, ...] = field(init=False)
    _bands: dict[tuple[int, bytes], _Band] = field(default_factory=dict)
    _last: dict[bytes, _Pattern] = field(default_factory=dict)  # one at most

    def __post_init__(self) -> None:
        each, piece, strip = [], 0, 0
        for own, softness in self.faces:
            count, strips = own.share.shape
            for one in softness:
                ends = (slice(piece, piece + count), slice(strip, strip + strips))
                each.append(_Face(own, float(np.sqrt(one)), *ends))
                piece, strip = piece + count, strip + strips
        object.__setattr__(self, "_each", tuple(each))

    def times(self, force: Floats) -> Floats:
        """Return the displacements (mm) of all pieces under their forces (N)."""
        strips = np.concatenate([force[face.pieces] @ face.own.mean for face in self._each])
        moved = self.compliance @ strips
        return np.concatenate(
            [
                face.own.mean @ moved[face.strips] + face.root**2 * (face.own.own @ force[face.pieces])
                for face in self._each
            ]
        )

    def held(self, displacement: Floats, closed: Flags) -> Floats:
        """Return the forces (c, k) that give the closed pieces their displacements (n, k), the others none.

        Raises
        ------
        LinAlgError
            When the compliance is not positive definite.
        """
        known = self._pattern(closed)
        moved = np.zeros((known.full.size, displacement.shape[1]))
        left = []
        for face, band in zip(self._each, known.bands, strict=True):
            target = displacement[face.pieces]
            means = np.add.reduceat(face.own.weight[:, None] * target, face.own.first, axis=0)
            moved[face.strips][band.full] = means[band.full]
            left.append(_beyond(band, target, moved[face.strips]) / face.root)
        if known.free.size:
            moved[known.free] = self._displaced(known, left, moved)
        pulled, force = self.inverse @ moved, np.zeros(displacement.shape)
        for face, band, beyond in zip(self._each, known.bands, left, strict=True):
            if band.pieces.size:
                rest = beyond - band.follow @ (moved[face.strips][~band.full] / face.root)
                rest = dtrtrs(band.factor, rest / face.root, lower=1, trans=1)[0]
                force[face.pieces][band.pieces] = rest
                pulled[face.strips] -= band.mean.T @ rest
            # Where a strip is not closed all over nothing is left to share out.
            shared = np.where(band.full[:, None], pulled[face.strips], 0.0)
            force[face.pieces] += face.own.weight[:, None] * shared[face.own.strip]
        return force[known.closed]

    def _displaced(self, known: _Pattern, left: list[Floats], moved: Floats) -> Floats:
        """Return the displacements of the strips that are not closed all over."""
        right, begin = -(known.rows @ moved), 0
        for face, band, beyond in zip(self._each, known.bands, left, strict=True):
            count = band.follow.shape[1]
            if band.pieces.size and count:
                right[begin : begin + count] += band.follow.T @ (beyond / face.root)
            begin += count
        solved = cho_solve((known.factor, True), right, overwrite_b=True, check_finite=False)
        return np.asarray(solved, dtype=np.float64)

    def _pattern(self, closed: Flags) -> _Pattern:
        """Return what follows from the closed pieces alone."""
        key = closed.tobytes()
        found = self._last.get(key)  # asked once: another thread may put its own there meanwhile
        if found is None:
            bands = tuple(self._band(face.own, closed[face.pieces]) for face in self._each)
            full = np.concatenate([band.full for band in bands])
            free = np.flatnonzero(~full)
            rows, factor = self.inverse[free], np.zeros((0, 0))
            if free.size:
                matrix, begin = np.take(rows, free, axis=1), 0
                for face, band in zip(self._each, bands, strict=True):
                    end = begin + band.follow.shape[1]
                    matrix[begin:end, begin:end] += band.stiffens / face.root**2
                    begin = end
                factor = cho_factor(matrix.T, lower=True, overwrite_a=True, check_finite=False)[0]
            found = _Pattern(closed.copy(), bands, full, free, rows, factor)
            self._last.clear()
            self._last[key] = found
        return found

    def _band(self, own: Pieces, closed: Flags) -> _Band:
        key = id(own), closed.tobytes()
        found = self._bands.get(key)
        if found is None:
            found = _band(own, closed)
            if len(self._bands) >= _KEPT:
                self._bands.clear()
            self._bands[key] = found
        return found

    def whole(self) -> Floats:
        """Return the compliance (n, n) between all pieces."""
        return on_strips(self.compliance, [(own.mean, own.own, softness) for own, softness in self.faces])


def _band(own: Pieces, closed: Flags) -> _Band:
    full = np.logical_and.reduceat(closed, own.first)
    asked = closed.copy()
    asked[own.first[full]] = False  # known from the others and the strip
    pieces = np.flatnonzero(asked)
    mean = own.mean[pieces]
    if not pieces.size:
        count = int(np.count_nonzero(~full))
        return _Band(full, pieces, np.zeros((0, 0)), mean, np.zeros((0, count)), np.zeros((count, count)))
    factor, failed = dpotrf(own.own[pieces][:, pieces].T, lower=1, clean=0, overwrite_a=1)
    if failed:
        raise LinAlgError("the pieces' own compliance is not positive definite")
    follow = dtrtrs(factor, mean[:, ~full], lower=1)[0]
    return _Band(full, pieces, factor, mean, follow, follow.T @ follow)


def _beyond(band: _Band, target: Floats, moved: Floats) -> Floats:
    """Return what a band's pieces move beyond what the strips that are closed all over say, by the band's factor."""
    if not band.pieces.size:
        return np.zeros((0, target.shape[1]))
    beyond = target[band.pieces] - band.mean @ moved
    return np.asarray(dtrtrs(band.factor, beyond, lower=1)[0], dtype=np.float64)


def on_strips(matrix: Floats, faces: Sequence[tuple[Floats, Floats, Floats]]) -> Floats:
    """Apply (rows (pieces, strips), own, factors) of each face to both sides of a matrix by bands.

    Each band itself gets its factor of `own` added.
    """
    size, ends = len(matrix), np.cumsum([0, *(rows.shape[1] * factors.size for rows, _, factors in faces)])
    sides = [
        (matrix[:, low:high].reshape(-1, rows.shape[1]) @ rows.T).reshape(size, -1)
        for (rows, _, _), low, high in zip(faces, ends[:-1], ends[1:], strict=True)
    ]
    one = sides[0] if len(sides) == 1 else np.hstack(sides)
    width = one.shape[1]
    whole = np.zeros((width, width))
    at = 0
    for (rows, own, factors), low, high in zip(faces, ends[:-1], ends[1:], strict=True):
        (count, strips), bands = rows.shape, factors.size
        here = slice(at, at + bands * count)
        whole[here] = np.matmul(rows, one[low:high].reshape(bands, strips, width)).reshape(-1, width)
        itself = whole[here, here].reshape(bands, count, bands, count)
        for band, factor in enumerate(factors):
            itself[band, :, band] += factor * own
        at += bands * count
    return whole
