"""Cameras: does the lens have this focal length and stop, does the sensor have this mode?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from previz.model.records import Lens, Sensor
from previz.scenefile.view import View
from previz.scenefile.wording import listed, spoken

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
        lens = _lens(view, catalog, name)
        if lens is not None:
            _check_focal_length(view, name, lens)
            _check_stop(view, catalog, name, lens)
            _check_focus(view, name, lens)


def _sensor(view: View, catalog: Catalog, camera: str) -> Sensor | None:
    name = view.text("cameras", camera, "sensor")
    return catalog.sensor(name) if name in catalog.names("sensors") else None


def _lens(view: View, catalog: Catalog, camera: str) -> Lens | None:
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
    lens_name = view.text("cameras", camera, "lens")
    low, high = lens.focal_length_mm
    if view.lacking(*trail):
        if lens.is_zoom:
            view.say(trail, f"is missing; the zoom {lens_name} has {low:g} to {high:g}")
        return
    value = view.number(*trail)
    if value is None or low - _FOCAL_SLACK_MM <= value <= high + _FOCAL_SLACK_MM:
        return
    right = f"from {low:g} to {high:g}" if lens.is_zoom else f"{low:g}, or left out,"
    view.say_found(trail, f"{right} with the lens {lens_name}")


def _check_stop(view: View, catalog: Catalog, camera: str, lens: Lens) -> None:
    trail = ("cameras", camera, "f_number")
    stop, focal = view.number(*trail), _set_focal_length(view, camera, lens)
    if stop is None or focal is None:
        return
    widest, smallest = lens.widest_f_number(focal), lens.min_iris_f_number
    if widest / _STOP_SLACK <= stop <= smallest * _STOP_SLACK:
        return
    lens_name = view.text("cameras", camera, "lens")
    at_focal = f" at {focal:g} mm" if lens.is_zoom else ""
    view.say(
        trail,
        f"must be from {widest:.2g} to {smallest:g} with the lens {lens_name}{at_focal}, "
        f"found {stop:g}{_adapter_note(view, catalog, camera, widest)}",
    )


def _set_focal_length(view: View, camera: str, lens: Lens) -> float | None:
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


def _check_focus(view: View, camera: str, lens: Lens) -> None:
    """Close focus counts from the sensor, focus_distance_m from the pupil inside the barrel.

    Refused only when too near wherever in the barrel the pupil lies.
    """
    trail = ("cameras", camera, "focus_distance_m")
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
