"""Where the sun stands over a scene, and how bright and which colour it is there and then.

The sun shines under a clear sky only: through an overcast one it makes no shadow. Its light is
that of a clear day (`physics.sun`), a mean; haze and thin cloud take more, most of all low down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from previz.model.room import Daylight
from previz.physics.colour import luminance, rgb_from_xyz
from previz.physics.sky import horizontal_illuminance_lx
from previz.physics.sun import (
    ANGULAR_DIAMETER_DEG,
    direct_normal_illuminance_lx,
    sun_position,
)
from previz.physics.sunlight import sun_xyz
from previz.stage.backdrop import typical
from previz.stage.environment import Sun
from previz.stage.stage import Array

TWILIGHT_LX = (400.0, 3.4)
"""Level ground at sunset, and with the sun 6 degrees down (both from
memory). Between and beyond them the logarithm is taken to run straight."""
CIVIL_DEG = -6.0
"""End of civil twilight: from memory."""


@dataclass(frozen=True)
class SunStands:
    """Compass bearing and height of the sun as seen through the air, and its distance."""

    bearing_deg: float
    elevation_deg: float
    distance_au: float = 1.0


@dataclass(frozen=True)
class Levels:
    """Illuminance outdoors: of the sky on level ground, and of the sun on what faces it."""

    sky_lx: float
    sun_normal_lx: float


def sun_stands(daylight: Daylight) -> SunStands | None:
    """The sun by place and time, or as given in numbers; None where the scene says neither."""
    if daylight.sun is not None:
        return SunStands(daylight.sun.bearing_deg, daylight.sun.elevation_deg)
    if daylight.place is None or daylight.at is None:
        return None
    when = datetime.fromisoformat(daylight.at)
    there = sun_position(when, daylight.place.latitude_deg, daylight.place.longitude_deg)
    return SunStands(there.azimuth_deg, there.apparent_elevation_deg, there.distance_au)


def direction_to(stands: SunStands, north_bearing_deg: float) -> Array:
    """Unit vector (3,) to the sun in the world; `north_bearing_deg` is where plan north points."""
    around = math.radians(stands.bearing_deg - north_bearing_deg)
    up = math.radians(stands.elevation_deg)
    return np.array(
        [math.cos(up) * math.sin(around), math.cos(up) * math.cos(around), math.sin(up)]
    )


def levels(daylight: Daylight) -> Levels:
    """What lights the scene outdoors.

    `horizontal_lx` is all that falls on level ground, sun and sky; under a clear sky they share
    it as on a clear day with the sun so high. Without it the light follows the sun's height,
    and where the scene has no sun it is typical for the sky.
    """
    stands = sun_stands(daylight)
    given = daylight.horizontal_lx
    if stands is None:
        return Levels(typical(daylight.sky)[0] if given is None else given, 0.0)
    if daylight.sky != "clear":
        follows = _sky_lx(daylight, stands.elevation_deg)
        return Levels(follows if given is None else given, 0.0)
    up = math.radians(stands.elevation_deg)
    sky = horizontal_illuminance_lx("clear", up)
    sun = direct_normal_illuminance_lx(stands.elevation_deg, distance_au=stands.distance_au)
    total = sky + sun * max(math.sin(up), 0.0)
    share = 1.0 if given is None or total == 0.0 else given / total
    return Levels(share * sky, share * sun)


def _sky_lx(daylight: Daylight, elevation_deg: float) -> float:
    if daylight.sky == "overcast":
        return horizontal_illuminance_lx("cloudy", math.radians(elevation_deg))
    if daylight.sky == "dusk":
        sunset, civil = TWILIGHT_LX
        down = max(-elevation_deg, 0.0) / -CIVIL_DEG
        return max(float(sunset * (civil / sunset) ** down), typical("night")[0])
    return typical(daylight.sky)[0]


def sun_of(daylight: Daylight, north_bearing_deg: float) -> Sun | None:
    """The sun that shines into the scene; None when none does."""
    stands = sun_stands(daylight)
    normal_lx = levels(daylight).sun_normal_lx
    if stands is None or normal_lx <= 0.0:
        return None
    # What lies outside BT.709, a red sun at the horizon, is brought to its edge.
    rgb = np.maximum(rgb_from_xyz(sun_xyz(stands.elevation_deg)), 0.0)
    return Sun(
        direction=direction_to(stands, north_bearing_deg),
        normal_lx=normal_lx,
        rgb=np.asarray(rgb / luminance(rgb)),
        radius_rad=math.radians(ANGULAR_DIAMETER_DEG / 2.0),
    )
