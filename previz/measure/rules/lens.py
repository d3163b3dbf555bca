"""Findings on lens and shutter: what the glass cannot do, what is not sharp, what flickers."""

from __future__ import annotations

import math
from collections.abc import Iterator

from previz.measure.measured import CameraNumbers, Measured
from previz.measure.rules.findings import CATALOGUE, GEOMETRY, Finding
from previz.physics import exposure, optics

TWICE_IN_WORDS = 1.25
"""A smaller change of speed is told in per cent, as 24 in 25 frames a second: an estimate."""
FLICKER_SOURCE = "light follows twice the mains frequency; closed form"


def lens_findings(measured: Measured) -> Iterator[Finding]:
    """What each camera's lens and shutter cannot do."""
    for name, numbers in measured.cameras.items():
        yield from _close_focus(name, numbers)
        yield from _image_circle(name, numbers)
        yield from _eyes_sharp(name, numbers)
        yield from _diffraction(name, numbers)
        yield from _slow_motion(name, numbers, measured)
        yield from _flicker(name, measured)


def _close_focus(name: str, numbers: CameraNumbers) -> Iterator[Finding]:
    o = numbers.optics
    if o.focus_from_sensor_m < o.close_focus_m:
        short = o.close_focus_m - o.focus_from_sensor_m
        yield Finding(
            "close_focus",
            "fault",
            f"cameras.{name}",
            f"camera {name} is {o.focus_from_sensor_m:.2f} m from what it focuses on and its lens "
            f"focuses from {o.close_focus_m:.2f} m: move it back by {short:.2f} m or change the "
            "lens",
            o.focus_from_sensor_m,
            o.close_focus_m,
            "m",
            CATALOGUE,
        )


def _image_circle(name: str, numbers: CameraNumbers) -> Iterator[Finding]:
    o = numbers.optics
    if o.image_circle_mm < o.mode_diagonal_mm - 0.05:
        yield Finding(
            "image_circle",
            "fault",
            f"cameras.{name}",
            f"the lens of camera {name} covers {o.image_circle_mm:.1f} mm and this mode reads "
            f"{o.mode_diagonal_mm:.1f} mm: corners go dark; choose a smaller mode or a larger lens",
            o.image_circle_mm,
            o.mode_diagonal_mm,
            "mm",
            CATALOGUE,
        )


def _eyes_sharp(name: str, numbers: CameraNumbers) -> Iterator[Finding]:
    o = numbers.optics
    if numbers.framing is None or o.near_limit_m <= o.subject_distance_m <= o.far_limit_m:
        return
    limit = o.near_limit_m if o.subject_distance_m < o.near_limit_m else o.far_limit_m
    yield Finding(
        "eyes_out_of_focus",
        "fault",
        f"cameras.{name}",
        f"the eyes of {numbers.framing.subject} are {o.subject_distance_m:.2f} m from camera "
        f"{name}, whose depth of field runs from {o.near_limit_m:.2f} to {o.far_limit_m:.2f} m: "
        "focus on the eyes",
        o.subject_distance_m,
        limit,
        "m",
        GEOMETRY,
    )


def _diffraction(name: str, numbers: CameraNumbers) -> Iterator[Finding]:
    o = numbers.optics
    # Rounded down, so that who opens to it is under the limit.
    limit = math.floor(10.0 * o.diffraction_f_number) / 10.0
    if o.f_number > o.diffraction_f_number and f"{o.f_number:.1f}" != f"{limit:.1f}":
        yield Finding(
            "diffraction",
            "note",
            f"cameras.{name}",
            f"at f/{o.f_number:.3g} diffraction softens two pixels of the delivered picture of "
            f"camera {name}; open to f/{limit:.3g} or wider and use ND",
            o.f_number,
            o.diffraction_f_number,
            "f-number",
            "Airy 1835",
        )


def _slow_motion(name: str, numbers: CameraNumbers, measured: Measured) -> Iterator[Finding]:
    base, fps = measured.stage.programme.fps, measured.stage.cameras[name].fps
    if fps == base:
        return
    factor = exposure.slow_motion_factor(fps, base)
    cost = exposure.frame_rate_cost_stops(fps, base)
    crop = numbers.kit.sensor.width_mm / numbers.kit.mode.width_mm
    by = max(factor, 1.0 / factor)
    much = f"{by:.2g} times" if by >= TWICE_IN_WORDS else f"{100.0 * (by - 1.0):.2g} %"
    said = "slower" if factor > 1.0 else "faster"
    yield Finding(
        "slow_motion",
        "note",
        f"cameras.{name}",
        f"camera {name} runs at {fps:g} frames a second in a programme of {base:g}: "
        f"{much} {said}, {cost:+z.1f} stops of light needed, this "
        f"mode crops {crop:.2g} times",
        factor,
        None,
        "times",
        "closed form",
    )


def _flicker(name: str, measured: Measured) -> Iterator[Finding]:
    mains, setting = measured.stage.mains.frequency_hz, measured.stage.cameras[name]
    lamps = _mains_lamps(measured)
    if not lamps or exposure.is_flicker_safe(setting.shutter_s, mains):
        return
    safe = exposure.flicker_safe_shutters_s(mains, setting.fps)
    if safe:
        nearest = min(safe, key=lambda t: abs(t - setting.shutter_s))
        cure = f"set 1/{1.0 / nearest:.4g} s ({optics.shutter_deg(nearest, setting.fps):.4g} deg)"
    else:
        cure = "no shutter at this frame rate is safe, so use lights that do not follow the mains"
    yield Finding(
        "flicker",
        "warning",
        f"cameras.{name}",
        f"at 1/{1.0 / setting.shutter_s:.4g} s camera {name} may see {', '.join(lamps)} flicker on "
        f"{mains} Hz mains: {cure}",
        setting.shutter_s * 2.0 * mains,
        None,
        "pulses of light",
        FLICKER_SOURCE,
    )


def _mains_lamps(measured: Measured) -> list[str]:
    """Lamps of the room that are on: what drives film lights is made not to flicker."""
    lights = measured.stage.lights.values()
    return [light.name for light in lights if light.on and light.practical]
