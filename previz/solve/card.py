"""White and exposure from a card in a still, against the card that the plan has."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from previz.develop.exposure import exposure_scale
from previz.develop.view import developed
from previz.physics.colour import cct_and_duv_of_rgb, luminance, srgb_decode
from previz.physics.temperature import mired
from previz.physics.white import neutral_gains
from previz.stage.stage import Array, StageCamera
from previz.units import ratio_to_stops

DARKEST, BRIGHTEST = 0.03, 0.985
"""Code values, 0 to 1, between which a card tells anything: estimates."""
SMALLEST_LINEAR = 1e-4
"""Where the search begins at the least: an estimate."""


@dataclass(frozen=True)
class PlannedCard:
    """A card as planned: held at a face, facing straight ahead.

    light_lx     what falls on it, by colour, lux (3,)
    white_xy     what the camera calls white
    reflectance  share, 0 to 1
    """

    light_lx: tuple[float, float, float]
    white_xy: tuple[float, float]
    reflectance: float


@dataclass(frozen=True)
class Colour:
    """A light's colour temperature and Duv; None where it is too far from white for that."""

    cct_k: float | None
    duv: float | None


@dataclass(frozen=True)
class CardNumbers:
    """A card in a still beside the planned one.

    planned_srgb, still_srgb  code values 0 to 1, (3,)
    over_stops      how much brighter the still's is; None when it clips or drowns
    planned_light, still_light
                    light on the card; the still's as the planned white balance sees it
    planned_white, still_white
                    what the camera is balanced for; the still's if the light is as planned
    """

    planned_srgb: tuple[float, float, float]
    still_srgb: tuple[float, float, float]
    over_stops: float | None
    planned_light: Colour
    still_light: Colour
    planned_white: Colour
    still_white: Colour

    @property
    def light_mired(self) -> float | None:
        """By how many mired the still's light is warmer."""
        return _mired_between(self.planned_light, self.still_light)

    @property
    def white_mired(self) -> float | None:
        """By how many mired the camera is set for warmer light, if the light is as planned."""
        return _mired_between(self.planned_white, self.still_white)


def compare_card(
    planned: PlannedCard,
    still_srgb: Array,
    camera: StageCamera,
    view: str,
    lut: Path | None,
) -> CardNumbers:
    """A card's code values (3,), 0 to 1, in a still, against the plan.

    The still is taken to be developed as the scene's look develops: what that does to light is
    undone. Where the real camera's curve is another, only what lies near mid grey is right.
    """
    light, gains = np.array(planned.light_lx), neutral_gains(planned.white_xy)
    wanted = planned.reflectance / math.pi * exposure_scale(camera) * light * gains
    planned_srgb = _as_picture(wanted, view, lut)
    tells = still_srgb.min() >= DARKEST and still_srgb.max() <= BRIGHTEST
    found = _linear_of(still_srgb, view, lut) if tells and wanted.max() > 0.0 else None
    nothing = Colour(None, None)
    return CardNumbers(
        planned_srgb=_triple(planned_srgb),
        still_srgb=_triple(still_srgb),
        over_stops=None
        if found is None
        else ratio_to_stops(float(luminance(found)) / float(luminance(wanted))),
        planned_light=_colour(light),
        still_light=nothing if found is None else _colour(found / gains),
        planned_white=_colour(1.0 / gains),
        still_white=nothing if found is None else _colour(light / found),
    )


def _as_picture(linear: Array, view: str, lut: Path | None) -> Array:
    """Code values (3,) of one scene-linear colour."""
    pixel = np.asarray(linear, np.float32).reshape(1, 1, 3)
    return np.asarray(developed(pixel, view, lut)[0, 0], float)


def _linear_of(srgb: Array, view: str, lut: Path | None) -> Array:
    """The scene-linear colour (3,) that is developed to these code values."""
    from scipy.optimize import least_squares  # noqa: PLC0415 - half a second only this needs

    start = np.log(np.maximum(srgb_decode(srgb), SMALLEST_LINEAR))
    result = least_squares(
        lambda logs: _as_picture(np.exp(logs), view, lut) - srgb, start, diff_step=1e-3
    )
    return np.asarray(np.exp(result.x))


def _colour(rgb: Array) -> Colour:
    try:
        cct_k, duv = cct_and_duv_of_rgb(rgb)
    except ValueError:
        return Colour(None, None)
    return Colour(cct_k, duv)


def _mired_between(planned: Colour, real: Colour) -> float | None:
    if planned.cct_k is None or real.cct_k is None:
        return None
    return mired(real.cct_k) - mired(planned.cct_k)


def _triple(colour: Array) -> tuple[float, float, float]:
    red, green, blue = (float(value) for value in colour)
    return red, green, blue
