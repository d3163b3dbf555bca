"""Light read on a stage: by meters in the room, and by a small picture of each camera.

Both hold every light apart, so readings for other dimmers, colours and gels follow from
these by arithmetic. They are kept between runs under what they rest on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from previz import cache
from previz.render.contract import LightLayers, Renderer, RenderSettings
from previz.render.metering import Array, Reading, Receptor, read
from previz.render.relight import gain_between
from previz.stage.identity import Identity, identity_of
from previz.stage.stage import Stage

PICTURE_WIDTH_PX = 192
PICTURE_SAMPLES = 24
KIND = "light"
MOST_KEPT = 48


@dataclass(frozen=True, eq=False)
class Readings:
    """What was read: at receptors by name, and small un-denoised pictures by camera."""

    points: Mapping[str, Reading]
    pictures: Mapping[str, LightLayers]

    def relit(self, gains: Mapping[str, Array]) -> Readings:
        """The readings with each layer times its gains (3,); layers without any are dark."""
        points = {
            name: replace(reading, by_light={k: reading.by_light[k] * g for k, g in gains.items()})
            for name, reading in self.points.items()
        }
        pictures = {
            name: replace(
                light,
                layers={k: light.layers[k] * g.astype(np.float32) for k, g in gains.items()},
            )
            for name, light in self.pictures.items()
        }
        return Readings(points, pictures)


def take_readings(
    renderer: Renderer,
    stage: Stage,
    receptors: Mapping[str, Receptor],
    advance: Callable[[int], None],
) -> Readings:
    """Read all receptors and draw the small pictures; `advance` hears of each step done.

    There is one step for the receptors and one for each camera.
    """
    points = read(renderer, receptors)
    advance(1)
    pictures = {}
    for number, (name, camera) in enumerate(stage.cameras.items(), start=2):
        width, height = camera.picture_size(PICTURE_WIDTH_PX)
        settings = RenderSettings(width, height, PICTURE_SAMPLES, seed=stage.seed)
        exposing = renderer.expose(name, settings)
        exposing.advance(PICTURE_SAMPLES)
        pictures[name] = exposing.light()
        advance(number)
    return Readings(points, pictures)


# --- kept between runs -----------------------------------------------------------------------


def kept_readings(stage: Stage, receptors: Mapping[str, Receptor], variant: str) -> Readings | None:
    """Readings of the same set with the same lights on, for their present power; or None."""
    identity = identity_of(stage)
    arrays = cache.load(KIND, _key(stage, identity, receptors, variant))
    if arrays is None:
        return None
    gains = {}
    for layer in stage.layers:
        power = tuple(float(value) for value in arrays[f"power/{layer}"])
        gain = gain_between((power[0], power[1], power[2]), identity.power[layer])
        if gain is None:
            return None
        gains[layer] = gain
    return _from_arrays(arrays, stage.layers).relit(gains)


def keep_readings(
    stage: Stage, receptors: Mapping[str, Receptor], variant: str, readings: Readings
) -> None:
    """Keep readings for the next run."""
    identity = identity_of(stage)
    arrays = _to_arrays(readings, stage.layers)
    arrays |= {f"power/{layer}": np.array(identity.power[layer]) for layer in stage.layers}
    cache.keep(KIND, _key(stage, identity, receptors, variant), arrays, MOST_KEPT)


def _key(stage: Stage, identity: Identity, receptors: Mapping[str, Receptor], variant: str) -> str:
    """All that readings rest on but the power of the lights, and the code that takes them."""
    held = {
        n: (r.point_m.round(6).tolist(), r.facing.round(6).tolist()) for n, r in receptors.items()
    }
    code = [*Path(__file__).parent.glob("*.py"), *Path(__file__).parent.glob("*/*.py")]
    rest = (identity.furnished, identity.forms, identity.views, held, stage.layers, stage.seed)
    return cache.key_of(code, variant, *rest)


def _to_arrays(readings: Readings, layers: tuple[str, ...]) -> dict[str, Any]:
    arrays: dict[str, Any] = {
        "names": np.array(list(readings.points)),
        "cameras": np.array(list(readings.pictures)),
        "errors": np.array([reading.error for reading in readings.points.values()]),
        "lux": np.array([[r.by_light[k] for k in layers] for r in readings.points.values()]),
    }
    for name, light in readings.pictures.items():
        for layer in layers:
            arrays[f"picture/{name}/{layer}"] = light.layers[layer]
        for part in ("albedo", "normal", "depth", "objects"):
            arrays[f"{part}/{name}"] = getattr(light, part)
        arrays[f"samples/{name}"] = np.array(light.samples)
    return arrays


def _from_arrays(arrays: Mapping[str, Any], layers: tuple[str, ...]) -> Readings:
    lux, errors = arrays["lux"], arrays["errors"]
    points = {
        str(name): Reading({k: lux[i, j] for j, k in enumerate(layers)}, float(errors[i]))
        for i, name in enumerate(arrays["names"])
    }
    pictures = {
        str(name): LightLayers(
            layers={k: arrays[f"picture/{name}/{k}"] for k in layers},
            albedo=arrays[f"albedo/{name}"],
            normal=arrays[f"normal/{name}"],
            depth=arrays[f"depth/{name}"],
            objects=arrays[f"objects/{name}"],
            samples=int(arrays[f"samples/{name}"]),
        )
        for name in arrays["cameras"]
    }
    return Readings(points, pictures)
