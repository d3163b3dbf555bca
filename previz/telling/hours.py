"""How a set's windows drift over the hours: a table for people, rows under a frame, JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from previz.solve.hours import Hour, Strip, WindowLight
from previz.telling.numbers import degrees, fixed, signed
from previz.telling.quantities import told

LEVEL_STOPS = 0.05
"""Less than this is told as none: half of the last digit."""


def hours_json(strip: Strip) -> dict[str, Any]:
    """The table by name."""
    found: dict[str, Any] = told(
        {
            "camera": strip.camera,
            "person": strip.person,
            "own": {"at": strip.own_at.isoformat(), "windows": _windows(strip.own)},
            "hours": [
                {
                    "at": hour.at.isoformat(),
                    "frame": hour.camera,
                    "sky": hour.scene.daylight.sky,
                    "sun_bearing_deg": hour.stands.bearing_deg,
                    "sun_elevation_deg": hour.stands.elevation_deg,
                    "windows": {
                        name: {**asdict(strip.windows[hour.camera][name]), **asdict(drifted)}
                        for name, drifted in strip.drifts(hour).items()
                    },
                }
                for hour in strip.hours
            ],
        }
    )
    return found


def _windows(light: Mapping[str, WindowLight]) -> dict[str, Any]:
    return {name: asdict(window) for name, window in light.items()}


def hours_lines(strip: Strip) -> list[str]:
    """The table for a terminal."""
    names = list(strip.own)
    heads = ["time ", f"{'sun':<24}", *(f"{name:>16}" for name in names)]
    lines = [
        f"Stops against {strip.own_at:%H:%M}: light by each window on {strip.person}'s face, "
        "luminance seen through it.",
        "  ".join(heads),
    ]
    for hour in strip.hours:
        found = strip.drifts(hour)
        cells = [f"{drift(d.face_stops)}, {drift(d.luminance_stops)}" for d in found.values()]
        lines.append(
            "  ".join([hour.label, f"{sun_text(hour):<24}", *(f"{cell:>16}" for cell in cells)])
        )
    return lines


def hour_rows(strip: Strip, hour: Hour) -> tuple[tuple[str, str], ...]:
    """What stands under the frame of an hour: a name and its words, row by row."""
    rows = [("sun", sun_text(hour)), ("sky", hour.scene.daylight.sky)]
    for name, found in strip.drifts(hour).items():
        rows.append((f"{name}, on the face", _in_stops(found.face_stops)))
        rows.append((f"{name}, as seen", _in_stops(found.luminance_stops)))
    return tuple(rows)


def _in_stops(value: float | None) -> str:
    return drift(value) if value is None else f"{drift(value)} stop"


def sun_text(hour: Hour) -> str:
    """Height and bearing of the sun in words."""
    height = hour.stands.elevation_deg
    where = f"{degrees(height)} high" if height >= 0.0 else f"{degrees(-height)} down"
    return f"{where}, bearing {fixed(hour.stands.bearing_deg)}"


def drift(value_stops: float | None) -> str:
    """A difference in stops, or `dark`."""
    if value_stops is None:
        return "dark"
    return signed(value_stops) if abs(value_stops) >= LEVEL_STOPS else fixed(0.0, 1)
