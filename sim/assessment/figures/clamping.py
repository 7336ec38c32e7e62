"""The part between the jaws: contact, run-out, shape and stress.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim.base.arrays import Floats
from sim.contact import ClampedShape, ContactResult, ContactSetup, JawOpening, Revolution, TaperAdvice


@dataclass(frozen=True, slots=True, eq=False)
class RunOut:
    """What the contact says of the part's axis in one state, mm; `sim.assessment.run_out` says how it is found.

    Of a part's sizes within its tolerance each share is that of the size in which it is the largest.

    Attributes
    ----------
    state : str
        'at rest' or 'at the highest speed'.
    rho : float
        Share of a jaw's stiffness, with its contact, that lies along the jaw, the least of all sizes. No unit.
    orders : tuple of int
        Lobes over a turn that the gripped surface may have where none are stated.
    by_lobes : (k,) array
        Distance of part and spindle by each of them alone, as the contact model gives it.
    by_stated_lobes : tuple of float
        By each lobe that is stated, the larger of the contact model and of jaws that yield freely along their faces.
    by_jaws : float
        By jaws that stand off and masses that differ; nan where a jaw leaves the part.
    free_lobes, free_jaws : float
        The worst lobe, and the jaws, where the jaws yield freely along their faces.
    per_left : (m,) array
        Distance over the amplitude of the lobes `sim.assessment.run_out.LEFT`, the larger of rho and of jaws that
        yield freely. No unit.
    """

    state: str
    rho: float
    orders: tuple[int, ...]
    by_lobes: Floats
    by_stated_lobes: tuple[float, ...]
    by_jaws: float
    free_lobes: float
    free_jaws: float
    per_left: Floats

    def __post_init__(self) -> None:
        for name in ("by_lobes", "per_left"):
            copy = np.array(getattr(self, name), dtype=np.float64)
            copy.setflags(write=False)
            object.__setattr__(self, name, copy)

    @property
    def lobes(self) -> float:
        """By lobes of unknown order: the larger of both."""
        return max(float(self.by_lobes.max()), self.free_lobes)

    @property
    def jaws(self) -> float:
        """By the jaws: the larger of both."""
        return max(self.by_jaws, self.free_jaws) if math.isfinite(self.by_jaws) else self.free_jaws

    @property
    def worst_order(self) -> int:
        """The order that shifts most by the contact model."""
        return self.orders[int(self.by_lobes.argmax())]


@dataclass(frozen=True, slots=True, eq=False)
class ClampingFigures:
    """The part between the jaws: each limit at the worst of standstill and the highest speed.

    Attributes
    ----------
    model : {'foundation', 'elastic'}
        What stands behind all of it: columns (order of magnitude) or finite elements.
    contact : ContactResult
        Under the largest force: at rest outside, at the highest speed inside.
    pressure : ContactResult
        The same with strips divided where the contact begins and ends: for band means and pictures.
    rest : ContactResult
        At rest.
    state : str
        What `contact` shows: 'at rest' or 'at the highest speed'.
    band_peak : float
        Largest band-mean pressure of the smallest, the middle and the largest part within the tolerance, MPa.
    band_peak_per_um : float
        By how much that changes where the bore's radius is 1 um larger or smaller, whichever is more, MPa; nan where
        the part is then not held.
    revolution : Revolution or None
        Grip per jaw over one turn at the highest speed under the worst side load, fixed in space; at angle 0 it
        pushes straight off jaw 1. Back face and friction keep the part from tipping. None where no grip is left or
        the part is pushed off a jaw.
    unsupported_least : float or None
        Least grip of a jaw in that state if nothing but the jaws' pressure resisted tipping, N; None where that
        does not hold the part.
    turning : ContactSetup
        That state at angle 0; with the grip at rest where none is left.
    side : float
        Worst side force, the part's weight included, N.
    roundness, roundness_basis : float, str
        Peak to peak after release, micrometres, of the first of `surfaces`, the worst within the tolerance.
    shape : ClampedShape or None
        Elastic displacement of the reported surfaces; None without finite elements.
    surfaces : tuple of str
        Names of the shape's places.
    flatness : float
        Of the free face after release, micrometres; nan where there is none or without finite elements.
    openings : tuple of (float, JawOpening)
        Bell-mouth of the jaws under the grip per jaw (N) at rest and, if any is left, at the highest speed.
    opening : JawOpening
        The one of these that stands farthest from what was bored.
    taper : TaperAdvice
        What to turn into the jaws against boring force unlike gripping force, for that one.
    run_outs : tuple of RunOut
        At rest and, if any grip is left, at the highest speed.
    left_lobes : (m,) array
        Amplitudes (mm) of the lobes `sim.assessment.run_out.LEFT` of what was turned, after release, each of the size
        within the tolerance that keeps most of it; 0 without finite elements.
    hoop_stress : float
        Largest stress around the part in its wall at the gripped height, MPa; 0 for a solid part.
    bending_stress : float
        Largest half difference of it between the two sides of the wall, MPa; nan without finite elements or wall.
    decisive_stress : float
        What is held against the part's yield strength, MPa: the equivalent stress of a band along the outline, of a
        brittle part its largest principal tension; without finite elements the stress around the wall.
    decisive_kind : {'equivalent', 'tension', 'around the wall'}
        Which of these it is.
    decisive_place : (float, float) or None
        r and z (mm) of the band where that is; None without finite elements.
    stress_share : float
        Largest share of a yield strength: of the decisive stress, and of the stress under the jaws' pressure.
    displacement : float
        Largest radial displacement of bore and outside at the gripped height, mm.
    wall : float
        Wall at the gripped height, mm; of a solid part its radius.
    loss_share_by_stiffness : float
        Share of the centrifugal force lost as grip by the stiffnesses; nan where it was not found.
    loss_share_range : (float, float) or None
        The same, no unit, over the range of the drive's stiffness where the scenario does not state it; else None.
    """

    model: Literal["foundation", "elastic"]
    contact: ContactResult
    pressure: ContactResult
    rest: ContactResult
    state: str
    band_peak: float
    band_peak_per_um: float
    revolution: Revolution | None
    unsupported_least: float | None
    turning: ContactSetup
    side: float
    roundness: float
    roundness_basis: str
    shape: ClampedShape | None
    surfaces: tuple[str, ...]
    flatness: float
    openings: tuple[tuple[float, JawOpening], ...]
    opening: JawOpening
    taper: TaperAdvice
    run_outs: tuple[RunOut, ...]
    left_lobes: Floats
    hoop_stress: float
    bending_stress: float
    decisive_stress: float
    decisive_kind: Literal["equivalent", "tension", "around the wall"]
    decisive_place: tuple[float, float] | None
    stress_share: float
    displacement: float
    wall: float
    loss_share_by_stiffness: float
    loss_share_range: tuple[float, float] | None
