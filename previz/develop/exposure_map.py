"""Exposure of every pixel, in stops over mid grey, as a picture in bands of one stop.

The colours are the tool's own: lightness rises evenly with the light (CIELAB L* from 14 to 94),
blue below mid grey, neutral at it, yellow above. They keep their order for everybody: blue
against yellow is told apart with the common red-green deficiencies, and in a grey print too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.develop.exposure import exposure_scale
from previz.physics.colour import luminance, rgb_from_lab, srgb_encode
from previz.physics.exposure import stops_over_grey
from previz.stage.stage import StageCamera

Picture = NDArray[np.uint8]
DARKEST_L, LIGHTEST_L = 14.0, 94.0
HUE_RAD = {"under": np.radians(275.0), "over": np.radians(92.0)}
CHROMA = 46.0
HATCH_PX = 8
CLIPPED_RGB, LOST_RGB = (255, 255, 255), (0, 0, 0)
HATCH_RGB = {"clipped": (110, 110, 110), "lost": (90, 90, 90)}


@dataclass(frozen=True)
class Span:
    """The sensor's range: stops over mid grey at which it clips, and at which noise takes over."""

    clip_stops: float
    floor_stops: float

    @property
    def bands(self) -> range:
        """Whole stops within it."""
        return range(int(np.ceil(self.floor_stops)), int(np.floor(self.clip_stops)) + 1)


def stops_image(light: NDArray[np.float32], camera: StageCamera) -> NDArray[np.float64]:
    """Stops over mid grey (height, width) of light in cd/m2; -30 for black."""
    return stops_over_grey(luminance(light) * exposure_scale(camera))


def exposure_map(stops: NDArray[np.float64], span: Span) -> Picture:
    """The map (height, width, 3), 8 bit sRGB.

    Each band is a stop wide, with its whole stop in the middle. What clips is white with
    rising lines, what drowns in noise black with falling ones.
    """
    bands = np.clip(np.round(stops), span.bands[0], span.bands[-1]).astype(int)
    table = np.array([band_colour(band, span) for band in span.bands], np.uint8)
    picture = table[bands - span.bands[0]]
    hatched(picture, stops >= span.clip_stops, "clipped")
    hatched(picture, stops < span.floor_stops, "lost")
    return np.asarray(picture)


def hatched(picture: Picture, where: NDArray[np.bool_], kind: str) -> None:
    """Hatch part of a picture as `clipped` or `lost`, in place."""
    rows, columns = np.indices(where.shape)
    slope = columns + rows if kind == "clipped" else columns - rows
    line = slope % HATCH_PX < 2
    picture[where] = CLIPPED_RGB if kind == "clipped" else LOST_RGB
    picture[where & line] = HATCH_RGB[kind]


def band_colour(stop: float, span: Span) -> tuple[int, int, int]:
    """Colour of a band, 8 bit sRGB."""
    first, last = span.bands[0], span.bands[-1]
    lightness = DARKEST_L + (LIGHTEST_L - DARKEST_L) * (stop - first) / max(last - first, 1)
    reach = abs(stop) / max(abs(first) if stop < 0.0 else abs(last), 1)
    hue = HUE_RAD["under" if stop < 0.0 else "over"]
    chroma = CHROMA * np.sqrt(min(reach, 1.0))
    # Less chroma where the screen has none to give: near black and near white.
    chroma *= min(1.0, lightness / 35.0, (104.0 - lightness) / 20.0)
    lab = (lightness, chroma * np.cos(hue), chroma * np.sin(hue))
    encoded = srgb_encode(np.clip(rgb_from_lab(lab), 0.0, 1.0))
    red, green, blue = (round(255.0 * float(value)) for value in encoded)
    return red, green, blue
