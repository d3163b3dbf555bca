"""Light layers used: what was rendered once, recombined for other settings of the lights.

A layer is in proportion to its light's power, colour by colour, so another dimmer, colour or
gel multiplies it by three numbers, exactly. Only a light that moved or spreads otherwise has
to be rendered anew, and only its own layer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.render.contract import LightLayers
from previz.stage.identity import Identity

F32 = NDArray[np.float32]
Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LayerStack:
    """The light layers of one camera's picture, one behind the other in every pixel.

    `pixels` is (height, width, 3 x layers) float32, linear BT.709 in cd/m2, in the order of
    `names`; albedo and normal guide the denoiser. `whole` (height, width, 3) is all layers
    together as they were rendered, cleaned of noise at once; None where noise was left in.
    """

    names: tuple[str, ...]
    pixels: F32
    albedo: F32
    normal: F32
    whole: F32 | None = None

    @classmethod
    def of(cls, light: LightLayers, whole: F32 | None = None) -> LayerStack:
        """The stack of what a camera received."""
        pixels = np.concatenate([*light.layers.values(), light.albedo[..., :0]], axis=2)
        names, flat = tuple(light.layers), np.ascontiguousarray(pixels)
        return cls(names, flat, light.albedo, light.normal, whole)

    def combined(self, gains: Mapping[str, Array], camera: Array | None = None) -> F32:
        """Sum of the layers, (height, width, 3), each times its gains (3,), absent ones left out.

        `camera` (3,) multiplies the sum: exposure and white balance cost nothing more here.
        """
        matrix = np.zeros((3 * len(self.names), 3), np.float32)
        rest = np.ones(3) if camera is None else camera
        for number, name in enumerate(self.names):
            if name in gains:
                matrix[3 * number : 3 * number + 3] = np.diag(gains[name] * rest)
        return np.asarray(self.pixels @ matrix, np.float32)

    def layer(self, name: str) -> F32:
        """One layer, (height, width, 3)."""
        at = 3 * self.names.index(name)
        return self.pixels[..., at : at + 3]

    def with_layer(self, name: str, fresh: LayerStack) -> LayerStack:
        """The stack with one layer put in or replaced, from another stack of the same picture."""
        if name in self.names:
            pixels, at = self.pixels.copy(), 3 * self.names.index(name)
            pixels[..., at : at + 3] = fresh.layer(name)
            return LayerStack(self.names, pixels, fresh.albedo, fresh.normal)
        pixels = np.concatenate([self.pixels, fresh.layer(name)], axis=2)
        return LayerStack((*self.names, name), pixels, fresh.albedo, fresh.normal)


@dataclass(frozen=True)
class Change:
    """What lies between a rendered stage and another.

    gains    layers that hold, with what multiplies them by colour
    fresh    layers that must be rendered
    moved    lights whose body stood elsewhere: its shadow in the other layers is the old one
    hindered why nothing can be recombined, in sentences; empty when something can
    """

    gains: Mapping[str, Array]
    fresh: tuple[str, ...]
    moved: tuple[str, ...]
    hindered: tuple[str, ...]


def change_between(before: Identity, after: Identity, cameras: Sequence[str]) -> Change:
    """What must be done to go from the picture of one stage to that of another."""
    gains: dict[str, Array] = {}
    fresh = []
    for layer, power in after.power.items():
        if not any(power):
            continue
        same = before.forms.get(layer) == after.forms[layer]
        gain = gain_between(before.power.get(layer), power) if same else None
        if gain is None:
            fresh.append(layer)
        else:
            gains[layer] = gain
    changed = _differing(before.forms, after.forms)
    shapers = [n for n in changed if n not in before.power and n not in after.power]
    hindered = [f"{name} is not where it was" for name in _differing_set(before, after)]
    hindered += [f"lights.{name} shades all lights and has changed" for name in shapers]
    hindered += [
        f"camera {name} stands, looks or is set otherwise"
        for name in cameras
        if before.views.get(name) != after.views.get(name)
    ]
    moved = tuple(name for name in changed if name not in shapers)
    return Change(gains, tuple(fresh), moved, tuple(hindered))


def gain_between(
    before: tuple[float, float, float] | None, after: tuple[float, float, float]
) -> Array | None:
    """What multiplies a layer by colour; None where it cannot be known from the old one."""
    if before is None:
        return None
    old, new = np.asarray(before, float), np.asarray(after, float)
    if np.any((old == 0.0) & (new != 0.0)):
        return None
    return np.asarray(np.divide(new, old, out=np.zeros(3), where=old != 0.0), float)


def _differing(before: Mapping[str, str], after: Mapping[str, str]) -> list[str]:
    return [name for name in {**before, **after} if before.get(name) != after.get(name)]


def _differing_set(before: Identity, after: Identity) -> list[str]:
    return _differing(before.furnished, after.furnished)
