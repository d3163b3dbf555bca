"""The light of a stage for who draws it: kept from an earlier run, or baked step by step."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from previz.model.records import Material
from previz.render.bake import kept
from previz.render.bake.anew import Past, read_anew
from previz.render.bake.baking import Bake
from previz.render.bake.kept import Baked
from previz.render.bake.lit import Lit, Shown, shown
from previz.render.bake.moved import carried_over
from previz.render.bake.surfaces import WIDTH, Net
from previz.render.cards import CARD_SAMPLES, card_lights, face_point
from previz.render.contract import Renderer
from previz.render.drawn import DrawnMesh
from previz.stage.environment import Environment
from previz.stage.identity import identity_of
from previz.stage.stage import Stage

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Stride:
    """How far baking is, 0 to 1, the light if it is better than before, and in the end what a
    later bake can rest on."""

    done: float
    baked: Baked | None = None
    past: Past | None = None


def kept_light(stage: Stage, variant: str) -> Baked | None:
    """Light that an earlier run baked for a set as it stands, if it serves for its lights."""
    found = kept.load(stage, variant)
    return with_gear(found, stage) if found is not None and found.serves(stage) else None


def with_gear(baked: Baked, stage: Stage) -> Baked:
    """The same light, with the cameras' gear where it stands on this stage."""
    now = kept.gear_of(stage)
    moved = {name for name in now if baked.gear.get(name) != now[name]}
    if not moved:
        return baked
    lit = carried_over(baked.lit, stage, stage, moved)
    return replace(baked, lit=lit, gear=now)


def baking(stage: Stage, renderer: Renderer, variant: str) -> Generator[Stride]:
    """Bake the light of a stage that is loaded into `renderer`; the last light is kept.

    Its power is that of the stage that was loaded, whatever is dimmed meanwhile.
    """
    power = identity_of(stage).power
    if not any(thing.pieces for thing in stage.things):
        yield Stride(1.0, Baked(_nothing(stage.layers), power, {}, kept.gear_of(stage)))
        return
    cards = card_lights(stage, renderer)
    for step in Bake(stage, renderer.arriving()).steps():
        baked = None if step.lit is None else Baked(step.lit, power, cards, kept.gear_of(stage))
        if baked is not None and step.done >= 1.0:
            kept.keep(stage, variant, baked)
            baked = kept.as_kept(stage, baked)
            assert step.read is not None
            yield Stride(step.done, baked, Past(stage, step.read, baked.lit))
        else:
            yield Stride(step.done, baked)


def baking_anew(past: Past, stage: Stage, renderer: Renderer) -> Generator[Stride]:
    """Light of a stage in which something moved since a bake that `serves`. It is kept nowhere."""
    power = identity_of(stage).power
    yield Stride(0.02)
    cards = card_lights(stage, renderer)
    for step in read_anew(past, stage, renderer.arriving()):
        baked = None if step.lit is None else Baked(step.lit, power, cards, kept.gear_of(stage))
        yield Stride(step.done, baked)


class LitStage:
    """A stage with its light, as `raster.backend.Lighted` has it.

    What no earlier run has kept is baked and metered by what `load` takes the stage into; until
    it is needed nothing is loaded. `variant` is what that computes on.
    """

    def __init__(self, stage: Stage, variant: str, load: Callable[[Stage], Renderer]) -> None:
        self._stage, self._variant, self._load = stage, variant, load
        self._loaded: Renderer | None = None
        self._baked: Baked | None = None
        self._shown: Shown | None = None

    def prepare(self) -> Iterator[float]:
        """Find or bake the light; how far that is, 0 to 1."""
        if self._baked is not None:
            return
        baked = kept_light(self._stage, self._variant)
        if baked is None:
            for step in baking(self._stage, self._renderer(), self._variant):
                baked = step.baked
                yield step.done
        assert baked is not None
        self._baked, self._shown = baked, shown(baked.lit)

    @property
    def meshes(self) -> tuple[DrawnMesh, ...]:
        """All surfaces."""
        return self._ready()[1].meshes

    @property
    def patterns(self) -> tuple[Material, ...]:
        """The materials that the meshes' patterns number."""
        return self._ready()[0].lit.surfaces.materials

    def light(self, layers: Sequence[str]) -> list[F32]:
        """Light over pi at the vertices of each mesh (v, 3) from these layers together."""
        baked, meshes = self._ready()
        gains = {name: gain for name, gain in self._gains(baked).items() if name in layers}
        return meshes.light(baked.lit, gains)

    def meter(self, points_m: F64, normals: F64, samples: int, first: int) -> Mapping[str, F64]:
        """See `contract.Renderer.meter`; cards before faces were read when the light was baked."""
        on_cards = self._on_cards(points_m, normals) if samples == CARD_SAMPLES else None
        if on_cards is not None and first == 0:
            return on_cards
        return self._renderer().meter(points_m, normals, samples, first)

    def under(self, environment: Environment) -> LitStage:
        """The same stage in another environment; its light is another."""
        stage = replace(self._stage, environment=environment)
        other = LitStage(stage, self._variant, self._load)
        if self._loaded is not None:
            other._loaded = self._loaded.under(environment)
        return other

    def _ready(self) -> tuple[Baked, Shown]:
        for _ in self.prepare():
            pass
        assert self._baked is not None and self._shown is not None
        return self._baked, self._shown

    def _renderer(self) -> Renderer:
        if self._loaded is None:
            self._loaded = self._load(self._stage)
        return self._loaded

    def _gains(self, baked: Baked) -> dict[str, F64]:
        return baked.gains(self._stage)

    def _on_cards(self, points_m: F64, normals: F64) -> Mapping[str, F64] | None:
        """The readings at these points if all of them are cards before faces."""
        if self._baked is None:
            return None
        held = {
            (face_point(person).tobytes(), person.face_forward.tobytes()): name
            for name, person in self._stage.people.items()
        }
        asked = zip(np.asarray(points_m, float), np.asarray(normals, float), strict=True)
        names = [held.get((point.tobytes(), way.tobytes()), "") for point, way in asked]
        gains = self._gains(self._baked)
        cards = [self._baked.card(n, gains) for n in names if n in self._baked.cards]
        if not cards or len(cards) < len(names):
            return None
        return {layer: np.stack([card[layer] for card in cards]) for layer in gains}


def _nothing(layers: tuple[str, ...]) -> Lit:
    """The light of a stage without surfaces."""
    none = np.zeros(0, np.int32)
    net = Net(
        carried=np.zeros((0, WIDTH), np.float32),
        faces=np.zeros((0, 3), np.int64),
        kinds=none,
        patterns=none,
        table=(),
        materials=(),
        opened=np.zeros(0, np.float32),
    )
    return Lit(net, np.zeros(0, np.int64), np.zeros((0, len(layers), 3), np.float32), layers)
