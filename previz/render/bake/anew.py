"""Light read anew where something moved, on what an earlier bake found out about the set.

Of a light that moved only its own layer is read; where a thing moved all layers are, with what the
places of the set send each other as it was. So it takes seconds, and is a little less true than a
bake: other shadows of a light's own stand stay where they were.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

import numpy as np

from previz.render.bake.baking import Read, Step, in_steps, shared_light
from previz.render.bake.held import Corners
from previz.render.bake.kept import standing_of
from previz.render.bake.lit import Lit
from previz.render.bake.moved import Parted, joined, parted_by
from previz.render.bake.places import where_of
from previz.render.bake.reading import Arrived, arrived
from previz.render.bake.surfaces import Ints, grouped
from previz.render.contract import Arriving
from previz.render.parts import PERSON
from previz.stage.identity import identity_of
from previz.stage.stage import Stage

LOOKS = 8
"""Points at which each receptor is read."""


@dataclass(frozen=True, eq=False)
class Past:
    """A bake that was finished: of which stage, what was read, and its light."""

    stage: Stage
    read: Read
    lit: Lit


def moved_lights(before: Stage, after: Stage) -> frozenset[str] | None:
    """The lights that moved or spread otherwise; None if anything else did, or a window."""
    (old_set, old), (new_set, new) = standing_of(before), standing_of(after)
    if old_set != new_set or before.layers != after.layers:
        return None
    moved = {name for name in {**old, **new} if old.get(name) != new.get(name)}
    windows = {emitter.layer for emitter in after.emitters if emitter.window}
    return None if moved & windows else frozenset(moved & set(after.layers))


def serves(past: Past, after: Stage) -> bool:
    """Whether what a bake found out holds by and large: the room is the same, and the lights."""
    old, new = identity_of(past.stage), identity_of(after)
    same_room = old.furnished.get("room") == new.furnished.get("room")
    return same_room and past.stage.layers == after.layers


def read_anew(past: Past, stage: Stage, arriving: Arriving) -> Generator[Step]:
    """The light of `stage`, for which `serves` holds; the last step has it."""
    lights = moved_lights(past.stage, stage)
    parted = parted_by(past.lit, past.stage, stage)
    yield Step(0.1)
    rng = np.random.default_rng(stage.seed)
    read = yield from _standing(past.read, parted, stage.layers, lights, (arriving, rng))
    yield Step(0.7)
    materials = past.lit.surfaces.materials
    net, receptor = parted.joined(materials), parted.receptor
    light = read.arrived.straight + read.bounced
    if parted.moved:
        moved = joined([net for _, net in parted.moved], materials)
        persons = {stage.object_ids[thing.name] for thing in stage.things if thing.kind == PERSON}
        kinds = np.array([kind.thing in persons for kind in moved.table], bool)
        own, size = grouped(moved, kinds)
        corners, where = Corners(moved, own, size), where_of(moved, own, size, kinds)
        found = yield from _arrived(corners, np.arange(size), stage.layers, None, (arriving, rng))
        receptor = np.concatenate([receptor, own + len(light)])
        light = np.concatenate([light, found.straight + read.shared.at(where, found.opened)])
    yield Step(1.0, Lit(net, receptor, light, stage.layers))


Means = tuple[Arriving, np.random.Generator]


def _standing(
    read: Read, parted: Parted, layers: tuple[str, ...], lights: frozenset[str] | None, by: Means
) -> Generator[Step, None, Read]:
    """What is read at what stands as it stood: of some `lights`, or of all."""
    wanted = np.array([lights is None or layer in lights for layer in layers], bool)
    used = np.zeros(len(read.arrived.opened), bool)
    used[parted.receptor] = True
    seen = np.flatnonzero(used & (read.arrived.sureness > 0.0))
    found = yield from _arrived(read.corners, seen, layers, lights, by)
    straight = read.arrived.straight.copy()
    straight[:, wanted] = 0.0
    straight[np.ix_(seen, wanted)] = found.straight[:, wanted]
    now = replace(read.arrived, straight=straight)
    yield Step(0.5)
    shared = shared_light(read.seen, now)
    bounced = read.bounced.copy()
    bounced[:, wanted] = shared.at(read.where, now.opened)[:, wanted]
    return replace(read, arrived=now, bounced=bounced, shared=shared)


def _arrived(
    corners: Corners,
    receptors: Ints,
    layers: tuple[str, ...],
    only: frozenset[str] | None,
    by: Means,
) -> Generator[Step, None, Arrived]:
    """As `reading.arrived`, in steps."""
    reading = arrived(by[0], len(layers), corners, receptors, (0, LOOKS), by[1], only)
    return (yield from in_steps(reading, 0.3))
