"""How moves are told: moments, and what stands under a frame of a contact sheet."""

from __future__ import annotations

from previz.stage.moving.move import StageMove
from previz.telling.numbers import fixed, marked, metres


def moment(time_s: float) -> str:
    """A moment of a move."""
    return f"{fixed(time_s, 1)} s"


def frame_rows(move: StageMove, time_s: float) -> dict[str, str]:
    """How the camera is set at a moment, in words, by heading; the stop only where it changes."""
    camera = move.camera_at(time_s)
    rows = {
        "focal length": f"{fixed(move.focal_lengths_mm.at(time_s), 1)} mm",
        "focus": metres(camera.focus_distance_m),
    }
    if len(set(move.f_numbers.values)) > 1:
        rows["stop"] = f"f/{marked(move.f_numbers.at(time_s))}"
    return rows
