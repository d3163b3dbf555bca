"""Findings on windows by night: they mirror the lit room, and film on them leaves them black."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from previz.measure.light.mirrored import Mirrored, mirrored
from previz.measure.light.outside import outside_stops
from previz.measure.measured import Measured
from previz.measure.rules.findings import GEOMETRY, Finding
from previz.physics.exposure import nd_stops
from previz.scenefile.wording import listed

CURES: dict[str, tuple[Literal["warning", "note"], str]] = {
    "light": ("warning", "move it or the camera, turn it, or draw a curtain"),
    "camera": ("note", "move it, hang black cloth round it, or draw a curtain"),
}
BLACK_STOPS = -3.0
"""Further under mid grey hardly anything is told apart in a window: an estimate."""
LEAST_FILM_STOPS = 1.0
"""Less film is left up for the evening: common practice, no source."""


def mirror_findings(measured: Measured) -> Iterator[Finding]:
    """Lights and cameras mirrored in dark panes that a camera sees, and panes under film."""
    stage = measured.stage
    for name, camera in stage.cameras.items():
        found = list(mirrored(stage, camera))
        for window, kind in dict.fromkeys((one.window, one.kind) for one in found):
            yield _finding(name, window, kind, found)
    yield from _under_film(measured)


def _under_film(measured: Measured) -> Iterator[Finding]:
    """Film that was put up for the day, on a window that a camera sees by night."""
    stage = measured.stage
    for name, camera in stage.cameras.items():
        for window in (emitter for emitter in stage.emitters if emitter.layer in stage.room.panes):
            film = nd_stops(stage.room.film_density.get(window.layer, 0.0))
            stops = outside_stops(stage, camera, window)
            if film >= LEAST_FILM_STOPS and stops is not None and stops < BLACK_STOPS:
                yield Finding(
                    "dark_window",
                    "warning",
                    f"cameras.{name}",
                    f"camera {name} sees {window.layer} black: it is dark outside, and the film on "
                    f"it takes {film:.1f} stops more, to {-stops:.1f} under mid grey: take it down",
                    stops,
                    BLACK_STOPS,
                    "stops over grey",
                    "luminance of what lies outside; the limit: an estimate",
                )


def _finding(camera: str, window: str, kind: str, found: list[Mirrored]) -> Finding:
    names = dict.fromkeys(o.name for o in found if (o.window, o.kind) == (window, kind))
    severity, cure = CURES[kind]
    them = [f"{kind} {name}" if name != camera or kind == "light" else "itself" for name in names]
    return Finding(
        "night_mirror",
        severity,
        f"cameras.{camera}",
        f"by night {window} mirrors the room, and camera {camera} sees {listed(them, 'and')} in "
        f"it, unless something stands between: {cure}",
        source=f"{GEOMETRY}; the law of reflection",
    )
