"""The colour of skin, from the individual typology angle to reflectance at every vertex.

ITA = atan((L* - 50) / b*) in degrees; classes: very light > 55, light 41 to 55, intermediate 28
to 41, tan 10 to 28, brown -30 to 10, dark < -30. Source: Chardon, Cretois and Hourseau 1991,
Int. J. Cosmetic Science 13, 191-208; Del Bino and Bernerd 2013, Br. J. Dermatology 169 (s3).
The a* and b* at the middle of each class are typical of facial skin, from memory.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.landmarks import find_landmarks
from previz.geometry.people.sockets import lid_rims
from previz.physics.colour import LUMINANCE_WEIGHTS

LASH_LINE_M = 0.0012
# Class -> ITA in degrees, a*, b* (CIELAB, D65).
ITA_CLASSES = {
    "very_light": (58.0, 8.5, 12.5),
    "light": (47.0, 10.0, 15.0),
    "intermediate": (34.5, 11.5, 17.0),
    "tan": (19.0, 12.5, 18.5),
    "brown": (-12.0, 12.5, 17.0),
    "dark": (-45.0, 9.5, 12.0),
}
_WHITE_D65 = np.array([0.95047, 1.0, 1.08883])
# XYZ to linear BT.709, from the primaries and white of ITU-R BT.709-6.
_TO_BT709 = np.array(
    [
        [3.2404542, -1.5371385, -0.4985314],
        [-0.9692660, 1.8760108, 0.0415560],
        [0.0556434, -0.2040259, 1.0572252],
    ]
)


def ita_of(skin: str | float) -> float:
    """ITA in degrees of a class or of the angle itself, kept within -60 to 65."""
    angle = ITA_CLASSES[skin][0] if isinstance(skin, str) else float(skin)
    return float(np.clip(angle, -60.0, 65.0))


def reflectance(skin: str | float) -> Array:
    """Linear BT.709 reflectance (3,) of skin, by ITA class or ITA in degrees.

    ITA and b* give L*, then CIELAB to RGB; a* and b* lie between those of the classes.
    """
    ita_deg = ita_of(skin)
    table = np.array(sorted(ITA_CLASSES.values()))
    a, b = (float(np.interp(ita_deg, table[:, 0], table[:, k])) for k in (1, 2))
    lightness = 50.0 + b * np.tan(np.radians(ita_deg))
    return from_lab(lightness, a, b)


def from_lab(lightness: float, a: float, b: float) -> Array:
    """Linear BT.709 (3,) of a CIELAB colour under D65 (CIE 15:2018)."""
    fy = (lightness + 16.0) / 116.0
    f = np.array([fy + a / 500.0, fy, fy - b / 200.0])
    xyz = np.where(f > 6.0 / 29.0, f**3, 3.0 * (6.0 / 29.0) ** 2 * (f - 4.0 / 29.0)) * _WHITE_D65
    return np.asarray(np.clip(_TO_BT709 @ xyz, 0.002, 0.9))


def paint(
    data: BodyData,
    rest: Array,
    kind: str | float,
    male: bool,
    old: float,
    seed: int,
    stubble: float = 0.0,
) -> Array:
    """Reflectance (V, 3) over the body's vertices at rest.

    rest     (V, 3) vertices at rest; `old` 0 (young) to 1
    stubble  how much of a beard's roots shows, 0 to 1
    """
    marks = find_landmarks(data)
    n = data.ranges["body"][1]
    body = rest[:n]
    tone = reflectance(kind)
    light = float(np.clip((tone[1] - 0.03) / 0.3, 0.0, 1.0))
    colour = np.tile(tone, (n, 1))
    # Blood under thin skin: cheeks, nose, ears, knuckles. It shows less on dark skin.
    flush = np.zeros(n)
    eyes = [rest[data.part(f"eye_{side}")].mean(axis=0) for side in ("left", "right")]
    for eye in eyes:
        side = np.sign(eye[0])
        flush += 1.1 * _near(body, eye + np.array([0.012 * side, -0.005, -0.040]), 0.024)
    nose, chin = body[marks.nose_tip], body[marks.chin]
    flush += 1.1 * _near(body, nose, 0.015) + 0.35 * _near(body, chin, 0.022)
    flush += 0.9 * data.masks["ears"][:n]
    colour *= 1.0 - flush[:, None] * np.array([0.01, 0.15, 0.13]) * (0.35 + 0.65 * light)
    # Thin lids and the hollow under the eye.
    for eye in eyes:
        side = np.sign(eye[0])
        under = _near(body, eye + np.array([-0.002 * side, -0.012, -0.017]), 0.011)
        inner = _near(body, eye + np.array([-0.015 * side, -0.010, 0.002]), 0.009)
        lid = _near(body, eye + np.array([0.0, -0.013, 0.009]), 0.012)
        deep = (0.6 + 0.5 * old) * under + 0.45 * lid + 0.5 * inner
        colour *= 1.0 - deep[:, None] * np.array([0.16, 0.24, 0.20])
    # The roots of the lashes draw a line.
    colour *= 1.0 - lash_line(data)[:, None] * np.array([0.50, 0.58, 0.58])
    # The forehead is paler and yellower than the cheeks.
    brow = 0.5 * (eyes[0] + eyes[1]) + np.array([0.0, -0.01, 0.055])
    colour *= 1.0 + _near(body, brow, 0.032)[:, None] * np.array([0.045, 0.045, 0.0])
    # Mottling: never one flat tone. Three scales, in space, so that it does not swim with the pose.
    # Old skin is a little yellower, and thinner.
    colour *= 1.0 - old * np.array([0.03, 0.05, 0.12])
    blotch = noise(body, 0.022, seed) + 0.7 * noise(body, 0.008, seed + 1)
    blotch += 0.7 * noise(body, 0.0045, seed + 3)
    colour *= 1.0 + blotch[:, None] * np.array([0.026, 0.046, 0.044])
    # The class is measured on the cheek: blood there must not make the whole face darker.
    cheeks = sum(_near(body, eye + np.array([0.0, -0.012, -0.045]), 0.014) for eye in eyes)
    outside = np.asarray(cheeks) * (1.0 - data.masks["mouth_inside"][:n])
    weight = outside / outside.sum()
    colour *= (tone @ LUMINANCE_WEIGHTS) / (weight @ colour @ LUMINANCE_WEIGHTS)
    if stubble > 0.0:
        beard = beard_zone(data, rest) * (0.85 + 0.15 * noise(body, 0.012, seed + 4))
        colour *= 1.0 - beard[:, None] * 0.28 * stubble * np.array([1.15, 0.95, 0.75])
    lips = data.masks["lips"][:n] ** 1.8
    lip = tone * np.array([0.82, 0.50, 0.54]) if light > 0.25 else tone * [0.95, 0.76, 0.82]
    strength = (0.66 if male else 0.88) * (1.0 - 0.32 * old)
    colour += (lips * strength)[:, None] * (lip - colour)
    inside = data.masks["mouth_inside"][:n][:, None]
    colour += inside * (np.array([0.12, 0.025, 0.022]) - colour)
    nails = data.masks["nails"][:n][:, None]
    colour += 0.45 * nails * (tone * np.array([1.12, 0.95, 0.95]) - colour)
    return np.asarray(np.clip(colour, 0.004, 0.85))


def roughness(data: BodyData, skin_at_rest: Array, rest: Array, seed: int) -> Array:
    """Roughness (n,) of skin: forehead, nose, chin and lips shine, cheeks and neck less.

    skin_at_rest  (n, 3) points of the skin; `rest` (V, 3) all vertices of the body at rest
    Its square is the width of the facets' slopes: 0.21 on nose, chin and brow, 0.36 on a cheek.
    Source: Weyrich and others, "Analysis of human faces using a measurement-based skin reflectance
    model", 2006, who fit slopes of 0.2 to 0.4 by region; the zones in detail by eye.
    """
    marks = find_landmarks(data)
    eyes = [rest[data.part(f"eye_{side}")].mean(axis=0) for side in ("left", "right")]
    brow = 0.5 * (eyes[0] + eyes[1])
    mouth = 0.5 * (rest[marks.mouth_upper] + rest[marks.mouth_lower])
    oily = 0.9 * _near(skin_at_rest, brow + np.array([0.0, -0.01, 0.045]), 0.026)
    oily += 1.0 * _near(skin_at_rest, rest[marks.nose_tip], 0.013)
    oily += 0.8 * _near(skin_at_rest, 0.5 * (rest[marks.nose_tip] + brow), 0.014)
    oily += 0.6 * _near(skin_at_rest, rest[marks.chin], 0.014)
    oily += 1.2 * _near(skin_at_rest, mouth, 0.013)
    for eye in eyes:
        side = np.sign(eye[0])
        oily += 0.5 * _near(skin_at_rest, eye + np.array([0.018 * side, -0.005, -0.026]), 0.013)
    uneven = 0.045 * noise(skin_at_rest, 0.006, seed + 6)
    uneven += 0.035 * noise(skin_at_rest, 0.016, seed + 7)
    return np.asarray(np.clip(0.60 - 0.145 * np.minimum(oily, 1.1) + uneven, 0.455, 0.72))


@lru_cache(maxsize=2)
def lash_line(data: BodyData) -> Array:
    """How much of the line that lashes draw along the lids a point of the skin has (n,), 0 to 1:
    of the lower lid half as much. Judged by eye, no source."""
    body = data.base[data.part("body")]
    line = np.zeros(len(body))
    for side in ("left", "right"):
        rims = lid_rims(data, side)
        edge = rims.of(data.base)
        for chosen, dark in ((rims.upper, 1.0), (~rims.upper, 0.5)):
            away = np.linalg.norm(body[:, None] - edge[None, chosen], axis=2).min(axis=1)
            line = np.maximum(line, dark * np.exp(-((away / LASH_LINE_M) ** 2)))
    return line


def _near(points: Array, centre: Array, radius_m: float) -> Array:
    return np.asarray(np.exp(-((points - centre) ** 2).sum(axis=1) / (2.0 * radius_m**2)))


def beard_zone(data: BodyData, rest: Array) -> Array:
    """Where a beard would grow (n,), 0 to 1: jaw, chin, upper lip."""
    marks = find_landmarks(data)
    n = data.ranges["body"][1]
    body = rest[:n]
    nose, chin = body[marks.nose_tip], body[marks.chin]
    high = nose[2] - 0.014 + 0.55 * np.clip(np.abs(body[:, 0]) - 0.030, 0.0, 0.05)
    below = np.clip((high - body[:, 2]) / 0.014, 0.0, 1.0)
    above = np.clip((body[:, 2] - chin[2] + 0.030) / 0.02, 0.0, 1.0)
    front = np.clip((chin[1] + 0.115 - body[:, 1]) / 0.03, 0.0, 1.0)
    return np.asarray(below * above * front * (1.0 - data.masks["ears"][:n]))


def noise(points: Array, size_m: float, seed: int) -> Array:
    """Smooth noise of about unit spread: a sum of waves of random direction."""
    random = np.random.default_rng(seed)
    total = np.zeros(len(points))
    for _ in range(24):
        way = random.normal(size=3)
        way /= np.linalg.norm(way) * size_m * random.uniform(0.6, 1.6) / 3.0
        total += np.sin(points @ way + random.uniform(0.0, 6.28))
    return np.asarray(total / np.sqrt(12.0))
