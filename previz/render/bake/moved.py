"""Light carried over to a set in which something moved, until it is baked: a first picture at once.

What stands as it stood keeps its light. What moved, or is new, has the light it had where it was.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from previz.model.records import Material
from previz.render.bake.lighter import lighter
from previz.render.bake.lit import Lit
from previz.render.bake.splitting import coarse
from previz.render.bake.strips import hair_net
from previz.render.bake.surfaces import Ints, Kind, Net, grouped, needed, net_of
from previz.render.merge import Merger
from previz.stage.identity import digest_of_thing
from previz.stage.stage import Stage, Thing

T = TypeVar("T")
Truth = NDArray[np.bool_]

ABOUT = 1.0
"""What is found is at most so much farther than the nearest, as a share: four times as fast."""
TURN_M = 0.2
"""A surface that faces another way is as unlike as one so far away."""


@dataclass(frozen=True, eq=False)
class Parted:
    """A set in which something moved: what stands as it stood, and what does not.

    standing  its net
    receptor  (v,) of its vertices, in the light there was
    moved     nets of what moved or is new, by the number that the thing had, 0: none
    """

    standing: Net
    receptor: Ints
    moved: list[tuple[int, Net]]

    def joined(self, materials: Sequence[Material]) -> Net:
        """All nets as one; `materials` are those of the patterns before."""
        return joined([self.standing, *(net for _, net in self.moved)], materials)


def carried_over(
    lit: Lit, before: Stage, after: Stage, moved: Collection[str] | None = None
) -> Lit:
    """The light of `before` on the things of `after`, of which `moved` stand otherwise; None:
    whatever is different."""
    parted = parted_by(lit, before, after, moved)
    owner = np.zeros(len(lit.surfaces.carried), np.int64)
    things = np.array([kind.thing for kind in lit.surfaces.table])
    owner[lit.surfaces.faces.reshape(-1)] = np.repeat(things[lit.surfaces.kinds], 3)
    own = [_nearest(net, lit, owner == (number or -1), owner > 0) for number, net in parted.moved]
    receptor = np.concatenate([parted.receptor, *own])
    return replace(lit, surfaces=parted.joined(lit.surfaces.materials), receptor=receptor)


def parted_by(
    lit: Lit, before: Stage, after: Stage, moved: Collection[str] | None = None
) -> Parted:
    """What of `after` stands as it did in `before`, whose light `lit` is."""
    if moved is None:
        changed = [thing for thing in after.things if not _same(thing, before, after)]
    else:
        changed = [thing for thing in after.things if thing.name in moved]
    kept = {t.name for t in after.things} - {t.name for t in changed}
    numbers = {before.object_ids[name]: after.object_ids[name] for name in kept}
    standing = np.array([kind.thing in numbers for kind in lit.surfaces.table], bool)
    stays = standing[lit.surfaces.kinds]
    used, _ = needed(lit.surfaces.faces[stays], len(lit.surfaces.carried))
    nets = []
    for thing in changed:
        net = _net_of(thing, after)
        if net is not None:
            nets.append((before.object_ids.get(thing.name, 0), net))
    old = _renumbered(lit.surfaces.only(stays), numbers)
    return Parted(old, lit.receptor[used], nets)


def _same(thing: Thing, before: Stage, after: Stage) -> bool:
    for other in before.things:
        if other.name == thing.name:
            return other is thing or digest_of_thing(other, before.materials) == digest_of_thing(
                thing, after.materials
            )
    return False


def _net_of(thing: Thing, stage: Stage) -> Net | None:
    """One thing's own net; None where nothing of it is drawn."""
    merger = Merger(stage.materials, apart=False)
    number = stage.object_ids[thing.name]
    merged = merger.merge([lighter(thing, stage.materials)], stage.object_ids)
    hair = hair_net(thing, number, stage.seed)
    if not merged.meshes and hair is None:
        return None
    return coarse(net_of(merged, [] if hair is None else [hair]))


def _nearest(net: Net, lit: Lit, own: Truth, every: Truth) -> Ints:
    """For each vertex the receptor most like it: of the thing itself where that was there before,
    as it lies within the thing; else of all that was there."""
    from scipy.spatial import cKDTree  # noqa: PLC0415 - only who bakes needs it

    among = np.flatnonzero(own if own.any() else every)
    shift = np.zeros(3)
    if own.any():
        shift = _middle(lit.surfaces.places[among]) - _middle(net.places)
    # What is near each other has the same light: one of them is asked for.
    group, count = grouped(net, np.zeros(len(net.table), bool))
    one = np.zeros(count, np.int64)
    one[group] = np.arange(len(group))
    old = np.hstack([lit.surfaces.places[among], TURN_M * lit.surfaces.facings[among]])
    new = np.hstack([net.places[one] + shift, TURN_M * net.facings[one]])
    _, near = cKDTree(old).query(new, eps=ABOUT, workers=-1)
    return np.asarray(lit.receptor[among[near]][group])


def _middle(points: NDArray[np.float32]) -> NDArray[np.float64]:
    box = np.array([points.min(axis=0), points.max(axis=0)], float)
    return np.asarray(box.mean(axis=0))


def _renumbered(net: Net, numbers: Mapping[int, int]) -> Net:
    """The net with the numbers that its things have now."""
    table = tuple(replace(kind, thing=numbers.get(kind.thing, kind.thing)) for kind in net.table)
    return replace(net, table=table)


def joined(nets: Sequence[Net], before: Sequence[Material]) -> Net:
    """All nets as one, with one table of kinds and one of patterns."""
    materials = list(before)
    table: list[Kind] = []
    result: Net | None = None
    for net in nets:
        patterns = [_place(materials, material) for material in net.materials]
        kinds = np.array([_place(table, kind) for kind in net.table], np.int32)
        of = np.array([*patterns, -1], np.int32)
        here = replace(net, kinds=kinds[net.kinds], patterns=of[net.patterns])
        result = here if result is None else result.beside(here)
    assert result is not None
    return replace(result, table=tuple(table), materials=tuple(materials))


def _place(items: list[T], item: T) -> int:
    if item not in items:
        items.append(item)
    return items.index(item)
