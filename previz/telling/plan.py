"""What `plan` says of the paper it drew: lines, and JSON."""

from __future__ import annotations

import math
from typing import Any

from previz.measure.setting_out.layout import Layout
from previz.measure.setting_out.rows import Row
from previz.telling.numbers import rounded
from previz.telling.setting_out import notes
from previz.telling.tape import Units, scale_words

PAPER_WORDS = {"a4": "A4", "a3": "A3", "letter": "letter paper"}


def plan_lines(
    layout: Layout, scale: int, elevation_scale: int, paper: str, units: Units
) -> list[str]:
    """The scales, then what stands under the table."""
    scales = (
        f"Floor plan {scale_words(scale, units)}, elevations "
        f"{scale_words(elevation_scale, units)}, on {PAPER_WORDS[paper]}: print at full size."
    )
    return [scales, *notes(layout, units)]


def plan_json(layout: Layout, scale: int, elevation_scale: int, paper: str) -> dict[str, Any]:
    """Scales, rows of the table and cable runs, in metres and degrees."""
    return {
        "title": layout.title,
        "paper": paper,
        "scale": scale,
        "elevation_scale": elevation_scale,
        "setting_out": [_row_json(row) for row in layout.rows],
        "cables": [
            {
                "light": run.light,
                "socket": run.socket,
                "circuit": run.circuit,
                "length_m": rounded(run.length_m, 2),
                "across_doors": list(run.doors),
            }
            for run in layout.cables
        ],
    }


def _row_json(row: Row) -> dict[str, Any]:
    lens = row.setting
    return {
        "name": row.name,
        "kind": row.kind,
        "at_m": [rounded(float(value), 3) for value in row.at_m],
        "tapes": [
            {"from": tape.reference, "distance_m": rounded(tape.distance_m, 3)}
            for tape in row.tapes
        ],
        "height_m": rounded(row.height_m, 3),
        "pan_deg": _degrees(row.pan_rad),
        "tilt_deg": _degrees(row.tilt_rad),
        "on": row.on,
        "focal_length_mm": None if lens is None else rounded(lens.focal_length_mm, 1),
        "f_number": None if lens is None else rounded(lens.f_number, 2),
        "t_number": None if lens is None else rounded(lens.t_number, 2),
        "focus_distance_m": None if lens is None else rounded(lens.focus_distance_m, 3),
    }


def _degrees(value_rad: float | None) -> float | None:
    return None if value_rad is None else rounded(math.degrees(value_rad), 2)
