"""Before the door closes, and who says that it may run."""

from __future__ import annotations

from sim.setup_sheet.entries import Entry, Section
from sim.setup_sheet.form import Form


def closing(form: Form, *, fixture: bool, several: bool) -> Section:
    """Return the check list and the blanks for signatures."""
    ticks = (
        form.say("jaw numbers match"),
        form.say("screws at torque, checked twice"),
        form.say("fixture and key out of the chuck") if fixture else form.say("key out of the chuck"),
        form.say("part on its face, no chip under it"),
        form.say("gauge in the band, each side") if several else form.say("gauge in the band"),
        form.say("speed limit set in the control"),
        form.say("machine shows the pressure"),
        form.say("each program run dry"),
        form.say("nothing loose, guard shut"),
    )
    date = form.say("date")
    return Section(
        form.say("Before the door closes"),
        (
            Entry(form.say("check"), (), ticks=ticks),
            Entry(
                form.say("set up by"), (), blank=date, beside=Entry(form.say("released by"), (), blank=date)
            ),
            Entry(form.say("remarks"), ()),
        ),
        together=True,
    )
