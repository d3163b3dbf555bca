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

FIRST_LOOKS, LAST_LOOKS = 12, 20
"""Points at which a receptor reads lamps: while triangles are chosen, and in the end."""
PLACE_RAYS = 96
"""Rays by which a place finds out which others it sees."""
OPEN_POINTS, OPEN_RAYS, OPEN_M = 6, 4, 0.30
"""Where, how often and how far it is asked how open a receptor lies."""
SENT_ON = 0.5
"""Share of the light that things near each other send on, rather than swallow: an estimate."""
FACE_RAYS = 8
"""How often for a single face."""
BOX_M = 0.02
"""How far round a person what is met may be theirs."""
GUESSED_ALBEDO = 0.4
HIDDEN = 0.02
"""How open the most hidden receptor is taken to be."""
ROUNDS = 4
FINEST_M = 0.012
STEP = 0.30
"""Difference of light between the ends of an edge, as a share, from which it is cut."""
MOST_CUT = 12_000
"""Edges cut in one round: those first on which the light differs over the longest way."""
FLOOR = 0.04
"""Light, as a share of the set's usual one, that differences are judged against in the dark."""


@dataclass(frozen=True, eq=False)
class Step:
    """How far a bake is, 0 to 1, and the light if it is better than before."""

    done: float
    lit: Lit | None = None


Steps = Generator[Step, None, T]


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
        every = np.arange(len(read.straight))
        again = yield from self._straight(read.corners, every, LAST_LOOKS)
        share = np.float32(LAST_LOOKS / (FIRST_LOOKS + LAST_LOOKS))
        straight = read.straight + share * (again - read.straight)
        places = read.seen.places.holding(read.where, read.corners.area_m2)
        shared = _shared(read.seen.sent, places, straight, read.opened)
        bounced = shared.at(read.where, read.opened)
        yield Step(1.0, self._lit(replace(read, straight=straight, bounced=bounced)))

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

    def _first(self) -> Steps[_Read]:
        receptor, count = grouped(self._net, self._persons)
        corners = Corners(self._net, receptor, count)
        where = where_of(self._net, receptor, count, self._persons)
        every = np.arange(count)
        opened = self._opened(corners, every)
        self._done = 0.22
        yield Step(self._done)
        straight = yield from self._straight(corners, every, FIRST_LOOKS)
        yield Step(0.4, Lit(self._net, receptor, _guessed(straight, opened), self._stage.layers))
        self._done = 0.4
        seen = yield from self._seen(corners, places_of(where, corners.area_m2))
        shared = _shared(seen.sent, seen.places, straight, opened)
        bounced = shared.at(where, opened)
        return _Read(receptor, corners, where, opened, straight, bounced, shared, seen)

    def _lit(self, read: _Read) -> Lit:
        light = read.straight + read.bounced
        return Lit(self._net, read.receptor, light, self._stage.layers)

    def _straight(self, corners: Corners, receptors: Ints, looks: int) -> Steps[F32]:
        """Light straight from lamps at some receptors, (n, layers, 3)."""
        held = corners.held(receptors, np.arange(len(receptors)), looks, self._rng)
        total = np.zeros((len(receptors), len(self._stage.layers), 3), np.float32)
        for _, total in self._arriving.straight(held, len(receptors)):  # noqa: B007
            yield Step(self._done)
        return total

    def _opened(self, corners: Corners, receptors: Ints) -> F32:
        """How much of what comes from afar arrives at some receptors, (n,).

        What stands near sends on some of what it keeps off, if it is lit itself.
        """
        held = corners.held(receptors, np.arange(len(receptors)), OPEN_POINTS, self._rng)
        opened = self._arriving.opened(held, len(receptors), OPEN_M, OPEN_RAYS)
        return np.asarray(opened * (1.0 + SENT_ON * (1.0 - opened)), np.float32)

    def _seen(self, corners: Corners, places: Places) -> Steps[Seen]:
        """Which places see which."""
        held = self._of_places(corners, places, PLACE_RAYS)
        by, albedo = [], []
        for _, met in self._arriving.met(held):
            by.append(places.met(met.points_m, met.facings, self._near_person(met.points_m)))
            albedo.append(met.albedo)
            yield Step(self._done)
        share = np.concatenate(albedo) * held.weight[:, None] / np.float32(PLACE_RAYS)
        sent = Sent.of(held.index.astype(np.int64), np.concatenate(by), share, len(places))
        return Seen(sent, places)

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

    def _unlike(self, read: _Read) -> NDArray[np.bool_]:
        """Sides of faces (f, 3) between whose ends the light differs."""
        net = self._net
        light = read.straight + read.bounced
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

    def _refined(self, read: _Read, marked: NDArray[np.bool_]) -> Steps[_Read]:
        """Light of the finer net: what was cut is read anew, the rest is as it was."""
        old = len(self._net.carried)
        self._net, whole = split(self._net, marked)
        receptor, count = grouped(self._net, self._persons)
        corners = Corners(self._net, receptor, count)
        where = where_of(self._net, receptor, count, self._persons)
        straight, bounced = (np.zeros((count, *a.shape[1:]), np.float32) for a in read.light)
        straight[receptor[:old]] = read.straight[read.receptor]
        bounced[receptor[:old]] = read.bounced[read.receptor]
        fresh = np.zeros(count, bool)
        fresh[receptor[self._net.faces[whole:]]] = True
        which = np.flatnonzero(fresh)
        opened = np.zeros(count, np.float32)
        opened[receptor[:old]] = read.opened[read.receptor]
        opened[which] = self._opened(corners, which)
        straight[which] = yield from self._straight(corners, which, FIRST_LOOKS)
        bounced[which] = read.shared.at(where[which], opened[which])
        return _Read(receptor, corners, where, opened, straight, bounced, read.shared, read.seen)


def _guessed(straight: F32, opened: F32) -> F32:
    """Light with what is bounced guessed, for a first picture: even, and where it is open."""
    even = GUESSED_ALBEDO * straight.mean(axis=0) / (1.0 - GUESSED_ALBEDO)
    return np.asarray(straight + opened[:, None, None] * even, np.float32)


def _shared(sent: Sent, places: Places, straight: F32, opened: F32) -> SharedLight:
    """Bounced light of places whose receptors get so much straight from lamps."""
    mean = places.mean(np.concatenate([straight.reshape(len(straight), -1), opened[:, None]], 1))
    values = sent.bounced(mean[:, :-1].reshape(len(places), -1, 3))
    # What arrives there is for points that lie so open on average.
    usual = np.maximum(mean[:, -1], HIDDEN)
    values /= usual[:, None, None]
    return SharedLight(places.where, values, places.area_m2 * usual)


@dataclass(frozen=True, eq=False)
class Seen:
    """Places, and which of them see which."""

    sent: Sent
    places: Places


@dataclass(frozen=True, eq=False)
class _Read:
    """What is read so far, r receptors.

    where      (r, 7) as `where_of` has it
    opened     (r,) share of the light of an even sky that comes from beyond `OPEN_M`
    straight   (r, layers, 3) and bounced, as `Lit` has them
    shared     bounced light at places
    seen       which places see which
    """

    receptor: Ints
    corners: Corners
    where: NDArray[np.float64]
    opened: F32
    straight: F32
    bounced: F32
    shared: SharedLight
    seen: Seen

    @property
    def light(self) -> tuple[F32, F32]:
        """Both kinds of light."""
        return self.straight, self.bounced
