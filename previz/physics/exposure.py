"""From light to stop: the meter's two constants, EV, scene-linear scale, ND, speed, flicker.

Exposure uses the T-number throughout (an f-number stands in where a lens has no T mark).
The meter's constants are those of ISO 2720:1974, the camera's those of ISO 12232; neither standard
was read, their figures are from memory.
"""

from __future__ import annotations

import math

from previz.physics.checks import not_negative, positive

METER_CONSTANT_FLAT = 250.0
"""C of an incident meter with a flat receptor, lx s ISO: N^2/t = E S/C. ISO 2720:1974 allows
240 to 400."""
METER_CONSTANT_DOME = 340.0
"""C in practice with a hemispherical receptor; 320 is used as well. ISO 2720:1974 allows 320
to 540 (as above)."""
METER_CONSTANT_REFLECTED = 12.5
"""K of a reflected-light meter, cd s ISO / m2: N^2/t = L S/K; 14 is used as well. ISO 2720:1974
allows 10.6 to 13.4."""
MID_GREY_REFLECTANCE = 0.18
"""Common practice, no source."""
SATURATION_CONSTANT = 78.0
"""H_sat = 78 / S lx s, ISO 12232 saturation-based speed."""
LENS_FACTOR = 0.65
"""q of ISO 12232: focal-plane illuminance x N^2 over scene luminance, from memory."""


# --- exposure value --------------------------------------------------------------------------


def ev100(stop: float, shutter_s: float, iso: float = 100.0) -> float:
    """Exposure value at ISO 100 that the settings are right for: log2(N^2 / t * 100 / S)."""
    return math.log2(
        positive("stop", stop) ** 2
        / positive("shutter_s", shutter_s)
        * 100.0
        / positive("iso", iso)
    )


def ev100_from_illuminance(
    illuminance_lx: float, meter_constant: float = METER_CONSTANT_FLAT
) -> float:
    """EV100 that an incident meter shows: log2(100 E / C); 2.5 lx is EV 0 with C = 250."""
    return math.log2(
        100.0
        * positive("illuminance_lx", illuminance_lx)
        / positive("meter_constant", meter_constant)
    )


def ev100_from_luminance(
    luminance_cd_m2: float, meter_constant: float = METER_CONSTANT_REFLECTED
) -> float:
    """EV100 that a reflected meter shows: log2(100 L / K); 0.125 cd/m2 is EV 0 with K = 12.5."""
    return math.log2(
        100.0
        * positive("luminance_cd_m2", luminance_cd_m2)
        / positive("meter_constant", meter_constant)
    )


def illuminance_from_ev100_lx(ev100: float, meter_constant: float = METER_CONSTANT_FLAT) -> float:
    """Illuminance of an EV100: C / 100 * 2^EV."""
    return positive("meter_constant", meter_constant) / 100.0 * math.exp2(ev100)


def luminance_from_ev100_cd_m2(
    ev100: float, meter_constant: float = METER_CONSTANT_REFLECTED
) -> float:
    """Luminance of an EV100: K / 100 * 2^EV."""
    return positive("meter_constant", meter_constant) / 100.0 * math.exp2(ev100)


# --- the meter's equation, solved for each of its terms --------------------------------------


def stop_for_illuminance(
    illuminance_lx: float,
    shutter_s: float,
    iso: float,
    nd_density: float = 0.0,
    meter_constant: float = METER_CONSTANT_FLAT,
) -> float:
    """T-number an incident meter gives: sqrt(E S t 10^-ND / C)."""
    light = positive("illuminance_lx", illuminance_lx) * nd_transmittance(nd_density)
    return math.sqrt(
        light
        * positive("iso", iso)
        * positive("shutter_s", shutter_s)
        / positive("meter_constant", meter_constant)
    )


def illuminance_for_stop_lx(
    stop: float,
    shutter_s: float,
    iso: float,
    nd_density: float = 0.0,
    meter_constant: float = METER_CONSTANT_FLAT,
) -> float:
    """Illuminance that the settings need: C N^2 / (S t) * 10^ND."""
    return (
        positive("meter_constant", meter_constant)
        * positive("stop", stop) ** 2
        / (positive("iso", iso) * positive("shutter_s", shutter_s) * nd_transmittance(nd_density))
    )


def luminance_for_stop_cd_m2(
    stop: float,
    shutter_s: float,
    iso: float,
    nd_density: float = 0.0,
    meter_constant: float = METER_CONSTANT_REFLECTED,
) -> float:
    """Luminance a reflected meter calls right for the settings: K N^2 / (S t) * 10^ND."""
    return illuminance_for_stop_lx(stop, shutter_s, iso, nd_density, meter_constant)


def shutter_for_illuminance_s(
    illuminance_lx: float,
    stop: float,
    iso: float,
    nd_density: float = 0.0,
    meter_constant: float = METER_CONSTANT_FLAT,
) -> float:
    """Exposure time for light and stop: C N^2 / (E S) * 10^ND."""
    return illuminance_for_stop_lx(stop, 1.0, iso, nd_density, meter_constant) / positive(
        "illuminance_lx", illuminance_lx
    )


def iso_for_illuminance(
    illuminance_lx: float,
    stop: float,
    shutter_s: float,
    nd_density: float = 0.0,
    meter_constant: float = METER_CONSTANT_FLAT,
) -> float:
    """Speed for light and stop: C N^2 / (E t) * 10^ND."""
    return illuminance_for_stop_lx(stop, shutter_s, 1.0, nd_density, meter_constant) / positive(
        "illuminance_lx", illuminance_lx
    )


def nd_for_illuminance(
    illuminance_lx: float,
    stop: float,
    shutter_s: float,
    iso: float,
    meter_constant: float = METER_CONSTANT_FLAT,
) -> float:
    """Density that brings the light down to the settings; negative when there is too little."""
    needed = illuminance_for_stop_lx(stop, shutter_s, iso, 0.0, meter_constant)
    return math.log10(positive("illuminance_lx", illuminance_lx) / needed)


def implied_reflectance(
    meter_constant_reflected: float = METER_CONSTANT_REFLECTED,
    meter_constant: float = METER_CONSTANT_FLAT,
) -> float:
    """Reflectance on which both kinds of meter agree, pi K / C: 15.7 % for 12.5 and 250, not 18."""
    return (
        math.pi
        * positive("meter_constant_reflected", meter_constant_reflected)
        / positive("meter_constant", meter_constant)
    )


# --- scene luminance to scene-linear values --------------------------------------------------


def scene_linear_scale(
    t_number: float,
    shutter_s: float,
    iso: float,
    nd_density: float = 0.0,
    meter_constant: float = METER_CONSTANT_FLAT,
) -> float:
    """Factor from cd/m2 to scene-linear values: pi t S 10^-ND / (C N^2).

    A matt card of reflectance rho in the light an incident meter reads comes out as rho, so an
    18 % card as 0.18, when the settings are the meter's.
    """
    return (
        math.pi
        * positive("shutter_s", shutter_s)
        * positive("iso", iso)
        * nd_transmittance(nd_density)
        / (positive("meter_constant", meter_constant) * positive("t_number", t_number) ** 2)
    )


def mid_grey_luminance_cd_m2(
    t_number: float,
    shutter_s: float,
    iso: float,
    nd_density: float = 0.0,
    meter_constant: float = METER_CONSTANT_FLAT,
) -> float:
    """Luminance that comes out as 0.18."""
    return MID_GREY_REFLECTANCE / scene_linear_scale(
        t_number, shutter_s, iso, nd_density, meter_constant
    )


def stops_over_grey(luminance_cd_m2: float, mid_grey_cd_m2: float) -> float:
    """Stops by which a luminance lies over (negative: under) mid grey; -inf for black."""
    if not_negative("luminance_cd_m2", luminance_cd_m2) == 0.0:
        return -math.inf
    return math.log2(luminance_cd_m2 / positive("mid_grey_cd_m2", mid_grey_cd_m2))


def saturation_luminance_cd_m2(
    stop: float,
    shutter_s: float,
    iso: float,
    nd_density: float = 0.0,
    lens_factor: float = LENS_FACTOR,
) -> float:
    """Luminance that clips a sensor rated by saturation: 78 / (S q) N^2 / t, 1.2 x 2^EV100.

    Source: ISO 12232, from memory. A camera rated otherwise (as most video
    cameras are) has its own headroom over mid grey: then use the sensor's stated range.
    """
    return (
        SATURATION_CONSTANT
        * positive("stop", stop) ** 2
        / (
            positive("iso", iso)
            * positive("lens_factor", lens_factor)
            * positive("shutter_s", shutter_s)
            * nd_transmittance(nd_density)
        )
    )


def saturation_exposure_lx_s(iso: float) -> float:
    """Focal-plane exposure that clips: 78 / S lx s (ISO 12232, saturation-based speed)."""
    return SATURATION_CONSTANT / positive("iso", iso)


def mid_tone_exposure_lx_s(iso: float) -> float:
    """Focal-plane exposure of a mid tone: 10 / S lx s (ISO 12232, from memory)."""
    return 10.0 / positive("iso", iso)


# --- neutral density -------------------------------------------------------------------------


def nd_transmittance(density: float) -> float:
    """Share of light passed: 10^-D. Densities of stacked filters add."""
    return math.pow(10.0, -not_negative("density", density))


def nd_density(transmittance: float) -> float:
    """Density of a filter by the share it passes (above 0, up to 1)."""
    if not 0.0 < transmittance <= 1.0:
        raise ValueError(f"transmittance must lie above 0 and up to 1, not {transmittance!r}")
    return -math.log10(transmittance)


def nd_stops(density: float) -> float:
    """Stops lost: D / log10(2), so the 0.3 of the trade is 0.997 stop."""
    return not_negative("density", density) / math.log10(2.0)


def nd_density_for_stops(stops: float) -> float:
    """Density that loses exactly `stops`."""
    return not_negative("stops", stops) * math.log10(2.0)


# --- time ------------------------------------------------------------------------------------


def slow_motion_factor(capture_fps: float, playback_fps: float) -> float:
    """How many times longer the action lasts on screen: capture rate over playback rate."""
    return positive("capture_fps", capture_fps) / positive("playback_fps", playback_fps)


def frame_rate_cost_stops(fps: float, base_fps: float) -> float:
    """Stops lost by going from `base_fps` to `fps` at the same shutter angle."""
    return math.log2(positive("fps", fps) / positive("base_fps", base_fps))


def flicker_safe_shutters_s(mains_hz: float, fps: float) -> tuple[float, ...]:
    """Exposure times, longest first, that hold whole pulses of mains light: k / (2 f) <= 1 / fps.

    Mains light pulses at twice the mains frequency (50 or 60 Hz). Empty when a frame is shorter
    than one pulse; then frames differ unless the light runs on high-frequency or direct current.
    """
    pulse_s = 1.0 / (2.0 * positive("mains_hz", mains_hz))
    most = math.floor(1.0 / (positive("fps", fps) * pulse_s) + 1e-9)
    return tuple(k * pulse_s for k in range(most, 0, -1))


def is_flicker_safe(shutter_s: float, mains_hz: float, tolerance: float = 0.01) -> bool:
    """Whether the time is a whole number of light pulses, within `tolerance` of one pulse.

    Lights on direct or high-frequency current need no such shutter. The default of 1 % lets
    1/59.94 s pass as 1/60 s.
    """
    pulses = positive("shutter_s", shutter_s) * 2.0 * positive("mains_hz", mains_hz)
    return round(pulses) >= 1 and abs(pulses - round(pulses)) <= tolerance


def flicker_ripple(shutter_s: float, mains_hz: float, modulation: float) -> float:
    """Peak-to-peak change of exposure over its mean, between frames that drift through the mains.

    `modulation` is the light's own depth, (max - min) / (max + min), taken as a sine at twice the
    mains frequency; integrating it over the shutter gives 2 m |sin(pi n) / (pi n)| for n pulses.
    """
    pulses = positive("shutter_s", shutter_s) * 2.0 * positive("mains_hz", mains_hz)
    return (
        2.0
        * not_negative("modulation", modulation)
        * abs(math.sin(math.pi * pulses) / (math.pi * pulses))
    )
