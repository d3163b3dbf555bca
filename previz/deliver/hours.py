"""From a camera's frames at several hours to the strip that shows them, and the table as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime, time

import numpy as np
from numpy.typing import NDArray

from previz.deliver.sheet import Cell, Group, Sheet
from previz.solve.hours import Drift, Hour, WindowLight, drift

ON_A_PAGE = 6


@dataclass(frozen=True)
class HoursRequest:
    """Which hours of the scene's day, for which camera (None: the first)."""

    start: time
    end: time
    every_min: int
    camera: str | None = None


@dataclass(frozen=True, eq=False)
class Strip:
    """A camera over the hours.

    own      what each window gives at the scene's own time, to which drift refers
    windows  by the name of the hour's camera: what each window gives then
    """

    camera: str
    person: str
    own_at: datetime
    own: Mapping[str, WindowLight]
    hours: tuple[Hour, ...]
    windows: Mapping[str, Mapping[str, WindowLight]]

    def drifts(self, hour: Hour) -> dict[str, Drift]:
        """By window: how far it has come from the scene's own time."""
        return {n: drift(now, self.own[n]) for n, now in self.windows[hour.camera].items()}

    def as_json(self) -> dict[str, object]:
        """The table, plain."""
        return {
            "camera": self.camera,
            "person": self.person,
            "own": {"at": self.own_at.isoformat(), "windows": _plain(self.own)},
            "hours": [
                {
                    "at": hour.at.isoformat(),
                    "frame": hour.camera,
                    "sky": hour.scene.daylight.sky,
                    "sun_bearing_deg": round(hour.stands.bearing_deg, 2),
                    "sun_elevation_deg": round(hour.stands.elevation_deg, 2),
                    "windows": {
                        name: {
                            **_plain(self.windows[hour.camera])[name],
                            **{k: _rounded(v, 3) for k, v in asdict(found).items()},
                        }
                        for name, found in self.drifts(hour).items()
                    },
                }
                for hour in self.hours
            ],
        }


def _plain(windows: Mapping[str, WindowLight]) -> dict[str, dict[str, float | None]]:
    return {n: {k: _rounded(v, 2) for k, v in asdict(w).items()} for n, w in windows.items()}


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def sheet_of(
    strip: Strip,
    pictures: Mapping[str, NDArray[np.uint8]],
    title: str,
    foot: str,
    cautions: tuple[str, ...],
) -> Sheet:
    """The sheet; `pictures` by the names of the hours' cameras. Six frames fill a page."""
    pages = [strip.hours[i : i + ON_A_PAGE] for i in range(0, len(strip.hours), ON_A_PAGE)]
    groups = tuple(
        Group(
            f"{page[0].label} to {page[-1].label}" if len(pages) > 1 else "",
            tuple(Cell(_label(strip, h), pictures[h.camera], _rows(strip, h)) for h in page),
        )
        for page in pages
    )
    said = (
        f"Camera {strip.camera}, {strip.own_at:%d %B %Y}. Exposure and white balance as at "
        f"{strip.own_at:%H:%M}; the light of each window in stops against then."
    )
    return Sheet(title, said, groups, foot, cautions)


def _label(strip: Strip, hour: Hour) -> str:
    return f"{hour.label}, the scene's time" if hour.at == strip.own_at else hour.label


def _rows(strip: Strip, hour: Hour) -> tuple[tuple[str, str], ...]:
    rows = [("sun", sun_text(hour)), ("sky", hour.scene.daylight.sky)]
    for name, found in strip.drifts(hour).items():
        rows.append((f"{name}, on the face", _in_stops(found.face_stops)))
        rows.append((f"{name}, as seen", _in_stops(found.luminance_stops)))
    return tuple(rows)


def _in_stops(value: float | None) -> str:
    return stops(value) if value is None else f"{stops(value)} stop"


def sun_text(hour: Hour) -> str:
    """Height and bearing of the sun in words."""
    height = hour.stands.elevation_deg
    where = f"{height:.0f} deg high" if height >= 0.0 else f"{-height:.0f} deg down"
    return f"{where}, bearing {hour.stands.bearing_deg:.0f}"


def stops(value: float | None) -> str:
    """A difference in stops, or `dark`."""
    if value is None:
        return "dark"
    return f"{value:+.1f}" if abs(value) >= 0.05 else "0.0"


def table_lines(strip: Strip) -> list[str]:
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
        cells = [f"{stops(d.face_stops)}, {stops(d.luminance_stops)}" for d in found.values()]
        lines.append(
            "  ".join([hour.label, f"{sun_text(hour):<24}", *(f"{cell:>16}" for cell in cells)])
        )
    return lines
