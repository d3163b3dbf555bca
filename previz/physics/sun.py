"""Where the sun stands, and how bright it is: from place and time.

Angles in degrees, azimuth clockwise from north, elevation above the horizon; times must carry
their zone. The position follows Reda & Andreas (NREL/TP-560-34302) with the largest terms only:
within 4e-4 degree of the full algorithm for 1950 to 2050 (300 moments compared with pvlib), far
less than refraction near the horizon leaves open.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from previz.physics.checks import not_negative, positive, within
from previz.physics.orbit import LATITUDE, LONGITUDE, NUTATION, RADIUS, Term

DELTA_T_S = 69.0
"""Terrestrial time less universal time in the 2020s; 30 s off moves the sun by 4e-4 degree."""
HORIZON_DEG = -0.8333
"""Elevation of the sun's centre at rise and set: 34' of refraction and 16' of radius."""
ANGULAR_DIAMETER_DEG = 0.5332
"""Mean angular diameter of the sun: 2 x 959.63 arcseconds."""
EXTRATERRESTRIAL_LX = 127_500.0
"""Illuminance of the sun outside the air at 1 au. Illuminating Engineering Society,
"Recommended practice for the calculation of daylight availability", Journal of the IES 13, 1984."""
EXTINCTION = {"clear": 0.21, "partly_cloudy": 0.80}
"""Optical depth for light per air mass (as above). Under a cloudy sky no sun comes through."""


# --- position --------------------------------------------------------------------------------


@dataclass(frozen=True)
class SunPosition:
    """The sun at one place and moment.

    elevation_deg           true elevation of the centre, without refraction
    apparent_elevation_deg  as seen through the air
    azimuth_deg             clockwise from north, 0 to 360
    distance_au             from the Earth
    """

    elevation_deg: float
    apparent_elevation_deg: float
    azimuth_deg: float
    distance_au: float


def sun_position(
    when: datetime,
    latitude_deg: float,
    longitude_deg: float,
    altitude_m: float = 0.0,
    *,
    pressure_hpa: float = 1013.25,
    temperature_c: float = 12.0,
    delta_t_s: float = DELTA_T_S,
) -> SunPosition:
    """The sun over a place (north and east positive) at a moment with a time zone.

    Reda and Andreas, NREL/TP-560-34302, with the largest terms only: see the module for how near.
    ValueError for a moment without a zone or a place off the globe.
    """
    _check_place(latitude_deg, longitude_deg)
    sky = _geocentric(_julian_day(when), delta_t_s)
    hour = math.radians(sky.sidereal_deg + longitude_deg - sky.right_ascension_deg)
    declination = math.radians(sky.declination_deg)
    hour, declination = _seen_from_surface(
        hour, declination, math.radians(latitude_deg), altitude_m, sky.distance_au
    )
    elevation, azimuth = _horizontal(hour, declination, math.radians(latitude_deg))
    true = math.degrees(elevation)
    return SunPosition(
        elevation_deg=true,
        apparent_elevation_deg=true + _refraction_deg(true, pressure_hpa, temperature_c),
        azimuth_deg=math.degrees(azimuth) % 360.0,
        distance_au=sky.distance_au,
    )


def _refraction_deg(
    elevation_deg: float, pressure_hpa: float = 1013.25, temperature_c: float = 12.0
) -> float:
    """Lift by the air, degrees, at a true elevation: Saemundsson's formula.

    As in Meeus, "Astronomical Algorithms", 2nd edition, 1998 (from memory), and in
    NREL/TP-560-34302. 0 once the whole disc is below the horizon. Within 0.1' in standard air; the
    real horizon may differ by several minutes of arc.
    """
    if elevation_deg < HORIZON_DEG:
        return 0.0
    bent = math.radians(elevation_deg + 10.3 / (elevation_deg + 5.11))
    air = not_negative("pressure_hpa", pressure_hpa) / 1010.0 * 283.0 / (273.0 + temperature_c)
    return air * 1.02 / (60.0 * math.tan(bent))


# --- brightness ------------------------------------------------------------------------------


def air_mass(elevation_deg: float) -> float:
    """Air the light crosses, in vertical thicknesses, at an apparent elevation.

    Kasten and Young, "Revised optical air mass tables and approximation formula", 1989 (from
    memory). 1 at the zenith, 38 at the horizon; ValueError below it.
    """
    within("elevation_deg", elevation_deg, 0.0, 90.0)
    return 1.0 / (
        math.sin(math.radians(elevation_deg)) + 0.50572 * math.pow(elevation_deg + 6.07995, -1.6364)
    )


def direct_normal_illuminance_lx(
    elevation_deg: float, extinction: float = EXTINCTION["clear"], distance_au: float = 1.0
) -> float:
    """Illuminance of the sun on a receiver that faces it: 127.5 klx / d^2 exp(-c m).

    The recommended practice of the IES, 1984 (constants beside `EXTRATERRESTRIAL_LX`; form from
    memory), with the air mass of Kasten and Young in place of 1 / sin. The default extinction is
    a clear day's; haze takes far more, most of all low down. 0 when the sun is down.
    """
    if elevation_deg <= 0.0:
        return 0.0
    outside = EXTRATERRESTRIAL_LX / positive("distance_au", distance_au) ** 2
    depth = not_negative("extinction", extinction) * air_mass(elevation_deg)
    return outside * math.exp(-depth)


# --- the sky from the Earth's centre ---------------------------------------------------------


@dataclass(frozen=True)
class _Geocentric:
    right_ascension_deg: float
    declination_deg: float
    sidereal_deg: float
    distance_au: float


def _check_place(latitude_deg: float, longitude_deg: float) -> None:
    within("latitude_deg", latitude_deg, -90.0, 90.0)
    within("longitude_deg", longitude_deg, -180.0, 180.0)


def _julian_day(when: datetime) -> float:
    if when.utcoffset() is None:
        raise ValueError(f"{when.isoformat()} has no time zone")
    since = when - datetime(2000, 1, 1, 12, tzinfo=UTC)
    return 2451545.0 + since / timedelta(days=1)


def _geocentric(julian_day: float, delta_t_s: float) -> _Geocentric:
    """Apparent sun, sections 3.2 to 3.10 of the report."""
    days = julian_day - 2451545.0
    centuries = (days + delta_t_s / 86400.0) / 36525.0
    millennia = centuries / 10.0
    longitude = _series(LONGITUDE, millennia) + math.pi
    latitude = -_series(LATITUDE, millennia)
    distance = _series(RADIUS, millennia)
    wobble, tilt_change = _nutation_deg(centuries)
    tilt = math.radians(
        23.4392911111 - centuries * (0.0130025833 + centuries * 4.31e-8) + tilt_change
    )
    seen = longitude + math.radians(wobble - 20.4898 / 3600.0 / distance)
    right_ascension = math.atan2(
        math.sin(seen) * math.cos(tilt) - math.tan(latitude) * math.sin(tilt), math.cos(seen)
    )
    declination = math.asin(
        math.sin(latitude) * math.cos(tilt) + math.cos(latitude) * math.sin(tilt) * math.sin(seen)
    )
    equinoxes = wobble * math.cos(tilt)
    turn = 280.46061837 + 360.98564736629 * days + 3.87933e-4 * (days / 36525.0) ** 2
    return _Geocentric(
        right_ascension_deg=math.degrees(right_ascension),
        declination_deg=math.degrees(declination),
        sidereal_deg=turn % 360.0 + equinoxes,
        distance_au=distance,
    )


def _series(lists: Sequence[Sequence[Term]], millennia: float) -> float:
    total = 0.0
    for power, terms in enumerate(lists):
        part = sum(size * math.cos(phase + rate * millennia) for size, phase, rate in terms)
        total += part * millennia**power
    return total * 1e-8


def _nutation_deg(centuries: float) -> tuple[float, float]:
    """Nutation in longitude and in obliquity."""
    arguments = (
        297.85036 + 445267.111480 * centuries,
        357.52772 + 35999.050340 * centuries,
        134.96298 + 477198.867398 * centuries,
        93.27191 + 483202.017538 * centuries,
        125.04452 - 1934.136261 * centuries,
    )
    longitude = obliquity = 0.0
    for factors, along, across in NUTATION:
        angle = math.radians(sum(n * x for n, x in zip(factors, arguments, strict=True)))
        longitude += along * math.sin(angle)
        obliquity += across * math.cos(angle)
    return longitude / 3.6e7, obliquity / 3.6e7


# --- and from its surface --------------------------------------------------------------------


def _seen_from_surface(
    hour: float, declination: float, latitude: float, altitude_m: float, distance_au: float
) -> tuple[float, float]:
    """Hour angle and declination, radians, with parallax; section 3.12 of the report."""
    parallax = math.radians(8.794 / 3600.0 / distance_au)
    flat = 0.99664719
    reduced = math.atan(flat * math.tan(latitude))
    height = altitude_m / 6378140.0
    x = math.cos(reduced) + height * math.cos(latitude)
    y = flat * math.sin(reduced) + height * math.sin(latitude)
    across = math.cos(declination) - x * math.sin(parallax) * math.cos(hour)
    shift = math.atan2(-x * math.sin(parallax) * math.sin(hour), across)
    lowered = math.atan2((math.sin(declination) - y * math.sin(parallax)) * math.cos(shift), across)
    return hour - shift, lowered


def _horizontal(hour: float, declination: float, latitude: float) -> tuple[float, float]:
    """Elevation and azimuth, radians, of an hour angle and declination."""
    east = -math.cos(declination) * math.sin(hour)
    north = math.sin(declination) * math.cos(latitude) - math.cos(declination) * math.cos(
        hour
    ) * math.sin(latitude)
    up = math.sin(declination) * math.sin(latitude) + math.cos(declination) * math.cos(
        hour
    ) * math.cos(latitude)
    return math.atan2(up, math.hypot(east, north)), math.atan2(east, north)
