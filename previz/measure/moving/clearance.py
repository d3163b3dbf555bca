"""What a camera on its way runs into or passes too near."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from shapely.geometry import Polygon

from previz.measure.gear.floor import Outlines, beyond_m, floor_of, overlap_m
from previz.measure.moving.bodies import Body, bodies_at, bodies_standing
from previz.stage.moving.move import StageMove
from previz.stage.stage import Stage, Thing

CLEARANCE_M = 0.05
"""Room that a hand needs between a moving camera and what it passes: an estimate."""


@dataclass(frozen=True)
class Passing:
    """Something a move comes nearer to than it should.

    part    of what moves: camera, dolly, column, operator, rail, tripod
    other   the thing, or "wall"
    kind    wall, person, furniture or gear
    from_s, to_s  when that begins and ends
    gap_m   how near at worst; below 0: how deep in it
    at_s    when that is
    """

    part: str
    other: str
    kind: str
    from_s: float
    to_s: float
    gap_m: float
    at_s: float


def passings(
    stage: Stage, outlines: Outlines, move: StageMove, times_s: Sequence[float]
) -> tuple[Passing, ...]:
    """What it runs into or passes within `CLEARANCE_M`, by what it is, as looked at `times_s`."""
    floor = floor_of(stage.room.shape)
    others = [t for t in stage.things if t.kind != "room" and t.owner != move.before.name]
    found: dict[tuple[str, str], Passing] = {}
    for near in _standing(move, others, outlines, floor):
        _gathered(found, near)
    for time_s in times_s:
        for near in _near(bodies_at(move, time_s), others, outlines, floor, time_s):
            _gathered(found, near)
    return tuple(_worst_part(found.values()))


def _standing(
    move: StageMove, others: Iterable[Thing], outlines: Outlines, floor: Polygon | None
) -> Iterator[Passing]:
    """What a rail stands in; from first to last."""
    for near in _near(bodies_standing(move), others, outlines, floor, 0.0):
        # Whatever stands still may stand close; it must not stand in anything.
        if near.gap_m <= 0.0:
            yield replace(near, to_s=move.duration_s)


def _near(
    bodies: Iterable[Body],
    others: Iterable[Thing],
    outlines: Outlines,
    floor: Polygon | None,
    time_s: float,
) -> Iterator[Passing]:
    for body in bodies:
        if floor is not None:
            gap = _to_wall_m(body, floor)
            if gap < CLEARANCE_M:
                yield Passing(body.part, "wall", "wall", time_s, time_s, gap, time_s)
        for other in others:
            there = outlines.of(other, body.low_m, body.high_m)
            if there.is_empty:
                continue
            gap = float(body.outline.distance(there))
            if gap <= 0.0:
                gap = -overlap_m(body.outline, there)
            if gap < CLEARANCE_M:
                yield Passing(body.part, other.name, other.kind, time_s, time_s, gap, time_s)


def _to_wall_m(body: Body, floor: Polygon) -> float:
    if floor.covers(body.outline):
        return float(body.outline.distance(floor.exterior))
    return -beyond_m(body.outline, floor)


def _gathered(found: dict[tuple[str, str], Passing], near: Passing) -> None:
    """Put what is near at one moment to what was near before."""
    key = (near.part, near.other)
    before = found.get(key)
    if before is None:
        found[key] = near
        return
    worse = near if near.gap_m < before.gap_m else before
    found[key] = replace(
        worse, from_s=min(before.from_s, near.from_s), to_s=max(before.to_s, near.to_s)
    )


def _worst_part(found: Iterable[Passing]) -> Iterator[Passing]:
    """Of each thing only the part that comes nearest: it is one thing to move."""
    worst: dict[str, Passing] = {}
    for passing in found:
        if passing.other not in worst or passing.gap_m < worst[passing.other].gap_m:
            worst[passing.other] = passing
    yield from sorted(worst.values(), key=lambda passing: (passing.from_s, passing.other))
