"""From light to stop: the meter's two constants, EV, scene-linear scale, ND, speed, flicker.

Exposure uses the T-number throughout (an f-number stands in where a lens has no T mark).
The meter's constants are those of ISO 2720:1974, which was not read: figures from memory.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.physics.checks import not_negative, positive
from previz.units import ratio_to_stops

METER_CONSTANT_FLAT = 250.0
"""C of an incident meter with a flat receptor, lx s ISO: N^2/t = E S/C. ISO 2720:1974 allows
240 to 400; a dome reads as with 320 to 340."""
METER_CONSTANT_REFLECTED = 12.5
"""K of a reflected-light meter, cd s ISO / m2: N^2/t = L S/K; 14 is used as well. ISO 2720:1974
allows 10.6 to 13.4."""
MID_GREY_REFLECTANCE = 0.18
"""Common practice, no source."""
SPEEDS = (10.0, 12.5, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 64.0, 80.0)
DARKEST = 2.0**-30
"""Least quotient of two amounts of light that is told apart from none: an estimate, far below any
sensor's noise."""


# --- exposure value --------------------------------------------------------------------------


def ev100(stop: float, shutter_s: float, iso: float) -> float:
    """Exposure value at ISO 100 that the settings are right for: log2(N^2 / t * 100 / S).

    ISO 2720:1974, from memory. EV 0 is f/1 for one second at ISO 100.
    """
    return ratio_to_stops(
        positive("stop", stop) ** 2
        / positive("shutter_s", shutter_s)
        * 100.0
        / positive("iso", iso)
    )


# --- the meter's equation, solved for each of its terms --------------------------------------


def illuminance_for_stop_lx(
    stop: float, shutter_s: float, iso: float, nd_density: float = 0.0
) -> float:
    """Illuminance that the settings need: C N^2 / (S t) * 10^ND.

    The equation of an incident meter, ISO 2720:1974, from memory. Film at
    long times needs more (its reciprocity fails), and a lens focused very near loses light besides.
    """
    return (
        METER_CONSTANT_FLAT
        * positive("stop", stop) ** 2
        / (positive("iso", iso) * positive("shutter_s", shutter_s) * nd_transmittance(nd_density))
    )


def stop_for_illuminance(
    illuminance_lx: float, shutter_s: float, iso: float, nd_density: float = 0.0
) -> float:
    """T-number an incident meter gives, sqrt(E S t 10^-ND / C): ISO 2720:1974, from memory."""
    return math.sqrt(
        positive("illuminance_lx", illuminance_lx)
        / illuminance_for_stop_lx(1.0, shutter_s, iso, nd_density)
    )


def shutter_for_illuminance_s(
    illuminance_lx: float, stop: float, iso: float, nd_density: float = 0.0
) -> float:
    """Exposure time for light and stop, C N^2 / (E S) * 10^ND: ISO 2720:1974, from memory."""
    return illuminance_for_stop_lx(stop, 1.0, iso, nd_density) / positive(
        "illuminance_lx", illuminance_lx
    )


def iso_for_illuminance(
    illuminance_lx: float, stop: float, shutter_s: float, nd_density: float = 0.0
) -> float:
    """Speed for light and stop, C N^2 / (E t) * 10^ND: ISO 2720:1974, from memory."""
    return illuminance_for_stop_lx(stop, shutter_s, 1.0, nd_density) / positive(
        "illuminance_lx", illuminance_lx
    )


def marked_iso(iso: float) -> float:
    """The speed that a camera can be set to next to `iso`: thirds of a stop, 100 125 160 200 ...

    The series of tens R10 (ISO 3:1973, from memory), in which speeds have 64 for 63 and 32 for
    31.5 by common practice, no source.
    """
    tenths = round(10.0 * math.log10(positive("iso", iso)))
    decade, place = divmod(tenths, len(SPEEDS))
    return SPEEDS[place] * 10.0 ** (decade - 1)


def nd_for_illuminance(illuminance_lx: float, stop: float, shutter_s: float, iso: float) -> float:
    """Density that brings the light down to the settings; negative when there is too little.

    log10(E S t / (C N^2)): ISO 2720:1974, from memory.
    """
    needed = illuminance_for_stop_lx(stop, shutter_s, iso)
    return math.log10(positive("illuminance_lx", illuminance_lx) / needed)


# --- scene luminance to scene-linear values --------------------------------------------------


def scene_linear_scale(
    t_number: float, shutter_s: float, iso: float, nd_density: float = 0.0
) -> float:
    """Factor from cd/m2 to scene-linear values: pi t S 10^-ND / (C N^2).

    By definition here: a matt card of reflectance rho in the light an incident meter (ISO
    2720:1974, from memory) reads comes out as rho, so an 18 % card as 0.18, when the settings
    are the meter's.
    """
    return (
        math.pi
        * positive("shutter_s", shutter_s)
        * positive("iso", iso)
        * nd_transmittance(nd_density)
        / (METER_CONSTANT_FLAT * positive("t_number", t_number) ** 2)
    )


def stops_over_grey(scene_linear: ArrayLike, darkest: float = DARKEST) -> NDArray[np.float64]:
    """Stops by which scene-linear values (any shape) lie over (negative: under) mid grey.

    log2 of the value over that of an 18 % card, which is mid grey by common practice, no source.
    `darkest` as in `floored_stops`.
    """
    over = np.asarray(scene_linear, dtype=np.float64) / MID_GREY_REFLECTANCE
    return floored_stops(over, darkest)


def floored_stops(ratio: ArrayLike, darkest: float = DARKEST) -> NDArray[np.float64]:
    """Stops of quotients (any shape) of two amounts of light: the definition of a stop, log2.

    As `units.ratio_to_stops`, for what may be black: a quotient below `darkest` counts as that.
    """
    return np.asarray(np.log2(np.maximum(np.asarray(ratio, dtype=np.float64), darkest)))


# --- neutral density -------------------------------------------------------------------------


def nd_transmittance(density: float) -> float:
    """Share of light passed, 10^-D, so densities of stacked filters add.

    The definition of optical density, ISO 5-1 (number from memory). What surfaces of stacked
    filters mirror to and fro is left out.
    """
    return math.pow(10.0, -not_negative("density", density))


def nd_stops(density: float) -> float:
    """Stops lost, D / log10(2), so the 0.3 of the trade is 0.997 stop. From the definition of
    optical density, ISO 5-1 (number from memory)."""
    return not_negative("density", density) / math.log10(2.0)


def nd_density_for_stops(stops: float) -> float:
    """Density that loses exactly `stops`: the inverse of `nd_stops`, from the definition of
    optical density, ISO 5-1 (number from memory)."""
    return not_negative("stops", stops) * math.log10(2.0)


# --- time ------------------------------------------------------------------------------------


def slow_motion_factor(capture_fps: float, playback_fps: float) -> float:
    """How many times longer the action lasts on screen, by definition: capture rate over
    playback rate, both in frames a second."""
    return positive("capture_fps", capture_fps) / positive("playback_fps", playback_fps)


def frame_rate_cost_stops(fps: float, base_fps: float) -> float:
    """Stops lost by going from `base_fps` to `fps` at the same shutter angle.

    By the definition of a stop: the time a frame is exposed goes with 1 / fps.
    """
    return ratio_to_stops(positive("fps", fps) / positive("base_fps", base_fps))


def flicker_safe_shutters_s(mains_hz: float, fps: float) -> tuple[float, ...]:
    """Exposure times, longest first, that hold whole pulses of mains light: k / (2 f) <= 1 / fps.

    Geometry of time: mains light pulses at twice the mains frequency (50 or 60 Hz), for power
    goes with the square of a sine. Empty when a frame is shorter than one pulse; then frames
    differ unless the light runs on high-frequency or direct current.
    """
    pulse_s = 1.0 / (2.0 * positive("mains_hz", mains_hz))
    most = math.floor(1.0 / (positive("fps", fps) * pulse_s) + 1e-9)
    return tuple(k * pulse_s for k in range(most, 0, -1))


def is_flicker_safe(shutter_s: float, mains_hz: float, tolerance: float = 0.01) -> bool:
    """Whether the time is a whole number of light pulses, within `tolerance` of one pulse.

    Pulses as in `flicker_safe_shutters_s`. Lights on direct or high-frequency current need no
    such shutter. The default of 1 %, an estimate, lets 1/59.94 s pass as 1/60 s.
    """
    pulses = positive("shutter_s", shutter_s) * 2.0 * positive("mains_hz", mains_hz)
    return round(pulses) >= 1 and abs(pulses - round(pulses)) <= tolerance
