"""Holding factor: the largest multiple of a cut that friction in the jaws carries, by linear programs.

Torque, push towards the chuck, pull-out, side load and tipping at once, over one revolution: the cut stands still in
space, the jaws turn under it. Lengths in mm, forces in N, angles in rad. A wrench is (6,): force x, y, z and moment
about x, y, z (N mm) about the axis' point at the middle of the held height, on the part; z away from the chuck, jaw 1
on x.

At one spindle angle the factor is the largest s for which `permanent + s cut` is balanced by

- the jaws' normal forces, whose sum is the total grip, since one piston moves all three jaws. (The jaws' forces along
  their travel add up to the grip, their normal forces to a little more, 1 / mean(cos) over the face: not counted.)
- friction of every part of the faces, in a pyramid of `SIDES` sides inside Coulomb's cone: it errs low by at most
  1 - cos(pi / SIDES), 1.9 %, and not at all for torque alone and axial force alone.
- the back faces of the pockets, which only push, without friction unless one is given.

- props, which stand still in space: a centre's push along the spindle, which is always there, and what a centre or a
  steady rest bears across it, up to its most, as little as it likes, without moment.

The part's weight is permanent: it is known and does not grow with a blunt edge, so it is not multiplied.

Balance alone does not say where the normal forces lie. Three answers, each contained in the next:

given
    Each jaw takes its share of the side load, (2/3) Q cos, as in the contact without friction. Pressure does not
    shift along the jaws: friction and back face alone resist tipping, at the lever mu d / 4 of the handbooks.
shifting
    The pressure of the contact times 1 + a + b cos + c sin, b and c linear in z: what shift and tilt of the part do
    to it. No place under pressure may let go. How much of side load and tipping the pressure carries and how much
    friction is left to the program.
free
    Any pressure of that sum, even all of it on the ends of the faces: an upper bound.

Verdicts use 'shifting'. It is the safer of those that reproduce the closed forms of `sim.mechanics.hold`: torque
mu F Rp / T, axial force mu F / A, both together, and the lever mu d / 4 + l / 12 against tipping, which it exceeds by
5 to 25 %, since friction also acts around the faces and jaws press harder where their arm is longer. Coulomb friction
is not associated, so that a program that chooses freely may promise too much (D. C. Drucker, Coulomb friction,
plasticity, and limit loads, J. Appl. Mech. 21, 1954, 71). A part on springs, its load followed step
by step, gives way between 'shifting' and 'free' (tests/sim/holding): a face that lets go at one end still carries at
the other.

Beside the closed forms, on 250 random cuts 12 to 150 mm before the middle of jaws of 120 mm (Ff and Fp 0.2 to 0.6 Fc),
it gives 0.9 to 1.6 times their factor with the feed on the back face, which they do not credit against tipping, and 0.5
to 1.1 times with a pull: least where torque, pull and tipping need about the same, as they take the larger of slipping
and tipping.

What no figure here tells: under a load that goes round, parts of the faces slip to and fro, and the part may creep in
the jaws by micrometres a turn well below the factor of every single angle. In the stepwise model, with friction springs
0.3 to 0.8 times as stiff as the normal ones, that begins at 0.4 to 0.5 of it.
"""

from __future__ import annotations

from sim.holding.faces import BackFace, HeldFaces, Prop, evenly_pressed, pressed
from sim.holding.program import HoldingNotSolved, Limit, Mode, Pressure
from sim.holding.revolution import ANGLES, Holding, holding, least_grip, limits_at, turned_wrench
from sim.holding.supports import PYRAMID_ERROR, SIDES

__all__ = [
    "ANGLES",
    "PYRAMID_ERROR",
    "SIDES",
    "BackFace",
    "HeldFaces",
    "Holding",
    "HoldingNotSolved",
    "Limit",
    "Mode",
    "Pressure",
    "Prop",
    "evenly_pressed",
    "holding",
    "least_grip",
    "limits_at",
    "pressed",
    "turned_wrench",
]
