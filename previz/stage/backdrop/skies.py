"""The skies behind the windows: luminance and colour by height, and the light they give."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from previz.physics.colour import luminance, rgb_from_cct
from previz.physics.sky import general_sky, overcast
from previz.physics.sun import direct_normal_illuminance_lx
from previz.stage.environment import Sun
from previz.stage.lattice import F32, lattice_noise

Array = NDArray[np.float64]
Sky = Literal["overcast", "clear", "dusk", "night"]

SUN_ELEVATION_DEG = 45.0
"""Where the sun of a clear sky stands when the scene does not say: behind every side's back:
an estimate."""
CLEAR_SKY = 12
"""CIE general sky of ISO 15469:2004: clear, clean air."""
SUN_CCT_K = 5500.0
"""Sun at 45 degrees, from memory."""
LOWEST_SHADOW = math.tan(math.radians(2.0))
LAMP_CCT_K = 2700.0
"""Of lamps behind windows at night: common practice, no source."""

_TYPICAL: dict[Sky, tuple[float, float]] = {
    # IES daylight availability (physics.sky), cloudy, sun at 45 degrees: 15 150 lx. D65.
    "overcast": (15000.0, 6500.0),
    # The same, clear sky without the sun: 13 830 lx. Blue sky lies at 10 000 K and over
    # (from memory).
    "clear": (14000.0, 12000.0),
    # Some six minutes after sunset, the sun a degree down, on the straight line of the logarithm
    # from 400 lx at sunset to 3.4 lx at the end of civil twilight (from memory; `stage.sun`): the
    # sky has 30 to 100 cd/m2, trees and fronts under it a few, as a room lit by lamps has.
    "dusk": (180.0, 10000.0),
    # Full moon 0.27 to 1 lx. Its light is not blue; that it is shown so is common practice, no
    # source.
    "night": (0.5, 9000.0),
}


def typical(sky: Sky) -> tuple[float, float]:
    """Illuminance on level ground from the sky, lx, and its colour temperature, K."""
    return _TYPICAL[sky]


@dataclass(frozen=True, eq=False)
class Lighting:
    """The light that falls on what stands outside, RGB in lx (3,).

    sky        on level ground, from the whole sky
    wall       on a wall, from its half of the sky and from the ground before it
    sun_level  the sun on level ground; black when there is none
    sun_wall   the sun on a wall that faces the one who looks, when it stands behind their back
    lamps      on the street, from street lamps
    window     luminance of a lit window, cd/m2 (3,), and the share of windows that are lit
    shadow     length of the house's shadow over its height: a number, or by column (n,)
    """

    sky: Array
    wall: Array
    sun_level: Array
    sun_wall: Array
    lamps: Array
    window: Array
    lit_share: float
    shadow: float | F32 = 1.0

    @property
    def sun_roof(self) -> Array:
        """The sun on a roof that slopes towards the one who looks: 45 degrees, not quite even."""
        return 0.95 * math.sqrt(0.5) * (self.sun_level + self.sun_wall)


def lighting(
    sky: Sky, horizontal_lx: float, cct_k: float, sun: Sun | None = None, columns: int = 1
) -> Lighting:
    """Light outdoors under a sky that gives `horizontal_lx` on level ground, without the sun.

    Under a clear sky without a `sun`, one shines from behind the house on every side. With one,
    shadows are given for each of `columns` of the panorama.
    """
    level = horizontal_lx * _colour(cct_k)
    # A wall sees two fifths of an overcast sky's light (reference 6.7) and the ground's.
    wall = level * (0.40 + 0.5 * 0.15)
    on_level, on_wall = np.zeros(3), np.zeros(3)
    shadow: float | F32 = 1.0
    if sun is not None:
        on_level = sun.light * max(float(sun.direction[2]), 0.0)
        on_wall = sun.light * math.hypot(*sun.direction[:2])
        wall = wall + on_level * 0.5 * 0.15
        shadow = facing(sun, columns, -1.0) / np.float32(max(_slope(sun), LOWEST_SHADOW))
    elif sky == "clear":
        share = horizontal_lx / typical("clear")[0]
        shine = share * direct_normal_illuminance_lx(SUN_ELEVATION_DEG) * _colour(SUN_CCT_K)
        on_level = shine * math.sin(math.radians(SUN_ELEVATION_DEG))
        on_wall = shine * math.cos(math.radians(SUN_ELEVATION_DEG))
    dark = sky in ("dusk", "night")
    # EN 13201-2, 2015, from memory: streets to live in have 5 to 10 lx (classes P4 to P2); on
    # asphalt that is 0.15 to 0.3 cd/m2, where roads for traffic begin (class M6).
    lamps = (8.0 if dark else 0.0) * _colour(LAMP_CCT_K)
    # A room lit with 100 lx has walls of about 16 cd/m2, its lamps far more.
    window = (25.0 if dark else 0.0) * _colour(LAMP_CCT_K)
    lit_share = {"dusk": 0.45, "night": 0.35}.get(sky, 0.0)
    return Lighting(level, wall, on_level, on_wall, lamps, window, lit_share, shadow)


def facing(sun: Sun, columns: int, side: float = 1.0) -> F32:
    """Cosine between the sun's bearing and each column's, (n,), 0 where it is below 0.

    `side` -1.0 counts from the far side: how squarely what is seen there faces the sun.
    """
    around = (np.arange(columns) + 0.5) / columns * 2.0 * np.pi
    x, y = (float(v) for v in sun.direction[:2])
    across = max(math.hypot(x, y), 1e-9)
    cosine = side * (np.sin(around) * x - np.cos(around) * y) / across
    return np.asarray(np.maximum(cosine, 0.0), np.float32)


def _slope(sun: Sun) -> float:
    return float(sun.direction[2]) / max(math.hypot(*sun.direction[:2]), 1e-9)


def sky_planes(
    sky: Sky,
    horizontal_lx: float,
    cct_k: float,
    size: tuple[int, int],
    seed: int,
    sun: Sun | None = None,
) -> F32:
    """The whole sky over a black ground, (3, height, width), else as `Environment.panorama`.

    Its illuminance on level ground is `horizontal_lx` in the colour of `cct_k`, the sun's own
    light left out. A clear sky is brighter round the sun, whose disc is not in it; without one
    every side looks away from the sun, and the sky is alike all round.
    """
    height, width = size
    up = height // 2
    polar = (np.arange(up) + 0.5) / height * np.pi
    elevation = np.pi / 2.0 - polar
    profile = _relative(sky, polar)[:, None] * _tint(sky, elevation, cct_k)
    weight = np.cos(polar) * np.sin(polar) * (np.pi / height) * 2.0 * np.pi
    clouds = _clouds(sky, np.random.default_rng(seed), up, width)
    if sun is not None and sky == "clear":
        # The profile keeps the colour; the luminance comes by direction.
        profile = _tint(sky, elevation, cct_k)
        clouds *= _round_the_sun(sun, polar, width)
    mean_cloud = clouds.mean(axis=1, dtype=np.float64)
    given = (weight * mean_cloud) @ profile
    scale = horizontal_lx * _colour(cct_k) / np.maximum(given, 1e-12)
    planes = np.zeros((3, height, width), np.float32)
    for plane, column in zip(planes, (profile * scale).T.astype(np.float32), strict=True):
        np.multiply(column[:, None], clouds, out=plane[:up])
    return planes


def _relative(sky: Sky, polar: Array) -> Array:
    """Luminance by zenith angle, relative."""
    if sky == "overcast":
        return overcast(polar)
    if sky == "clear":
        sun = math.radians(90.0 - SUN_ELEVATION_DEG)
        return general_sky(CLEAR_SKY, polar, math.pi, sun)
    # After sunset the light lies along the horizon; the shape is from memory.
    low, width_deg = (2.2, 12.0) if sky == "dusk" else (1.2, 9.0)
    return np.asarray(1.0 + low * np.exp(-np.degrees(np.pi / 2.0 - polar) / width_deg))


def _round_the_sun(sun: Sun, polar: Array, columns: int) -> F32:
    """Luminance of the clear sky by direction, (rows, columns), over its zenith."""
    around = (np.arange(columns) + 0.5) / columns * 2.0 * np.pi
    to_sun = math.atan2(float(sun.direction[0]), -float(sun.direction[1]))
    zenith = math.acos(min(max(float(sun.direction[2]), 0.0), 1.0))
    seen = general_sky(CLEAR_SKY, polar[:, None], around[None, :] - to_sun, zenith)
    return np.asarray(seen, np.float32)


def _tint(sky: Sky, elevation: Array, cct_k: float) -> Array:
    """Colour by elevation (n, 3), luminance 1; the sky pales towards the horizon."""
    if sky == "overcast":
        return np.broadcast_to(_colour(cct_k), (len(elevation), 3))
    low_k, width_deg, share = {
        "clear": (6800.0, 12.0, 0.60),
        "dusk": (4300.0, 9.0, 0.85),
        "night": (2600.0, 7.0, 0.45),
    }[sky]
    near = share * np.exp(-np.degrees(elevation) / width_deg)[:, None]
    return np.asarray((1.0 - near) * _colour(cct_k) + near * _colour(low_k))


def _clouds(sky: Sky, random: np.random.Generator, rows: int, columns: int) -> F32:
    """Unevenness of the sky, (rows, columns), about 1."""
    depth = {"overcast": 0.07, "clear": 0.02, "dusk": 0.10, "night": 0.10}[sky]
    coarse = lattice_noise(random, (rows, columns), (10, 12))
    fine = lattice_noise(random, (rows, columns), (44, 30))
    return np.asarray(np.clip(1.0 + depth * (coarse + 0.5 * fine), 0.4, 1.6), np.float32)


def _colour(cct_k: float) -> Array:
    """RGB of luminance 1; what lies outside BT.709 is brought to its edge."""
    locus: Literal["daylight", "planckian"] = "daylight" if cct_k >= 5000.0 else "planckian"
    rgb = np.maximum(rgb_from_cct(cct_k, locus=locus), 0.0)
    return np.asarray(rgb / luminance(rgb))
