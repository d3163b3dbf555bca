"""The setting-out table in words for paper, and in numbers for a table file."""

from __future__ import annotations

import math

from previz.measure.setting_out.layout import Layout, PlacedOpening
from previz.measure.setting_out.rows import Row
from previz.physics.exposure import nd_stops
from previz.telling.fitted import FITTED_COLUMNS, fitted_numbers
from previz.telling.numbers import fixed, plain
from previz.telling.tape import Units, angle, focal, glance, slope, stop, t_stop, tape

HEADS = (
    "what", "from", "distance", "from", "distance", "height", "faces", "tilt", "on", "lens",
    "stop", "focus",
)  # fmt: skip
"""Heads of the table on paper."""
COLUMNS = (
    "name", "kind", "from_1", "distance_1_m", "from_2", "distance_2_m", "height_m", "pan_deg",
    "tilt_deg", "focal_length_mm", "f_number", "t_number", "focus_distance_m", "on",
    *FITTED_COLUMNS,
)  # fmt: skip
"""Heads of the table file."""
KINDS = {
    "seat": "Seats (the middle of the seat; of one that is shared, of each one's place)",
    "person": "Standing people (between the feet)",
    "camera": "Cameras (the lens, plumb)",
    "light": "Lights, boards and flags (the middle of the face, plumb)",
    "stand": "Stands (the column)",
}
"""Heads of the table's parts: which point the tape goes to."""
HOW = (
    "Two tapes fix each point. From a wall, measure square to it, to the wall itself above the "
    "skirting; from corners or marks, straight along the floor to the point, on the room's side. "
    "Heights are over the floor, of a lens or of the middle of a lamp's face. “Faces” is the "
    "bearing clockwise from plan north (0° north, 90° east), “on” whom that is, of a person whom "
    "they look at; tilt is from level. Focus is along the lens axis, from the lens."
)
"""How the table is read."""


def short_name(name: str) -> str:
    """A thing's name without its kind: `key` of `lights.key`, `key stand` of its stand."""
    kind, _, rest = name.partition(".")
    stand = rest.endswith(".stand")
    rest = rest.removesuffix(".stand")
    return shown(f"{rest if kind != 'sound' else 'boom'}{' stand' if stand else ''}")


def shown(name: str) -> str:
    """A name of the scene file as people read it."""
    return name.replace("_", " ")


def cells(row: Row, units: Units) -> tuple[str, ...]:
    """A row of the table on paper, in the order of `HEADS`."""
    one, other = row.tapes
    lens = row.setting
    return (
        short_name(row.name),
        one.reference,
        tape(one.distance_m, units),
        other.reference,
        tape(other.distance_m, units),
        "" if row.height_m is None else tape(row.height_m, units),
        "" if row.pan_rad is None else angle(row.pan_rad),
        "" if row.tilt_rad is None else slope(row.tilt_rad),
        shown(row.on or ""),
        "" if lens is None else focal(lens.focal_length_mm),
        "" if lens is None else f"{stop(lens.f_number)} ({t_stop(lens.t_number)})",
        "" if lens is None else tape(lens.focus_distance_m, units),
    )


def table_rows(layout: Layout) -> list[tuple[str, ...]]:
    """The table file: heads, then a row for each thing, in metres and degrees."""
    return [COLUMNS, *((*_numbers(r), *fitted_numbers(layout, r)) for r in layout.rows)]


def _numbers(row: Row) -> tuple[str, ...]:
    one, other = row.tapes
    lens = row.setting
    return (
        row.name,
        row.kind,
        one.reference,
        fixed(one.distance_m, 3),
        other.reference,
        fixed(other.distance_m, 3),
        "" if row.height_m is None else fixed(row.height_m, 3),
        "" if row.pan_rad is None else fixed(math.degrees(row.pan_rad), 2),
        "" if row.tilt_rad is None else fixed(math.degrees(row.tilt_rad), 2),
        "" if lens is None else plain(lens.focal_length_mm),
        "" if lens is None else plain(lens.f_number),
        "" if lens is None else fixed(lens.t_number, 2),
        "" if lens is None else fixed(lens.focus_distance_m, 3),
        row.on or "",
    )


def opening_words(placed: PlacedOpening) -> str:
    """What is on a window: film, gels, what hangs before it."""
    opening = placed.opening
    film = []
    if opening.gel_nd > 0.0:
        stops = plain(nd_stops(opening.gel_nd), 1)
        film.append(f"ND {plain(opening.gel_nd, 2)} ({stops} stop{'' if stops == '1' else 's'})")
    film += [shown(gel) for gel in opening.gels]
    if opening.covering is not None:
        film.append(shown(opening.covering.kind))
    return ", ".join(film) or ("no gel" if opening.kind == "window" else "")


def notes(layout: Layout, units: Units) -> list[str]:
    """Sentences under the table: what is out of the room, cables, ways past, hot lamps."""
    return [
        *_marks(layout),
        *_outside(layout),
        *_cables(layout, units),
        *_ways(layout, units),
        *_hot(layout, units),
    ]


def _marks(layout: Layout) -> list[str]:
    if layout.walls:
        return []
    one, other = (mark.name for mark in layout.marks)
    return [
        f"The room is a scan, without walls to measure from: {one} and {other} are the south-west "
        "and the south-east corner of its bounds in plan. Find them in the scan, and tape them to "
        "the floor first."
    ]


def _outside(layout: Layout) -> list[str]:
    names = [short_name(row.name) for row in layout.rows if row.outside]
    if not names:
        return []
    return [
        f"Not in the room, so that no tape finds it: {', '.join(names)}. Move it in the scene; "
        "previz check says how far it reaches."
    ]


def _cables(layout: Layout, units: Units) -> list[str]:
    if not layout.fed:
        return []
    if not layout.cables:
        return [
            "Cables: no run is drawn, for no wall socket is placed in this scene; to be plugged "
            f"in: {shown(', '.join(layout.fed))}."
        ]
    runs = [
        f"{shown(run.light)} to {shown(run.socket)} {glance(run.length_m, units)} "
        f"({shown(run.circuit)})"
        + (f", across {shown(' and '.join(run.doors))}: ramp it" if run.doors else "")
        for run in layout.cables
    ]
    return [f"Cables, up to the lamp and to the socket (circuit): {'; '.join(runs)}."]


def _ways(layout: Layout, units: Units) -> list[str]:
    ways = [
        f"{camera.name} {glance(camera.aisle_m, units)}"
        for camera in layout.cameras
        if camera.aisle_m is not None
    ]
    return [f"Way past each camera: {', '.join(ways)}."] if ways else []


def _hot(layout: Layout, units: Units) -> list[str]:
    zones = [f"{shown(zone.light)} {glance(zone.radius_m, units)}" for zone in layout.zones.hot]
    if not zones:
        return []
    return [f"Hot lamps, and how far what burns is kept off them: {', '.join(zones)}."]
