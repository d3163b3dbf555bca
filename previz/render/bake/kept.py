"""Bakes kept between runs, by all that their light rests on but its power."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz import cache
from previz.render.bake.lit import Lit
from previz.render.bake.surfaces import Kind, Net
from previz.render.relight import gain_between
from previz.stage.identity import Triple, identity_of
from previz.stage.stage import Stage

KIND, MOST = "bakes", 6
"""One takes some fifty megabytes."""


@dataclass(frozen=True, eq=False)
class Baked:
    """Light baked, and the power of each layer's light when it was.

    cards  light (3,) by layer on a card before each person's face
    gear   digests of the cameras' gear as it stood
    """

    lit: Lit
    power: Mapping[str, Triple]
    cards: Mapping[str, Mapping[str, NDArray[np.float64]]]
    gear: Mapping[str, str] = field(default_factory=dict)

    def gains(self, stage: Stage) -> dict[str, NDArray[np.float64]]:
        """What each layer is to be multiplied by for the lights of `stage`.

        Without those that give what was not baked: a light that was off, a colour it had none of.
        """
        now = identity_of(stage).power
        known = [layer for layer in stage.layers if layer in self.lit.layers]
        found = {layer: gain_between(self.power.get(layer), now[layer]) for layer in known}
        return {layer: gain for layer, gain in found.items() if gain is not None}

    def serves(self, stage: Stage) -> bool:
        """Whether all light of `stage` was baked, in a set that stands as it does."""
        return len(self.gains(stage)) == len(stage.layers)

    def card(
        self, person: str, gains: Mapping[str, NDArray[np.float64]]
    ) -> dict[str, NDArray[np.float64]]:
        """Light by layer on the card before a person's face, under those gains."""
        return {
            name: light * gains[name] for name, light in self.cards[person].items() if name in gains
        }


def standing_of(stage: Stage) -> tuple[Mapping[str, str], Mapping[str, str]]:
    """All that a bake rests on but the power of lights: the set without cameras, and the lights.

    A camera throws no shadow that one would miss, and is moved more often than anything.
    """
    identity = identity_of(stage)
    owned = gear_of(stage)
    set_alone = {name: of for name, of in identity.furnished.items() if name not in owned}
    return set_alone, identity.forms


def gear_of(stage: Stage) -> dict[str, str]:
    """Digest of the gear of each camera, by name of the thing."""
    furnished = identity_of(stage).furnished
    return {thing.name: furnished[thing.name] for thing in stage.things if thing.owner}


def key_of(stage: Stage, variant: str) -> str:
    """Name of the bake of a stage: all that its light rests on but power, and the code of it.

    A layer that is off was not baked, so which are on counts too; who has more serves as well, but
    is another bake.
    """
    here = Path(__file__).parent
    code = [*here.glob("*.py"), *here.parent.glob("*.py"), *here.parent.glob("pathtracer/*.py")]
    return cache.key_of(
        code,
        variant,
        standing_of(stage),
        list(stage.object_ids),
        stage.layers,
        stage.seed,
        list(stage.people),
    )


def load(stage: Stage, variant: str) -> Baked | None:
    """The bake of an earlier run, or None."""
    arrays = cache.load(KIND, key_of(stage, variant))
    try:
        return None if arrays is None else _baked(arrays, stage)
    except KeyError:
        return None  # a pattern that only a camera's gear had then


def keep(stage: Stage, variant: str, baked: Baked) -> None:
    """Keep a bake for later runs."""
    cache.keep(KIND, key_of(stage, variant), _arrays(baked, stage), MOST)


def as_kept(stage: Stage, baked: Baked) -> Baked:
    """A bake as it is when it is read back: what is drawn today is what is drawn tomorrow."""
    return _baked(_arrays(baked, stage), stage)


def _arrays(baked: Baked, stage: Stage) -> dict[str, NDArray[np.generic]]:
    lit, net = baked.lit, baked.lit.surfaces
    scale = np.maximum(lit.light.max(axis=(0, 2)), 1e-20)
    names = {id(material): name for name, material in stage.materials.items()}
    told = {
        "table": [asdict(kind) for kind in net.table],
        "materials": [names[id(material)] for material in net.materials],
        "layers": lit.layers,
        "power": baked.power,
        "gear": baked.gear,
        "cards": {p: {n: v.tolist() for n, v in c.items()} for p, c in baked.cards.items()},
    }
    return {
        "told": np.array(json.dumps(told, allow_nan=False)),
        "carried": net.carried,
        "faces": net.faces.astype(np.int32),
        "kinds": net.kinds,
        "patterns": net.patterns,
        "receptor": lit.receptor.astype(np.int32),
        "scale": scale.astype(np.float32),
        "light": (lit.light / scale[None, :, None]).astype(np.float16),
    }


def _baked(arrays: Mapping[str, NDArray[np.generic]], stage: Stage) -> Baked:
    told = json.loads(str(arrays["told"]))
    net = Net(
        carried=np.asarray(arrays["carried"], np.float32),
        faces=np.asarray(arrays["faces"], np.int64),
        kinds=np.asarray(arrays["kinds"], np.int32),
        patterns=np.asarray(arrays["patterns"], np.int32),
        table=tuple(Kind(**kind) for kind in told["table"]),
        materials=tuple(stage.materials[name] for name in told["materials"]),
        opened=np.ones(len(arrays["faces"]), np.float32),
    )
    light = np.asarray(arrays["light"], np.float32)
    light *= np.asarray(arrays["scale"], np.float32)[None, :, None]
    lit = Lit(net, np.asarray(arrays["receptor"], np.int64), light, tuple(told["layers"]))
    power = {name: (red, green, blue) for name, (red, green, blue) in told["power"].items()}
    cards = {
        person: {name: np.array(light) for name, light in card.items()}
        for person, card in told["cards"].items()
    }
    return Baked(lit, power, cards, told["gear"])
