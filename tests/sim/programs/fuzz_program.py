"""Fuzz the program reader with coverage guidance; not collected by pytest, run by hand.

    python -m pip install atheris
    python tests/sim/programs/fuzz_program.py -max_total_time=600 -rss_limit_mb=1000 CORPUS

Every text must be read into connected moves or refused with a ProgramError of one line; anything else, a
run of more than a second for a kilobyte, or memory that grows is a finding. Findings become cases in
test_program.py.
"""

from __future__ import annotations

import itertools
import math
import sys

import atheris

with atheris.instrument_imports(
    include=[
        "sim.programs.words",
        "sim.programs.program",
        "sim.programs.modal_words",
        "sim.programs.axis_words",
        "sim.programs.speed_words",
        "sim.programs.motion",
        "sim.programs.compensation",
        "sim.programs.arc_words",
        "sim.programs.code_groups",
        "sim.programs.single_cycle_words",
        "sim.programs.thread_words",
        "sim.programs.hole_words",
        "sim.programs.one_block_cycle",
        "sim.programs.offset_words",
        "sim.programs.open_lines",
        "sim.programs.read_block",
        "sim.programs.cycles.threads",
        "sim.programs.cycles.pecks",
        "sim.programs.cycles.holes",
        "sim.programs.code_systems",
        "sim.programs.feed_words",
        "sim.programs.home_words",
        "sim.programs.idle_words",
        "sim.programs.machine_words",
        "sim.programs.system_words",
        "sim.programs.tool_digits",
        "sim.programs.tool_words",
        "sim.programs.zero_words",
        "sim.programs.arithmetic",
        "sim.programs.expressions",
        "sim.programs.statements",
        "sim.programs.sections",
        "sim.programs.calls",
        "sim.programs.flow",
        "sim.programs.corner_words",
        "sim.programs.corners",
        "sim.programs.cycle_words",
        "sim.programs.contour_blocks",
        "sim.programs.cycle_moves",
        "sim.programs.cycles.contour",
        "sim.programs.cycles.frame",
        "sim.programs.cycles.pattern",
        "sim.programs.cycles.roughing",
    ]
):
    from sim.programs import flow
    from sim.programs.compensation import Nose
    from sim.programs.cycles.amounts import Amounts
    from sim.programs.program import read
    from sim.programs.reading import Reading
    from sim.programs.words import ProgramError

# What loops and jumps may run: a second for a kilobyte is a finding.
flow.MOST_BLOCKS = 5000

READINGS = (
    Reading(nose_radius=0.4),
    Reading(nose_radius=1.2, tip_direction=(-1, -1), diameter=False, skip_optional=True, rapid="dogleg"),
    Reading(nose_radius=0.8, tip_direction=(0, 0), inch=True, least_increment=0.001),
    Reading(point_required=True, skip_optional=None, rapid="unknown", speed_limit=3500.0, first_tool=1),
    Reading(
        tools={1: Nose(0.4, (1, -1)), 2: Nose(0.8, (-1, -1)), 117: Nose(0.0, (0, 0))},
        home=(150.0, 300.0),
        chuck=(69, 68),
        skipped=frozenset({"/2"}),
    ),
    Reading(
        home=(150.0, 300.0),
        second_home=(120.0, 200.0),
        machine_zero=(200.0, 400.0),
        bare_home="both axes",
        datums={54: 10.0, 55: 40.0},
        tool_word="TSSOO",
        code_system="G90 cycles",
    ),
    Reading(home=(150.0, 300.0), bare_home="nothing", tool_word="TNNSSOO", code_system="G77 cycles"),
    Reading(code_system="G20 cycles"),
    Reading(tool_word="TS", code_system="ISO"),
    Reading(nose_radius=0.2, corner_words="without comma", corners="intersection"),
    Reading(code_system="G90 cycles", amounts=Amounts(pull_out=1.0, plane="from the start")),
    Reading(code_system="G20 cycles", amounts=Amounts(peck_return="back off", plane="absolute")),
)


def one_input(data: bytes) -> None:
    """Read one text in one of twelve ways."""
    if not data:
        return
    text = data[1:].decode("latin-1")
    try:
        program = read(text, READINGS[data[0] % len(READINGS)])
    except ProgramError as error:
        if "\n" in str(error) or error.line < 1:
            raise RuntimeError(f"not one sentence: {error!r}") from error
        return
    for before, after in itertools.pairwise(program.moves):
        if math.dist(before.end, after.start) > 1e-5:
            raise RuntimeError(f"moves do not join: {before} {after}")


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
