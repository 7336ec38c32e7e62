"""What bears the part beside the jaws, as the holding factor sees it."""

from __future__ import annotations

from sim.holding import Prop
from sim.mechanics.centre import borne_across
from sim.scenario import Operation
from sim.scenario.supports import SteadyRest, Tailstock
from sim.setup.supports import centre_tip

# Three rollers of at most N bear a force in any direction up to the circle inside their hexagon, N cos 30 deg.
IN_ANY_DIRECTION = 0.75**0.5

Props = tuple[Prop, ...]


def prop_cases(operation: Operation, seat: float) -> tuple[Props, ...]:
    """Return what bears the part, once for each force of the centre that may be the worst.

    The factor is concave in the centre's force, so that it is least at one end of its range.

    Parameters
    ----------
    operation : Operation
    seat : float
        z of the part's back face, mm, chuck frame.
    """
    steady = () if operation.steady_rest is None else (_steady(operation.steady_rest, seat),)
    stated = operation.tailstock
    if stated is None:
        return (steady,)
    forces = sorted({stated.force_low, stated.force_high})
    return tuple((*steady, _centre(stated, seat + centre_tip(operation), force)) for force in forces)


def outermost(cases: tuple[Props, ...]) -> float | None:
    """Return the height of what bears the part farthest from the chuck, mm, chuck frame; None where nothing does."""
    return max((prop.height for props in cases for prop in props), default=None)


def bearers(operation: Operation) -> str:
    """Return in words what bears the part beside the jaws; '' where nothing does."""
    named = (("the centre", operation.tailstock), ("the steady rest", operation.steady_rest))
    return " and ".join(name for name, stated in named if stated is not None)


def bear(operation: Operation) -> str:
    """Return the same with its verb, as in 'the centre bears'; '' where nothing does."""
    named = bearers(operation)
    return f"{named} {'bear' if ' and ' in named else 'bears'}" if named else ""


def _centre(stated: Tailstock, tip: float, force: float) -> Prop:
    """Return a centre that bears at its tip (mm, chuck frame): the end of its hole that is nearest to the chuck."""
    most = borne_across(force, stated.cone_angle)
    if stated.largest_side_force is not None:
        most = min(most, stated.largest_side_force)
    return Prop(tip, force, most)


def _steady(stated: SteadyRest, seat: float) -> Prop:
    return Prop(seat + stated.height, 0.0, IN_ANY_DIRECTION * stated.largest_force)
