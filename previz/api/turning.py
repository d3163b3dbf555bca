"""What a page may turn of the light: dimmers, colour temperatures, ND on windows, and what each
place of a slider multiplies its layer by."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene
from previz.deliver.page.content import LightControl, Slider
from previz.model.lights import Light
from previz.model.records import Fixture, Gel
from previz.physics.exposure import nd_transmittance
from previz.stage.emission import relative_power
from previz.stage.identity import triple
from previz.telling.numbers import rounded
from previz.telling.setting_out import shown

Array = NDArray[np.float64]
COLOUR_STEP_K = 50.0
WINDOW_ND, ND_STEP = 2.4, 0.1
"""Eight stops; more is not hung before a window indoors: an estimate."""
DIGITS = 6


def light_controls(
    opened: OpenScene, layers: Sequence[str], card: Mapping[str, Array]
) -> list[LightControl]:
    """A control for each layer that a picture has, windows after lamps, in the scene's order.

    card  light by layer (3,) on the card that white was taken from; empty without one
    """
    stage, scene = opened.stage, opened.scene
    ordered = [*(n for n in stage.lights if n in layers)]
    ordered += [n for n in layers if n not in ordered]
    return [
        LightControl(
            layer=name,
            name=shown(name),
            sliders=tuple(
                _lamp(opened, name)
                if name in stage.lights
                else _window(scene.openings[name].gel_nd)
                if name in scene.openings
                else ()
            ),
            card=None if name not in card else triple(card[name]),
        )
        for name in ordered
    ]


def _lamp(opened: OpenScene, name: str) -> Iterator[Slider]:
    """Its dimmer, and its colour where the fixture has a choice."""
    placed = opened.stage.lights[name]
    fixture, light = placed.fixture, placed.setting
    gels = [opened.catalog.gel(gel) for gel in light.gels]
    places = sorted({*np.arange(101.0), light.dimmer_pct})
    yield Slider(
        "dimmer",
        light.dimmer_pct,
        [_stop(value, fixture, light, gels, {"dimmer_pct": value}) for value in places],
    )
    if fixture.cct_k is not None and fixture.cct_k[0] < fixture.cct_k[1]:
        low, high = fixture.cct_k
        own = light.cct_k if light.cct_k is not None else fixture.default_cct_k or low
        colours = sorted({*np.arange(low, high + 1.0, COLOUR_STEP_K), own})
        yield Slider(
            "colour",
            own,
            [_stop(value, fixture, light, gels, {"cct_k": value}) for value in colours],
        )


def _stop(
    value: float, fixture: Fixture, light: Light, gels: Sequence[Gel], change: Mapping[str, float]
) -> tuple[float, float, float, float]:
    before = relative_power(fixture, light, gels)
    after = relative_power(fixture, light.model_copy(update=dict(change)), gels)
    # A colour that the lamp has nothing of has none at another setting of its dimmer either.
    gains = np.divide(after, before, out=np.zeros(3), where=before > 0.0)
    return _told(value, gains)


def _window(gel_nd: float) -> Iterator[Slider]:
    places = sorted({*np.round(np.arange(0.0, WINDOW_ND + ND_STEP / 2, ND_STEP), 1), gel_nd})
    own = nd_transmittance(gel_nd)
    yield Slider("nd", gel_nd, [_told(nd, np.full(3, nd_transmittance(nd) / own)) for nd in places])


def _told(value: float, gains: Array) -> tuple[float, float, float, float]:
    red, green, blue = (rounded(float(gain), DIGITS) or 0.0 for gain in gains)
    return float(value), red, green, blue
