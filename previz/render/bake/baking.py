"""The bake: light read all over a stage, finer where it changes, better step by step."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from previz.geometry.piece import bounds
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.bake.held import Corners, middles
from previz.render.bake.lighter import lighter
from previz.render.bake.lit import Lit
from previz.render.bake.places import Places, SharedLight, places_of, where_of
from previz.render.bake.reading import OPEN_M, Arrived, arrived, nothing, sent_on
from previz.render.bake.sent import Sent
from previz.render.bake.splitting import coarse, lengths_m, split
from previz.render.bake.strips import hair_net
from previz.render.bake.surfaces import Ints, Net, grouped, net_of
from previz.render.contract import Arriving, Held
from previz.render.merge import Merger
from previz.render.parts import PERSON
from previz.stage.stage import Stage

F32 = NDArray[np.float32]
T = TypeVar("T")

FIRST_LOOKS, LAST_LOOKS = 8, 12
"""Points at which a receptor reads lamps: while triangles are chosen, and in the end."""
PLACE_RAYS = 96
"""Rays by which a place finds out which others it sees."""
FACE_RAYS = 4
"""How often for a single face."""
BOX_M = 0.02
"""How far round a person what is met may be theirs."""
GUESSED_ALBEDO = 0.4
HIDDEN = 0.02
"""How open the most hidden receptor is taken to be."""
ROUNDS = 3
FINEST_M = 0.012
STEP = 0.30
"""Difference of light between the ends of an edge, as a share, from which it is cut."""
MOST_CUT = 16_000
"""Edges cut in one round: those first on which the light differs over the longest way."""
FLOOR = 0.04
"""Light, as a share of the set's usual one, that differences are judged against in the dark."""


@dataclass(frozen=True, eq=False)
class Step:
    """How far a bake is, 0 to 1, the light if it is better than before, and in the end all that
    was read."""

    done: float
    lit: Lit | None = None
    read: Read | None = None


Steps = Generator[Step, None, T]


def in_steps(work: Generator[None, None, T], done: float) -> Steps[T]:
    """What comes of `work`, at each of whose steps a bake is so far."""
    while True:
        try:
            next(work)
        except StopIteration as end:
            result: T = end.value
            return result
        yield Step(done)


class Bake:
    """One stage's bake; `steps` does it."""

    def __init__(self, stage: Stage, arriving: Arriving) -> None:
        self._stage, self._arriving = stage, arriving
        self._rng = np.random.default_rng(stage.seed)
        self._net: Net
        persons = [thing for thing in stage.things if thing.kind == PERSON]
        self._boxes = [bounds(thing.pieces) for thing in persons]
        self._person_numbers = [stage.object_ids[thing.name] for thing in persons]
        self._done = 0.0

    def steps(self) -> Steps[None]:
        """Some steps a second; the last light is what is kept."""
        yield from self._prepared()
        read = yield from self._first()
        self._done = 0.6
        yield Step(self._done, self._lit(read))
        for turn in range(ROUNDS):
            marked = self._unlike(read)
            if not marked.any():
                break
            read = yield from self._refined(read, marked)
            self._done = 0.6 + 0.06 * (turn + 1)
            yield Step(self._done)
        seen_ones = np.flatnonzero(read.arrived.sureness > 0.0)
        again = yield from self._arrived(read.corners, seen_ones, (FIRST_LOOKS, LAST_LOOKS))
        both = read.arrived.put(seen_ones, read.arrived.at(seen_ones).and_(again))
        places = read.seen.places.holding(read.where, read.corners.area_m2)
        seen = replace(read.seen, places=places)
        shared = shared_light(seen, both)
        bounced = shared.at(read.where, both.opened)
        read = replace(read, arrived=both, bounced=bounced, shared=shared, seen=seen)
        yield Step(1.0, self._lit(read), read)

    def _prepared(self) -> Steps[None]:
        stage = self._stage
        things = [lighter(thing, stage.materials) for thing in stage.things]
        yield Step(0.02)
        merged = Merger(stage.materials, apart=False).merge(things, stage.object_ids)
        yield Step(0.05)
        hair = [hair_net(t, stage.object_ids[t.name], stage.seed) for t in stage.things]
        net = net_of(merged, [net for net in hair if net is not None])
        yield Step(0.08)
        net = coarse(net)
        self._persons = np.array([kind.thing in self._person_numbers for kind in net.table], bool)
        yield Step(0.12)
        held, count = middles(net, 1, self._rng), len(net.faces)
        opened = self._arriving.opened(held, count, OPEN_M, FACE_RAYS)
        self._net = replace(net, opened=np.maximum(opened, HIDDEN).astype(np.float32))
        self._done = 0.16
        yield Step(self._done)

    def _first(self) -> Steps[Read]:
        receptor, count = grouped(self._net, self._persons)
        corners = Corners(self._net, receptor, count)
        where = where_of(self._net, receptor, count, self._persons)
        found = yield from self._arrived(corners, np.arange(count), (0, FIRST_LOOKS))
        yield Step(0.4, Lit(self._net, receptor, _guessed(found), self._stage.layers))
        self._done = 0.4
        seen = yield from self._seen(corners, places_of(where, corners.area_m2))
        shared = shared_light(seen, found)
        bounced = shared.at(where, found.opened)
        return Read(receptor, corners, where, found, bounced, shared, seen)

    def _lit(self, read: Read) -> Lit:
        light = read.arrived.straight + read.bounced
        return Lit(self._net, read.receptor, light, self._stage.layers)

    def _arrived(self, corners: Corners, receptors: Ints, looks: tuple[int, int]) -> Steps[Arrived]:
        """What arrives at some receptors; `looks` as `reading.arrived` has them."""
        layers = len(self._stage.layers)
        reading = arrived(self._arriving, layers, corners, receptors, looks, self._rng)
        return (yield from in_steps(reading, self._done))

    def _seen(self, corners: Corners, places: Places) -> Steps[Seen]:
        """Which places see which."""
        held = self._of_places(corners, places, PLACE_RAYS)
        by, albedo, free = [], [], []
        for _, met in self._arriving.met(held):
            by.append(places.met(met.points_m, met.facings, self._near_person(met.points_m)))
            albedo.append(met.albedo)
            free.append(met.away_m > OPEN_M)
            yield Step(self._done)
        share = np.concatenate(albedo) * held.weight[:, None] / np.float32(PLACE_RAYS)
        sent = Sent.of(held.index.astype(np.int64), np.concatenate(by), share, len(places))
        opened = np.concatenate(free).reshape(len(places), PLACE_RAYS).mean(axis=1)
        return Seen(sent, places, sent_on(opened.astype(np.float32)))

    def _near_person(self, points_m: F32) -> NDArray[np.bool_]:
        """Which points lie in the box round a person."""
        near = np.zeros(len(points_m), bool)
        for low, high in self._boxes:
            near |= np.all((points_m > low - BOX_M) & (points_m < high + BOX_M), axis=1)
        return near

    def _of_places(self, corners: Corners, places: Places, rays: int) -> Held:
        """`rays` points for each place, spread over its receptors by their open area."""
        of, open_m2, count = places.of, places.open_m2, len(places)
        order = np.argsort(of, kind="stable")
        ends = np.cumsum(open_m2[order] + 1e-9)
        size = np.bincount(of, minlength=count)
        last = np.cumsum(size)
        starts = np.concatenate([[0.0], ends])[last - size]
        spans = ends[last - 1] - starts
        place = np.repeat(np.arange(count), rays)
        order_of = np.tile(np.arange(rays), count)
        share = (order_of + self._rng.random(count * rays)) / rays
        chosen = np.searchsorted(ends, starts[place] + share * spans[place])
        receptors = order[np.minimum(chosen, len(order) - 1)]
        held = corners.held(receptors, place, 1, self._rng)
        # Points run along the place and rays go round: in another order, or each part of the place
        # would look one way.
        mixed = np.argsort(self._rng.random((count, rays)), axis=1).reshape(-1)
        return replace(held, order=mixed.astype(np.uint32))

    def _unlike(self, read: Read) -> NDArray[np.bool_]:
        """Sides of faces (f, 3) between whose ends the light differs."""
        net = self._net
        light = read.arrived.straight + read.bounced
        bright = light.sum(axis=1) @ LUMINANCE_WEIGHTS.astype(np.float32)
        usual = float(np.median(bright[bright > 0.0])) if np.any(bright > 0.0) else 0.0
        ends = bright[read.receptor[net.faces]]
        other = np.roll(ends, -1, axis=1)
        contrast = np.abs(ends - other) / ((ends + other) / 2.0 + FLOOR * usual + 1e-9)
        clear = np.array([kind.clear or kind.hair for kind in net.table])[net.kinds]
        length = lengths_m(net)
        wanted = (contrast > STEP) & (length > 2.0 * FINEST_M) & ~clear[:, None]
        gain = np.where(wanted, np.minimum(contrast, 1.0) * length, 0.0)
        if np.count_nonzero(wanted) > 2 * MOST_CUT:
            wanted &= gain >= np.partition(gain.reshape(-1), -2 * MOST_CUT)[-2 * MOST_CUT]
        return np.asarray(wanted)

    def _refined(self, read: Read, marked: NDArray[np.bool_]) -> Steps[Read]:
        """Light of the finer net: what was cut is read anew, the rest is as it was."""
        old = len(self._net.carried)
        self._net, whole = split(self._net, marked)
        receptor, count = grouped(self._net, self._persons)
        corners = Corners(self._net, receptor, count)
        where = where_of(self._net, receptor, count, self._persons)
        before = np.arange(old)
        arrived_now = nothing(count, len(self._stage.layers))
        arrived_now = arrived_now.put(receptor[before], read.arrived.at(read.receptor))
        bounced = np.zeros_like(arrived_now.straight)
        bounced[receptor[before]] = read.bounced[read.receptor]
        fresh = np.zeros(count, bool)
        fresh[receptor[self._net.faces[whole:]]] = True
        which = np.flatnonzero(fresh)
        found = yield from self._arrived(corners, which, (0, FIRST_LOOKS))
        bounced[which] = read.shared.at(where[which], found.opened)
        return replace(
            read,
            receptor=receptor,
            corners=corners,
            where=where,
            arrived=arrived_now.put(which, found),
            bounced=bounced,
        )


def _guessed(arrived: Arrived) -> F32:
    """Light with what is bounced guessed, for a first picture: even, and where it is open."""
    straight = arrived.straight
    even = GUESSED_ALBEDO * straight.mean(axis=0) / (1.0 - GUESSED_ALBEDO)
    return np.asarray(straight + arrived.opened[:, None, None] * even, np.float32)


def shared_light(seen: Seen, arrived: Arrived) -> SharedLight:
    """Bounced light of places whose receptors get so much straight from lamps."""
    places = seen.places
    mean = places.mean(arrived.straight.reshape(len(arrived.straight), -1))
    values = seen.sent.bounced(mean.reshape(len(places), -1, 3))
    # What arrives there is for points that lie so open on average.
    usual = np.maximum(seen.opened, HIDDEN)
    values /= usual[:, None, None]
    return SharedLight(places.where, values, places.area_m2 * usual)


@dataclass(frozen=True, eq=False)
class Seen:
    """Places, which of them see which, and how open each lies (n,)."""

    sent: Sent
    places: Places
    opened: F32


@dataclass(frozen=True, eq=False)
class Read:
    """What is read so far, r receptors.

    where      (r, 7) as `where_of` has it
    arrived    at receptors
    bounced    (r, layers, 3) light that has met a surface before, lx
    shared     bounced light at places
    seen       which places see which
    """

    receptor: Ints
    corners: Corners
    where: NDArray[np.float64]
    arrived: Arrived
    bounced: F32
    shared: SharedLight
    seen: Seen
