"""Before the door closes, and who says that it may run."""

from __future__ import annotations

from sim.setup_sheet.entries import Entry, Section


def closing(*, fixture: bool, several: bool) -> Section:
    """Return the check list and the blanks for signatures."""
    ticks = (
        "jaw numbers match the master jaws",
        "all screws at torque, checked a second time",
        *(("fixture and key out of the chuck",) if fixture else ("key out of the chuck",)),
        "part on its back face, no chip under it",
        f"gauge within the band{', each operation' if several else ''}",
        "speed limit set in the control",
        "pressure as stated, shown by the machine",
        "nothing loose within the swing, guard closed",
    )
    return Section(
        "Before the door closes",
        (
            Entry("check", (), ticks=ticks),
            Entry("set up by", ("name ____________________________   date ______________",)),
            Entry("released by", ("name ____________________________   date ______________",)),
            Entry("revision", ("____________   remarks ______________________________",)),
        ),
        together=True,
    )
