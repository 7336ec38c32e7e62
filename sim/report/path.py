"""A path of tools as figures: its bars, touches, other ways to read it, and how its moves are held."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.assessment.figures.machining import MachiningFigures
from sim.assessment.figures.path import PathFigures
from sim.report.moves import MoveRow, move_rows


def path_object(path: PathFigures, *, moves: bool) -> dict[str, Any]:
    """Return a path and what it comes near to as a plain dictionary, with its moves one by one where asked."""
    result = path.clearance
    move = result.least_move
    return {
        "program": path.file or None,
        "tools": [run.tool.name for run in path.runs],
        "notes": list(path.notes),
        "optional_blocks": path.reading or None,
        "other_readings": [_reading(way) for way in path.others],
        "ended_by": None if path.at_work is None or path.at_work.ended is None else path.at_work.ended.text,
        "swing_mm": path.swing,
        "safe_plane_mm": path.safe_plane,
        "zero_mm": path.zero,
        "moves": len(path.moves),
        "least_mm": result.least_clearance,
        "least_move": move + 1 if move >= 0 else None,
        "least_between": [result.part[move], result.body[move]] if move >= 0 else None,
        "least_off_the_line": bool(result.astray[move]) if move >= 0 else None,
        "required_mm": result.required,
        "gouge_mm": result.gouge_depth,
        "leftover_mm": result.leftover_depth,
        "bars": [
            {
                "tool": bar.tool,
                "shank": bar.shank,
                "diameter_mm": bar.diameter,
                "reach_mm": bar.reach,
                "slenderness": bar.slenderness,
                "move": None if bar.move is None else bar.move + 1,
                "tangential_N": bar.tangential,
                "radial_N": bar.radial,
                "bend_mm": bar.bend,
                "push_mm": bar.push,
            }
            for bar in path.bars
        ],
        "touches": [
            {
                "kind": t.kind,
                "move": t.move + 1,
                "block": t.block,
                "line": t.line,
                "part": t.part,
                "body": t.body,
                "radius_mm": t.place[0],
                "z_mm": t.place[1],
                "depth_mm": t.depth,
                "off_the_line": t.astray,
            }
            for t in result.touches
        ],
        **({"move_table": [_move(row) for row in move_rows(path)]} if moves else {}),
    }


def _reading(way: PathFigures) -> dict[str, Any]:
    return {
        "optional_blocks": way.reading,
        "moves": len(way.moves),
        "least_mm": way.clearance.least_clearance,
        "gouge_mm": way.clearance.gouge_depth,
        "leftover_mm": way.clearance.leftover_depth,
        "touches": len(way.clearance.touches),
    }


def _move(row: MoveRow) -> dict[str, Any]:
    return {
        "move": row.number,
        "block": row.block,
        "line": row.line,
        "tool": row.tool,
        "kind": row.kind,
        "stage": row.stage,
        "x_diameter_mm": row.x,
        "program_z_mm": row.z,
        "clearance_mm": row.clearance,
        "between": row.between,
        "off_the_line": row.off_the_line,
        "touches": row.touches,
        "depth_of_cut_mm": row.depth,
        "speed_rpm": row.speed,
        "holding_factor": row.factor,
    }


def program_grip_object(path: MachiningFigures) -> dict[str, Any]:
    """Return how the moves of a program are held as a plain dictionary."""
    factors = path.grip.factor
    move = int(factors.argmin()) if np.isfinite(factors).any() else -1
    return {
        "highest_speed_rpm": float(path.grip.speed.max()),
        "least_factor": None if path.held is None else path.held.holding.factor,
        "least_factor_move": None if path.held is None else path.held.move + 1,
        "least_factor_by_closed_forms": float(factors[move]) if move >= 0 else None,
        "least_factor_by_closed_forms_move": move + 1 if move >= 0 else None,
        "left_N": float(path.grip.left[move]) if move >= 0 else None,
        "needed_N": float(path.grip.needed[move]) if move >= 0 else None,
    }
