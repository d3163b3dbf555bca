"""The bake: light read all over a stage, finer where it changes, better step by step."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

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
from previz.render.bake.surfaces import Ints, grouped, net_of
from previz.render.contract import Arriving, Held
from previz.render.merge import Merger
from previz.render.parts import PERSON
from previz.stage.stage import Stage

Told = Callable[[float], None]
"""Hears what share of the bake is done; raises when it is to stop."""

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


class Bake:
    """One stage's bake; `steps` does it."""

    def __init__(self, stage: Stage, arriving: Arriving, told: Told = lambda _: None) -> None:
        self._stage, self._arriving, self._told = stage, arriving, told
        self._rng = np.random.default_rng(stage.seed)
        persons = {stage.object_ids[t.name] for t in stage.things if t.kind == PERSON}
        things = [lighter(thing, stage.materials) for thing in stage.things]
        merged = Merger(stage.materials, apart=False).merge(things, stage.object_ids)
        hair = [hair_net(t, stage.object_ids[t.name], stage.seed) for t in stage.things]
        self._net = coarse(net_of(merged, [net for net in hair if net is not None]))
        people = [bounds(thing.pieces) for thing in stage.things if thing.kind == PERSON]
        self._boxes = [(box[0] - 0.02, box[1] + 0.02) for box in people]
        self._persons = np.array([kind.thing in persons for kind in self._net.table], bool)

    def steps(self) -> Iterator[Lit]:
        """The light, each time better than before; the last is what is kept."""
        read = self._first()
        yield self._lit(read)
        for turn in range(ROUNDS):
            marked = self._unlike(read)
            if not marked.any():
                break
            read = self._refined(read, marked)
            self._told(0.6 + 0.05 * (turn + 1))
        every = np.arange(len(read.straight))
        again = self._straight(read.corners, every, LAST_LOOKS)
        straight = (read.straight * FIRST_LOOKS + again * LAST_LOOKS) / (FIRST_LOOKS + LAST_LOOKS)
        places = read.seen.places.holding(read.where, read.corners.area_m2)
        shared = _shared(read.seen.sent, places, straight, read.opened)
        bounced = shared.at(read.where, read.opened)
        yield self._lit(replace(read, straight=straight, bounced=bounced))

    def _first(self) -> _Read:
        self._net = replace(self._net, opened=self._open_faces())
        receptor, count = grouped(self._net, self._persons)
        corners = Corners(self._net, receptor, count)
        where = where_of(self._net, receptor, count, self._persons)
        every = np.arange(count)
        opened = self._opened(corners, every)
        self._told(0.2)
        straight = self._straight(corners, every, FIRST_LOOKS)
        self._told(0.4)
        places = places_of(where, corners.area_m2)
        seen = self._seen(corners, places)
        self._told(0.6)
        shared = _shared(seen.sent, places, straight, opened)
        bounced = shared.at(where, opened)
        return _Read(receptor, corners, where, opened, straight, bounced, shared, seen)

    def _lit(self, read: _Read) -> Lit:
        return Lit(self._net, read.receptor, read.straight, read.bounced, self._stage.layers)

    def _straight(self, corners: Corners, receptors: Ints, looks: int) -> NDArray[np.float32]:
        """Light straight from lamps at some receptors, (n, layers, 3)."""
        held = corners.held(receptors, np.arange(len(receptors)), looks, self._rng)
        return self._last(self._arriving.straight(held, len(receptors)), len(receptors))

    def _open_faces(self) -> NDArray[np.float32]:
        """How open each face lies, (f,)."""
        held, count = middles(self._net, 1, self._rng), len(self._net.faces)
        opened = self._arriving.opened(held, count, OPEN_M, FACE_RAYS)
        return np.maximum(opened, HIDDEN).astype(np.float32)

    def _opened(self, corners: Corners, receptors: Ints) -> NDArray[np.float32]:
        """How much of what comes from afar arrives at some receptors, (n,).

        What stands near sends on some of what it keeps off, if it is lit itself.
        """
        held = corners.held(receptors, np.arange(len(receptors)), OPEN_POINTS, self._rng)
        opened = self._arriving.opened(held, len(receptors), OPEN_M, OPEN_RAYS)
        return opened * (1.0 + SENT_ON * (1.0 - opened))

    def _seen(self, corners: Corners, places: Places) -> Seen:
        """Which places see which."""
        held = self._of_places(corners, places, PLACE_RAYS)
        by, albedo = [], []
        for _, met in self._arriving.met(held):
            by.append(places.met(met.points_m, met.facings, self._near_person(met.points_m)))
            albedo.append(met.albedo)
        share = np.concatenate(albedo) * held.weight[:, None] / np.float32(PLACE_RAYS)
        sent = Sent.of(held.index.astype(np.int64), np.concatenate(by), share, len(places))
        return Seen(sent, places)

    def _near_person(self, points_m: NDArray[np.float32]) -> NDArray[np.bool_]:
        """Which points lie in the box round a person."""
        near = np.zeros(len(points_m), bool)
        for low, high in self._boxes:
            near |= np.all((points_m > low) & (points_m < high), axis=1)
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

    @staticmethod
    def _last(
        steps: Iterator[tuple[int, NDArray[np.float32]]], count: int
    ) -> NDArray[np.float32]:
        total = np.zeros((count, 0, 3), np.float32)
        for _, total in steps:  # noqa: B007 - the last is the whole
            pass
        return total

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

    def _refined(self, read: _Read, marked: NDArray[np.bool_]) -> _Read:
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
        straight[which] = self._straight(corners, which, FIRST_LOOKS)
        bounced[which] = read.shared.at(where[which], opened[which])
        return _Read(receptor, corners, where, opened, straight, bounced, read.shared, read.seen)


def _shared(
    sent: Sent, places: Places, straight: NDArray[np.float32], opened: NDArray[np.float32]
) -> SharedLight:
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
    opened: NDArray[np.float32]
    straight: NDArray[np.float32]
    bounced: NDArray[np.float32]
    shared: SharedLight
    seen: Seen

    @property
    def light(self) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Both kinds of light."""
        return self.straight, self.bounced
