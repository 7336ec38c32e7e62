"""Write a first scenario from what a setter knows: asked in the terminal, or by options."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from sim.base.beside import working_folder
from sim.base.errors import OutputError
from sim.base.files import require_place, write_whole
from sim.commands.shared import Quick, leave, loading, progress

Text = str | None


def _option(help_: str) -> Any:
    return typer.Option(help=help_, show_default=False)


def new(
    out: Annotated[
        Path,
        typer.Argument(help="scenario file to write; one that exists is not overwritten", show_default=False),
    ],
    *,
    chuck: Annotated[
        Text, _option("size class of the chuck: 165, 210, 254 or 315 (its diameter in mm)")
    ] = None,
    plate_pull: Annotated[Text, _option("largest drawbar pull on the chuck's plate, as '32 kN'")] = None,
    plate_grip: Annotated[Text, _option("largest grip of the three jaws on its plate, as '80 kN'")] = None,
    plate_speed: Annotated[Text, _option("highest speed on its plate, as '4500 rpm'")] = None,
    plate_stroke: Annotated[Text, _option("travel of a jaw on its plate, as '6 mm'")] = None,
    plate_pressure: Annotated[Text, _option("highest pressure on its plate, as '28 bar'")] = None,
    smallest: Annotated[Text, _option("smallest gripped diameter within its tolerance, as '89.9 mm'")] = None,
    largest: Annotated[Text, _option("largest gripped diameter within its tolerance, as '90 mm'")] = None,
    length: Annotated[Text, _option("length of the part, as '40 mm'")] = None,
    from_: Annotated[
        Text,
        typer.Option("--from", help="file of the part: STEP, DXF, STL, 3MF, OBJ or GLB", show_default=False),
    ] = None,
    unit: Annotated[
        Text, _option("unit of that file's coordinates: mm, cm, m or in; not of STEP and 3MF")
    ] = None,
    axis: Annotated[
        Text,
        _option(
            "direction of that file along which the spindle lies: x, y or z; default: found, but in a DXF"
        ),
    ] = None,
    chuck_end: Annotated[
        Text,
        _option("which end faces the chuck: the one with the low or the high coordinate along that axis"),
    ] = None,
    layer: Annotated[Text, _option("layer of a DXF's outline; default: all that is drawn")] = None,
    axis_at: Annotated[
        Text,
        _option(
            "where the spindle axis stands in a DXF, as '-12 mm': its y if --axis is x, its x if it is y; default: 0 mm"
        ),
    ] = None,
    tolerance: Annotated[
        Text, _option("how far it may be off a body of revolution, chords included; default: 0.1 mm")
    ] = None,
    gripped: Annotated[Text, _option("how much of it the jaws may cover; default: a third and 4 mm")] = None,
    beyond: Annotated[Text, _option("diameter of what stands out of the jaws; default: as gripped")] = None,
    bore: Annotated[Text, _option("bore through the part; default: none")] = None,
    material: Annotated[Text, _option("material of the part, a name of chuckscene materials")] = None,
    surface: Annotated[Text, _option("what the jaws grip: turned or raw")] = None,
    cut: Annotated[Text, _option("heaviest cut: turning, facing, boring or drilling")] = None,
    cut_diameter: Annotated[Text, _option("diameter at which it cuts, of a drill its own")] = None,
    depth_of_cut: Annotated[
        Text, _option("depth of that cut, as '2 mm'; of a drill half its diameter")
    ] = None,
    feed: Annotated[Text, _option("feed of that cut, as '0.25 mm/rev'")] = None,
    cutting_speed: Annotated[Text, _option("cutting speed of that cut, as '160 m/min'")] = None,
    quick: Quick = False,
) -> None:
    """Write a first scenario from what a setter knows, asking for what is not given, and judge it.

    Outside gripping of a round part in one pocket bored on a ring. What is not known is typical of the chuck's class
    and marked 'taken' in the file; pressures are those farthest from every limit.
    """
    require_place(out, folder=False)
    if out.exists() or out.is_symlink():
        raise OutputError(f"{out}: exists already and is not overwritten; name another file")
    from sim.commands.asking import asked

    known = asked(
        {
            "--chuck": chuck,
            "--plate-pull": plate_pull,
            "--plate-grip": plate_grip,
            "--plate-stroke": plate_stroke,
            "--plate-speed": plate_speed,
            "--plate-pressure": plate_pressure,
            "--smallest": smallest,
            "--largest": largest,
            "--length": length,
            "--from": from_,
            "--unit": unit,
            "--axis": axis,
            "--chuck-end": chuck_end,
            "--layer": layer,
            "--axis-at": axis_at,
            "--tolerance": tolerance,
            "--gripped": gripped,
            "--beyond": beyond,
            "--bore": bore,
            "--material": material,
            "--surface": surface,
            "--cut": cut,
            "--cut-diameter": cut_diameter,
            "--depth-of-cut": depth_of_cut,
            "--feed": feed,
            "--cutting-speed": cutting_speed,
        },
        out=out,
    )
    with progress() as tell, loading(), working_folder() as folder:
        from sim.first_setup.settled import settled

        found = settled(known, folder, tell, quick=quick)
        write_whole(out, found.text.encode("utf-8"))
    from sim.terminal.first_setup import show_first_setup

    show_first_setup(found, str(out))
    leave(found.assessment)
