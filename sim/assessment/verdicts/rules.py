"""All rules, in the order of the work: boring, its path, the jaws' metal, the part in them, its cuts, grip, jaws."""

from __future__ import annotations

from types import MappingProxyType

from sim.assessment.verdicts.across import JAW_PUSHED_ACROSS
from sim.assessment.verdicts.bar import BAR_BEND, BAR_SLENDERNESS
from sim.assessment.verdicts.boring import (
    BACK_FACE_WIDTH,
    BORING_SPEED,
    BORING_SWING,
    BORING_TRAVEL,
    LAND_BETWEEN_POCKETS,
    STEADY_PRESSURE,
)
from sim.assessment.verdicts.cuts import CUTS_CLEAR_OF_THE_JAWS, CUTS_ON_THE_PART
from sim.assessment.verdicts.cutting import (
    DEPTH_OF_THE_CUTS,
    FEED_OF_THE_CUTS,
    FEED_ON_THE_NOSE,
    MEASURED_FORCES,
    SPECIFIC_FORCE_OF_THE_CUTS,
)
from sim.assessment.verdicts.fixture import (
    BORING_FIXTURE,
    BORING_RING_PRESSURE,
    BORING_RING_SPEED,
    FIXTURE_GIVES,
    FIXTURE_SEAT,
    FIXTURE_STRENGTH,
    GUIDEWAY_MOMENT_WHILE_BORING,
    LARGEST_GRIP_WHILE_BORING,
    LOAD_ON_THE_FIXTURE,
    PIN_FIT,
)
from sim.assessment.verdicts.friction import FRICTION_OF_THE_PART_IN_THE_JAWS
from sim.assessment.verdicts.grip import (
    GRIP_AT_REST,
    GUIDEWAY_MOMENT,
    HOLDING_FACTOR,
    LARGEST_GRIP,
    LEAST_GRIP_OF_A_JAW,
    SPINDLE_SPEED,
)
from sim.assessment.verdicts.included import GAUGE_READINGS
from sim.assessment.verdicts.jaw import (
    JAW_OVERHANG,
    JAW_PAST_THE_MASTER_JAW,
    JAW_SEAT_STAYS_CLOSED,
    PRESSURE_UNDER_THE_HEAD,
    SCREW_TORQUE,
    SCREWS_OF_A_JAW,
    SERRATIONS,
    THREAD_IN_THE_T_NUT,
    UNBALANCE,
    WALL_TO_THE_COUNTERBORE,
)
from sim.assessment.verdicts.machining import HOLDING_FACTOR_EACH_MOVE, PROGRAM_SPEED
from sim.assessment.verdicts.metal import (
    CORNER_OF_THE_PART,
    FLOOR_UNDER_THE_POCKET,
    METAL_AT_THE_FIXTURE,
    METAL_UNDER_THE_SCREW_HEAD,
    WALL_BEHIND_THE_FACE,
)
from sim.assessment.verdicts.neighbours import JAWS_CLEAR_OF_EACH_OTHER
from sim.assessment.verdicts.part import (
    DISPLACEMENT_AGAINST_WALL,
    GRIP_TRAVEL,
    HELD_LENGTH,
    JAW_TAPER_UNDER_GRIP,
    LOADING_CLEARANCE,
    MARKING,
    PART_CLEAR_OF_THE_JAWS,
    ROUNDNESS_AFTER_RELEASE,
    STRESS_AGAINST_YIELD,
    SWING,
)
from sim.assessment.verdicts.part_balance import UNBALANCE_OF_THE_PART
from sim.assessment.verdicts.path import (
    CUT_BELOW_THE_PART,
    CUT_BELOW_THE_POCKET,
    DEPTH_OF_CUT,
    RAPID_PLANE,
    STOCK_LEFT_IN_THE_POCKET,
    STOCK_LEFT_ON_THE_PART,
    TOOL_CLEARANCE,
    TOOL_CONTACT,
)
from sim.assessment.verdicts.pocket_limits import POCKETS_AT_THEIR_LIMITS
from sim.assessment.verdicts.pockets import (
    BACK_FACE_ON_METAL,
    BAR_REACH,
    CLEAR_OF_THE_OTHER_STEP,
    FRESHLY_BORED_FACE,
    METAL_FOR_A_REBORE,
    ONE_BORING_TRAVEL_FOR_ALL,
)
from sim.assessment.verdicts.program import (
    CHUCK_CLOSED,
    END_OF_THE_PROGRAM,
    SPEED_AND_FEED_STATED,
    SPINDLE_TURNS,
    TOOL_CHANGE,
)
from sim.assessment.verdicts.rule import Cause, Rule
from sim.assessment.verdicts.running import RUNOUT_IN_THE_JAWS, SQUARENESS_IN_THE_JAWS
from sim.assessment.verdicts.seating import PART_CLEAR_OF_THE_CHUCK, PART_ON_ITS_BACK_FACE
from sim.assessment.verdicts.spindle import SPINDLE_POWER
from sim.assessment.verdicts.supports import (
    BEND_OF_THE_PART,
    FORCE_OF_THE_CENTRE,
    PARTING_UNDER_THE_CENTRE,
    WEIGHT_HELD_BY_THE_JAWS,
    WHIP_OF_THE_PART,
)
from sim.assessment.verdicts.thin_section import SECTION_UNDER_THE_CUT

RULES: tuple[Rule, ...] = (
    BORING_TRAVEL,
    BORING_FIXTURE,
    BORING_RING_PRESSURE,
    BORING_RING_SPEED,
    PIN_FIT,
    FIXTURE_STRENGTH,
    FIXTURE_SEAT,
    FIXTURE_GIVES,
    GUIDEWAY_MOMENT_WHILE_BORING,
    LARGEST_GRIP_WHILE_BORING,
    LOAD_ON_THE_FIXTURE,
    BORING_SPEED,
    TOOL_CONTACT,
    TOOL_CLEARANCE,
    CUT_BELOW_THE_POCKET,
    CUT_BELOW_THE_PART,
    STOCK_LEFT_IN_THE_POCKET,
    STOCK_LEFT_ON_THE_PART,
    RAPID_PLANE,
    TOOL_CHANGE,
    DEPTH_OF_CUT,
    SPINDLE_TURNS,
    SPEED_AND_FEED_STATED,
    CHUCK_CLOSED,
    END_OF_THE_PROGRAM,
    FEED_ON_THE_NOSE,
    HOLDING_FACTOR_EACH_MOVE,
    PROGRAM_SPEED,
    BORING_SWING,
    LAND_BETWEEN_POCKETS,
    BACK_FACE_WIDTH,
    FLOOR_UNDER_THE_POCKET,
    METAL_AT_THE_FIXTURE,
    WALL_BEHIND_THE_FACE,
    METAL_UNDER_THE_SCREW_HEAD,
    CORNER_OF_THE_PART,
    ONE_BORING_TRAVEL_FOR_ALL,
    CLEAR_OF_THE_OTHER_STEP,
    BAR_REACH,
    BAR_SLENDERNESS,
    BAR_BEND,
    METAL_FOR_A_REBORE,
    FRESHLY_BORED_FACE,
    BACK_FACE_ON_METAL,
    POCKETS_AT_THEIR_LIMITS,
    LOADING_CLEARANCE,
    GRIP_TRAVEL,
    HELD_LENGTH,
    PART_CLEAR_OF_THE_JAWS,
    PART_CLEAR_OF_THE_CHUCK,
    PART_ON_ITS_BACK_FACE,
    CUTS_ON_THE_PART,
    CUTS_CLEAR_OF_THE_JAWS,
    HOLDING_FACTOR,
    GRIP_AT_REST,
    SPINDLE_SPEED,
    LEAST_GRIP_OF_A_JAW,
    WEIGHT_HELD_BY_THE_JAWS,
    BEND_OF_THE_PART,
    WHIP_OF_THE_PART,
    FORCE_OF_THE_CENTRE,
    PARTING_UNDER_THE_CENTRE,
    SECTION_UNDER_THE_CUT,
    FRICTION_OF_THE_PART_IN_THE_JAWS,
    FEED_OF_THE_CUTS,
    DEPTH_OF_THE_CUTS,
    SPECIFIC_FORCE_OF_THE_CUTS,
    MEASURED_FORCES,
    SPINDLE_POWER,
    GAUGE_READINGS,
    GUIDEWAY_MOMENT,
    LARGEST_GRIP,
    MARKING,
    STRESS_AGAINST_YIELD,
    DISPLACEMENT_AGAINST_WALL,
    ROUNDNESS_AFTER_RELEASE,
    JAW_TAPER_UNDER_GRIP,
    RUNOUT_IN_THE_JAWS,
    SQUARENESS_IN_THE_JAWS,
    UNBALANCE,
    UNBALANCE_OF_THE_PART,
    SCREW_TORQUE,
    PRESSURE_UNDER_THE_HEAD,
    THREAD_IN_THE_T_NUT,
    JAW_SEAT_STAYS_CLOSED,
    SERRATIONS,
    JAW_PUSHED_ACROSS,
    JAW_PAST_THE_MASTER_JAW,
    SCREWS_OF_A_JAW,
    WALL_TO_THE_COUNTERBORE,
    JAW_OVERHANG,
    JAWS_CLEAR_OF_EACH_OTHER,
    SWING,
    STEADY_PRESSURE,
)
BY_KEY = MappingProxyType({rule.key: rule for rule in RULES})


def rule_of(key: str) -> Rule:
    """Return the rule of a key.

    Raises
    ------
    KeyError
        If there is none.
    """
    return BY_KEY[key]


def depending_on(*causes: Cause) -> frozenset[str]:
    """Return the keys of the rules that one of these can change."""
    return frozenset(rule.key for rule in RULES if rule.depends.intersection(causes))


def table_rows() -> list[str]:
    """Return the rules as the rows of a Markdown table: verdict, what it asks, where its limit comes from."""
    heads = ("verdict", "asks", "basis")
    told = ((rule.name, rule.asks, rule.background or rule.basis) for rule in RULES)
    rows = [heads, *told]
    found = [f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in row)} |" for row in rows]
    return [found[0], "|---|---|---|", *found[1:]]
