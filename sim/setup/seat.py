"""Where a soft jaw rests on its master jaw: their overlap, what stands past it, and the screws in it.

A bore through the jaws takes the inner end of their feet away, as far as it goes on their middle. A narrowed jaw,
pointed or a sector, counts from where it has become as wide as its master jaw, or as its widest.

Lengths in mm along the jaw, from the blank's inner end. Both jaws travel together, so nothing here depends on the
travel.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sim.scenario import Scenario
from sim.setup.jaw_place import jaw_place
from sim.setup.metal import turned


@dataclass(frozen=True, slots=True)
class Seat:
    """Overlap of one soft jaw and its master jaw.

    Attributes
    ----------
    inner, outer : float
        Ends of the overlap from the blank's inner end, mm; what is bored away is none of it.
    tip : float
        Inner end of the overlap with the narrow tip of a jaw, mm; of a plain block as `inner`.
    blank : float
        Length of the blank, mm.
    master_inner, master_outer : float
        Ends of the master jaw, mm from the blank's inner end; negative where it reaches farther in.
    screws : tuple of float
        Positions of the screws from the blank's inner end, mm.
    """

    inner: float
    outer: float
    tip: float
    blank: float
    master_inner: float
    master_outer: float
    screws: tuple[float, ...]

    @property
    def length(self) -> float:
        """Length of the overlap, mm; 0 or less where the jaws do not meet."""
        return self.outer - self.inner

    @property
    def ways(self) -> tuple[Seat, ...]:
        """The seat as it counts, and that with a jaw's narrow tip: a joint must stand on either."""
        return (self,) if self.tip >= self.inner else (self, replace(self, inner=self.tip))

    @property
    def free_inner(self) -> float:
        """How far the soft jaw stands past the inner end of its master jaw, mm."""
        return max(0.0, min(self.master_inner, self.blank))

    @property
    def far_inner(self) -> float:
        """How far the blank reaches past the overlap's inner end, mm: past the master jaw, or bored away below."""
        return min(self.inner, self.blank)

    @property
    def free_outer(self) -> float:
        """How far the soft jaw stands past the outer end of its master jaw, mm."""
        return max(0.0, min(self.blank - self.master_outer, self.blank))


def seat(scenario: Scenario, jaw: int = 0) -> Seat:
    """Return where a soft jaw (0 to 2) rests, the serrations counted by which it stands off."""
    soft, master = scenario.soft_jaw, scenario.master_jaw
    count = soft.serration_index + soft.serrations_off[jaw]
    from_blank = master.inner_radius - soft.mounting_radius - count * scenario.chuck.serration_pitch
    to = from_blank + master.length
    place = jaw_place(scenario)
    through = [one for one in turned(scenario, place) if one.low <= 0.0]
    tip = max(0.0, from_blank, *(one.side - one.inner for one in through))
    return Seat(
        inner=max(tip, place.as_wide_as(master.width)),
        outer=min(soft.length, to),
        tip=tip,
        blank=soft.length,
        master_inner=from_blank,
        master_outer=to,
        screws=soft.screws.positions,
    )


def seats(scenario: Scenario) -> tuple[Seat, Seat, Seat]:
    """Return where each of the three soft jaws rests."""
    return (seat(scenario, 0), seat(scenario, 1), seat(scenario, 2))
