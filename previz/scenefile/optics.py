"""Cameras: does the lens have this focal length and stop, does the sensor have this mode?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from previz.model.records import Lens, Sensor
from previz.scenefile.view import View
from previz.scenefile.wording import Trail, listed, spoken

if TYPE_CHECKING:
    from previz.catalog import Catalog

_STOP_SLACK = 1.01
"""Marked stops are rounded: 4.4 for 4.37."""
_FOCAL_SLACK_MM = 0.05


def check_cameras(view: View, catalog: Catalog) -> None:
    """Sensor, mode, lens, stop, focus and frame rate of every camera."""
    for name in view.names("cameras"):
        sensor = _sensor(view, catalog, name)
        if sensor is not None:
            _check_mode(view, name, sensor)
        lens = lens_of(view, catalog, name)
        if lens is not None:
            _check_focal_length(view, name, lens)
            _check_stop(view, catalog, name, lens)
            check_focus_distance(view, name, lens, ("cameras", name, "focus_distance_m"))


def _sensor(view: View, catalog: Catalog, camera: str) -> Sensor | None:
    name = view.text("cameras", camera, "sensor")
    return catalog.sensor(name) if name in catalog.names("sensors") else None


def lens_of(view: View, catalog: Catalog, camera: str) -> Lens | None:
    """Record of the lens of a camera; None for one that nobody knows."""
    name = view.text("cameras", camera, "lens")
    return catalog.lens(name) if name in catalog.names("lenses") else None


def _check_mode(view: View, camera: str, sensor: Sensor) -> None:
    trail = ("cameras", camera, "mode")
    name, sensor_name = view.text(*trail), view.text("cameras", camera, "sensor")
    if name is None:
        return
    mode = sensor.modes.get(name)
    if mode is None:
        if view.given(*trail):
            view.say_no_such(trail, f"mode of {sensor_name}", tuple(sensor.modes))
        else:
            choices = listed(sensor.modes)
            view.say(trail, f"{sensor_name} has no mode {name}; give {choices}")
        return
    own = ("cameras", camera, "fps")
    rate = ("exposure", "fps") if view.lacking(*own) else own
    fps = view.number(*rate)
    if fps is not None and fps > mode.max_fps:
        fast = [n for n, m in sensor.modes.items() if m.max_fps >= fps]
        hint = f"; {listed(fast)} is fast enough" if fast else ""
        limit = f"camera {spoken(camera)} records up to {mode.max_fps:g} in mode {name}"
        view.say(rate, f"{limit}, found {fps:g}{hint}")


def _check_focal_length(view: View, camera: str, lens: Lens) -> None:
    trail = ("cameras", camera, "focal_length_mm")
    if not view.lacking(*trail):
        check_focal_length(view, camera, lens, trail)
    elif lens.is_zoom:
        low, high = lens.focal_length_mm
        lens_name = view.text("cameras", camera, "lens")
        view.say(trail, f"is missing; the zoom {lens_name} has {low:g} to {high:g}")


def check_focal_length(view: View, camera: str, lens: Lens, trail: Trail) -> None:
    """A focal length set at `trail` must be one that the lens of the camera has."""
    value, (low, high) = view.number(*trail), lens.focal_length_mm
    if value is None or low - _FOCAL_SLACK_MM <= value <= high + _FOCAL_SLACK_MM:
        return
    right = f"from {low:g} to {high:g}" if lens.is_zoom else f"{low:g}, or left out,"
    view.say_found(trail, f"{right} with the lens {view.text('cameras', camera, 'lens')}")


def _check_stop(view: View, catalog: Catalog, camera: str, lens: Lens) -> None:
    focal = set_focal_length(view, camera, lens)
    if focal is not None:
        check_stop(view, catalog, camera, lens, ("cameras", camera, "f_number"), focal)


def check_stop(
    view: View, catalog: Catalog, camera: str, lens: Lens, trail: Trail, focal_mm: float
) -> None:
    """A stop set at `trail` must be one that the lens has at a focal length."""
    stop = view.number(*trail)
    if stop is None:
        return
    widest, smallest = lens.widest_f_number(focal_mm), lens.min_iris_f_number
    if widest / _STOP_SLACK <= stop <= smallest * _STOP_SLACK:
        return
    lens_name = view.text("cameras", camera, "lens")
    at_focal = f" at {focal_mm:g} mm" if lens.is_zoom else ""
    view.say(
        trail,
        f"must be from {widest:.2g} to {smallest:g} with the lens {lens_name}{at_focal}, "
        f"found {stop:g}{_adapter_note(view, catalog, camera, widest)}",
    )


def set_focal_length(view: View, camera: str, lens: Lens) -> float | None:
    """The focal length set on a camera; None where that is not sound."""
    low, high = lens.focal_length_mm
    if not lens.is_zoom:
        return low
    value = view.number("cameras", camera, "focal_length_mm")
    in_range = value is not None and low - _FOCAL_SLACK_MM <= value <= high + _FOCAL_SLACK_MM
    return min(max(value, low), high) if value is not None and in_range else None


def _adapter_note(view: View, catalog: Catalog, camera: str, widest: float) -> str:
    """A reducer multiplies the f-number: people tend to write the result, not the setting."""
    name = view.text("cameras", camera, "adapter")
    if name is None or name not in catalog.names("adapters"):
        return ""
    result = widest * catalog.adapter(name).factor
    return f"; set the lens's own stop, {name} makes {widest:.2g} act as {result:.2g}"


def check_focus_distance(view: View, camera: str, lens: Lens, trail: Trail) -> None:
    """Close focus counts from the sensor, focus_distance_m from the pupil inside the barrel.

    Refused only when too near wherever in the barrel the pupil lies.
    """
    distance = view.number(*trail)
    nearest = lens.close_focus_m - lens.length_mm / 1000.0
    if distance is None or distance >= nearest:
        return
    lens_name = view.text("cameras", camera, "lens")
    view.say(
        trail,
        f"must be at least {nearest:.2f} with the lens {lens_name} (it focuses from "
        f"{lens.close_focus_m:g} m, counted from the sensor), found {distance:g}",
    )
