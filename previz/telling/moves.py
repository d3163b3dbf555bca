"""How moves are told: moments, what stands under a frame of a contact sheet, a line for each."""

from __future__ import annotations

from previz.stage.moving.move import StageMove
from previz.telling.numbers import fixed, marked, metres

KIND = {
    "slider": "slider",
    "dolly": "dolly",
    "gimbal_walk": "gimbal walk",
    "pan_and_tilt": "pan and tilt",
    "focus_pull": "focus pull",
}


def moment(time_s: float) -> str:
    """A moment of a move."""
    return f"{fixed(time_s, 1)} s"


def frame_rows(move: StageMove, time_s: float) -> dict[str, str]:
    """How the camera is set at a moment, in words, by heading."""
    camera = move.camera_at(time_s)
    return {
        "focal length": f"{fixed(move.focal_lengths_mm.at(time_s), 1)} mm",
        "focus": metres(camera.focus_distance_m),
        "stop": f"f/{marked(move.f_numbers.at(time_s))}",
    }


def move_line(move: StageMove) -> str:
    """What a move is, in a sentence without its end."""
    way = move.way.path.length_m
    far = f" over {metres(way)}" if way > 0.0 else ""
    return f"camera {move.before.name}, {KIND[move.kind]}{far} in {moment(move.duration_s)}"
