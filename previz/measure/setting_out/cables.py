"""Cable runs: from each light on the mains to the wall, and along it to a socket."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from previz.measure.gear.floor import LEGS_M, LOW_M, Outlines
from previz.measure.gear.power import ONLY_CIRCUIT
from previz.measure.gear.stands import doorway
from previz.measure.setting_out.marks import floor_polygon, seen
from previz.measure.setting_out.rows import column_m
from previz.stage.furnishing import wall_number
from previz.stage.placed import StageLight
from previz.stage.stage import Array, Stage

OFF_WALL_M = 0.06
"""A cable lies so far off the wall, clear of the skirting: an estimate."""
ACROSS_DOOR_M = 8.0
"""A way across a doorway is worth so much more cable: an estimate."""
ACROSS_SET_M = 6.0
"""So is a way between two people who talk, or between a lens and whom it is on: an estimate."""
BESIDE_DOOR_M = 0.15
"""A cable keeps so far off the floor before a door: an estimate."""
SIDESTEP_M = 0.35
"""So much farther off it meets the wall where it comes slanting past a door: an estimate."""
OPEN_FLOOR = 2.5
"""A metre of open floor is worth so many along a wall: an estimate."""
OVER_THINGS_M = 1.5
"""A way from a stand to the wall through furniture or people is worth so much: an estimate."""


@dataclass(frozen=True, eq=False)
class CableRun:
    """One light's cable.

    path_m    on the floor (n, 2), from under the light to the socket
    length_m  on the floor, and up to the lamp and to the socket
    doors     doorways that it crosses
    """

    light: str
    socket: str
    circuit: str
    path_m: Array
    length_m: float
    doors: tuple[str, ...]


def cable_runs(
    stage: Stage, outlines: Outlines, sockets: Mapping[str, Array]
) -> tuple[CableRun, ...]:
    """A plausible run for each light on the mains from one of the `sockets`, (3,) each, by name.

    None without sockets, in a scan, and in a room too narrow for a way along its walls.
    """
    floor = floor_polygon(stage)
    ring = None if floor is None else _ring(floor)
    if floor is None or ring is None or not sockets:
        return ()
    doors = {
        name: doorway(opening, stage.room.walls[wall_number(opening.wall)]).buffer(
            BESIDE_DOOR_M, join_style="mitre"
        )
        for name, opening in stage.room.openings.items()
        if opening.kind != "window"
    }
    blocks = shapely.union_all(
        [outlines.of(t, LOW_M, LEGS_M) for t in stage.things if t.kind in ("furniture", "person")]
    )
    ground = _Ground(floor, ring, doors, blocks, tuple(_sights(stage)))
    return tuple(_run(stage, light, ground, sockets) for light in fed_lights(stage))


def fed_lights(stage: Stage) -> list[StageLight]:
    """The lights that are plugged in."""
    return [light for light in stage.lights.values() if light.fixture.emits]


def _sights(stage: Stage) -> Iterator[LineString]:
    """From each person to whom they look at, and from each lens to whom it is on."""
    for person in stage.people.values():
        other = stage.people.get(person.looks_at or "")
        if other is not None:
            yield LineString([person.landmarks["eyes"][:2], other.landmarks["eyes"][:2]])
    for name, setup in stage.setups.items():
        if setup.subject is not None:
            eyes = stage.people[setup.subject].landmarks["eyes"]
            yield LineString([stage.cameras[name].position_m[:2], eyes[:2]])


def _ring(floor: Polygon) -> LineString | None:
    """The way along the walls, closed; None in a room too narrow for one."""
    inner = floor.buffer(-OFF_WALL_M, join_style="mitre")
    return LineString(inner.exterior.coords) if isinstance(inner, Polygon) else None


@dataclass(frozen=True, eq=False)
class _Ground:
    floor: Polygon
    ring: LineString
    doors: Mapping[str, Polygon]
    blocks: BaseGeometry
    sights: tuple[LineString, ...]

    def ways_to_wall(self, start_m: Array) -> Iterator[float]:
        """Places along the ring reached straight from a point: nearest, squarely, beside doors."""
        yield float(self.ring.project(Point(start_m)))
        sides = [LineString(ends) for ends in pairwise(np.asarray(self.ring.coords, float))]
        squarely = [side.interpolate(side.project(Point(start_m))) for side in sides]
        around = [zone.buffer(SIDESTEP_M, join_style="mitre") for zone in self.doors.values()]
        beside_doors = [Point(corner) for zone in around for corner in zone.exterior.coords]
        for foot in (*squarely, *beside_doors):
            along = float(self.ring.project(foot))
            at_m = shapely.get_coordinates(self.ring.interpolate(along))[0]
            if seen(self.floor, start_m, at_m):
                yield along

    def paths(self, start_m: Array, socket_m: Array) -> Iterator[Array]:
        """All ways from a point to the wall and along it to a socket, (n, 2) each."""
        end, whole = float(self.ring.project(Point(socket_m))), float(self.ring.length)
        for begin in self.ways_to_wall(start_m):
            low, high = min(begin, end), max(begin, end)
            direct = _coords(substring(self.ring, low, high))
            round_by = np.concatenate(
                [_coords(substring(self.ring, high, whole)), _coords(substring(self.ring, 0, low))]
            )
            for along in (direct, round_by[::-1]):
                way = along if begin <= end else along[::-1]
                yield np.concatenate([[start_m], way, [socket_m]])

    def crossed(self, path_m: Array) -> tuple[str, ...]:
        """Doorways that a path runs through."""
        way = LineString(path_m)
        return tuple(n for n, zone in self.doors.items() if way.intersection(zone).length > 0.1)

    def price_m(self, path_m: Array) -> float:
        """Length, and what is better avoided as if it were length."""
        leg = LineString(path_m[:2])
        return (
            float(LineString(path_m).length)
            + (OPEN_FLOOR - 1.0) * float(leg.length)
            + ACROSS_DOOR_M * len(self.crossed(path_m))
            + ACROSS_SET_M * sum(bool(leg.intersects(sight)) for sight in self.sights)
            + OVER_THINGS_M * bool(leg.intersection(self.blocks).length > 0.1)
        )


def _coords(line: BaseGeometry) -> Array:
    return np.asarray(line.coords, float)


def _run(
    stage: Stage, light: StageLight, ground: _Ground, sockets: Mapping[str, Array]
) -> CableRun:
    given = dict(stage.mains.power.circuits)
    circuit = light.setting.circuit or next(iter(given), ONLY_CIRCUIT)
    where = given[circuit].where if circuit in given else ""
    start_m = _under(stage, light)
    best: tuple[float, str, Array] | None = None
    for socket in _sockets_of(sockets, where):
        for path_m in ground.paths(start_m, sockets[socket][:2]):
            price_m = ground.price_m(path_m)
            if best is None or price_m < best[0]:
                best = price_m, socket, path_m
    assert best is not None
    _, socket, path_m = best
    climbs_m = float(light.position_m[2]) + float(sockets[socket][2])
    length_m = float(LineString(path_m).length) + climbs_m
    return CableRun(light.name, socket, circuit, path_m, length_m, ground.crossed(path_m))


def _sockets_of(sockets: Iterable[str], where: str) -> list[str]:
    """Of the sockets those that a circuit says it feeds; all of them if it names none."""
    words = where.replace(",", " ").split()
    named = [socket for socket in sockets if socket in words]
    return named or list(sockets)


def _under(stage: Stage, light: StageLight) -> Array:
    """Where a light's cable comes down: at its stand, or plumb."""
    thing = next((t for t in stage.things if t.name == light.thing), None)
    at_m = None if thing is None else column_m(thing)
    return np.asarray(light.position_m[:2] if at_m is None else at_m, float)
