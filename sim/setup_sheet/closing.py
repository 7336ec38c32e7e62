"""Before the door closes, and who says that it may run."""

from __future__ import annotations

from sim.setup_sheet.entries import Entry, Section
from sim.setup_sheet.form import Form

LINE = "_" * 28


def closing(form: Form, *, fixture: bool, several: bool) -> Section:
    """Return the check list and the blanks for signatures."""
    ticks = (
        form.say("jaw numbers match the master jaws"),
        form.say("all screws at torque, checked a second time"),
        form.say("fixture and key out of the chuck") if fixture else form.say("key out of the chuck"),
        form.say("part on its back face, no chip under it"),
        form.say("gauge within the band, each operation") if several else form.say("gauge within the band"),
        form.say("speed limit set in the control"),
        form.say("pressure as stated, shown by the machine"),
        form.say("nothing loose within the swing, guard closed"),
    )
    signed = form.say("name {line}   date {short}", line=LINE, short=LINE[:14])
    return Section(
        form.say("Before the door closes"),
        (
            Entry(form.say("check"), (), ticks=ticks),
            Entry(form.say("set up by"), (signed,)),
            Entry(form.say("released by"), (signed,)),
            Entry(form.say("revision"), (form.say("{short}   remarks {line}", short=LINE[:12], line=LINE),)),
        ),
        together=True,
    )
