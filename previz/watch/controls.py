"""What can be turned in the page, with its limits, from the scene and the records behind it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from previz.api.opening import OpenScene
from previz.model.cameras import Camera
from previz.model.records import Fixture, Lens
from previz.stage.stage import StageCamera
from previz.telling.numbers import marked
from previz.watch.overrides import Value

THIRDS = (
    0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6,
    6.3, 7.1, 8.0, 9.0, 10.0, 11.0, 13.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 29.0, 32.0,
)  # fmt: skip
"""Thirds of a stop as they are engraved and shown: common practice, no source."""
SPEEDS = (
    100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000,
    5000, 6400, 8000, 10000, 12800,
)  # fmt: skip
"""ISO in thirds of a stop, rounded as cameras show it: common practice, no source."""
SHUTTERS_DEG = (45.0, 72.0, 90.0, 144.0, 172.8, 180.0, 216.0, 270.0, 360.0)
"""Shutter angles that cameras offer; 144 and 172.8 at 24 frames do not flicker under mains of 60
and 50 Hz: common practice, no source."""
WHITES_K = (2500.0, 10000.0)
"""White balance that cameras offer: common practice, no source."""
CAMERA_ND = 2.4
WINDOW_ND = 2.4
"""Eight stops; more is not hung before a window or a lens indoors: an estimate."""
LOWEST_M, HIGHEST_M = 0.2, 3.0
"""Lens heights that a tripod or a box on the floor gives: an estimate."""
Control = dict[str, Any]


def controls_json(opened: OpenScene) -> dict[str, Any]:
    """By camera, by light, by window, and what all cameras share: lists of controls.

    A control has `path`, `label`, `unit`, `value` and one of: `low`, `high`, `step` (a slider),
    `choices` (a list to step through), `names` (a list of names), neither (a switch). `also` holds
    what must change with it.
    """
    scene = opened.scene
    return {
        "cameras": {n: [*_camera(n, camera, opened)] for n, camera in scene.cameras.items()},
        "lights": {
            name: [*_light(name, light.fixture.cct_k, opened)]
            for name, light in opened.stage.lights.items()
            if light.fixture.emits
        },
        "windows": {
            name: [_nd(f"openings.{name}.gel_nd", "ND gel", opening.gel_nd, WINDOW_ND)]
            for name, opening in scene.openings.items()
            if opening.kind == "window"
        },
        "shared": [_white(opened)],
    }


def lens_words(opened: OpenScene, camera: str) -> str:
    """What is set on a camera's lens: `50 mm, f/2.8`."""
    setup = opened.stage.setups[camera]
    return f"{marked(setup.focal_length_mm, 3)} mm, f/{marked(setup.f_number)}"


def _camera(name: str, camera: Camera, opened: OpenScene) -> Iterator[Control]:
    at, stage = f"cameras.{name}", opened.stage
    setup, placed = stage.setups[name], stage.cameras[name]
    lens = setup.kit.lens
    yield _focal(at, setup.focal_length_mm, lens) if lens.is_zoom else _primes(at, camera, opened)
    yield _stop(at, setup.f_number, setup.focal_length_mm, lens)
    yield _height(at, camera, placed, opened)
    yield _place(at, camera, placed)
    yield _choice(f"{at}.iso", "ISO", "", placed.iso, SPEEDS)
    shutter_deg = round(placed.shutter_s * placed.fps * 360.0, 3)
    yield _choice(f"{at}.shutter_deg", "Shutter", "°", shutter_deg, SHUTTERS_DEG)
    yield _nd(f"{at}.nd_density", "ND", placed.nd_density, CAMERA_ND)


def _focal(at: str, focal_length_mm: float, lens: Lens) -> Control:
    low, high = lens.focal_length_mm
    value = round(focal_length_mm, 1)
    return _slider(f"{at}.focal_length_mm", "Focal length", "mm", value, (low, high, 0.5))


def _primes(at: str, camera: Camera, opened: OpenScene) -> Control:
    """Lenses of one focal length, shortest first. Each keeps the stop that it can."""
    found = {
        name: opened.catalog.lens(name)
        for name in opened.catalog.names("lenses")
        if not opened.catalog.lens(name).is_zoom
    }
    ordered = sorted(found, key=lambda name: (found[name].focal_length_mm[0], name))
    return {
        "path": f"{at}.lens",
        "label": "Lens",
        "unit": "",
        "value": camera.lens,
        "names": [[name, found[name].label] for name in ordered],
    }


def _stop(at: str, f_number: float, focal_length_mm: float, lens: Lens) -> Control:
    widest, smallest = lens.widest_f_number(focal_length_mm), lens.min_iris_f_number
    stops = [widest, *(stop for stop in THIRDS if widest * 1.02 < stop <= smallest)]
    return _choice(f"{at}.f_number", "Stop", "f/", f_number, tuple(round(s, 2) for s in stops))


def _height(at: str, camera: Camera, placed: StageCamera, opened: OpenScene) -> Control:
    room_m = opened.scene.room.height_m
    high = HIGHEST_M if room_m is None else min(HIGHEST_M, room_m - 0.1)
    value = round(float(placed.position_m[2]), 2)
    also: dict[str, Value] = {f"{at}.place.height": None} if camera.place.height else {}
    path = f"{at}.place.height_m"
    return _slider(path, "Height", "m", value, (LOWEST_M, round(high, 2), 0.01), also)


def _place(at: str, camera: Camera, placed: StageCamera) -> Control:
    """Where it stands in plan: two numbers. One placed by its frame then stands by number."""
    framed = ("frame", "from_deg", "headroom_pct", "look_room_pct")
    given = [key for key in framed if getattr(camera.place, key) is not None]
    return {
        "path": f"{at}.place.at_m",
        "label": "Place",
        "unit": "m",
        "value": [round(float(v), 3) for v in placed.position_m[:2]],
        "also": {f"{at}.place.{key}": None for key in given},
        "step": 0.05,
    }


def _light(name: str, cct_k: tuple[float, float] | None, opened: OpenScene) -> Iterator[Control]:
    light = opened.stage.lights[name]
    at, setting = f"lights.{name}", light.setting
    yield {"path": f"{at}.on", "label": "On", "unit": "", "value": setting.on}
    yield _slider(f"{at}.dimmer_pct", "Dimmer", "%", setting.dimmer_pct, (0.0, 100.0, 1.0))
    if cct_k is not None and cct_k[0] < cct_k[1]:
        value = _cct_k(setting.cct_k, light.fixture)
        yield _slider(f"{at}.cct_k", "Colour", "K", value, (*cct_k, 50.0))


def _cct_k(set_k: float | None, fixture: Fixture) -> float:
    return set_k if set_k is not None else (fixture.default_cct_k or 0.0)


def _white(opened: OpenScene) -> Control:
    balance = opened.scene.exposure.white_balance
    at = "exposure.white_balance"
    also: dict[str, Value] = {} if balance.card is None else {f"{at}.card": None}
    value = balance.cct_k if balance.cct_k is not None else 5600.0
    found = _slider(f"{at}.cct_k", "White balance", "K", value, (*WHITES_K, 50.0), also)
    return found | {"note": f"by a card at {balance.card}" if balance.card else ""}


def _nd(path: str, label: str, value: float, high: float) -> Control:
    return _slider(path, label, "", value, (0.0, high, 0.1))


def _slider(
    path: str,
    label: str,
    unit: str,
    value: float,
    span: tuple[float, float, float],
    also: dict[str, Value] | None = None,
) -> Control:
    low, high, step = span
    return {
        "path": path,
        "label": label,
        "unit": unit,
        "value": value,
        "low": min(low, value),
        "high": max(high, value),
        "step": step,
        "also": also or {},
    }


def _choice(path: str, label: str, unit: str, value: float, choices: tuple[float, ...]) -> Control:
    """Steps to go through, with the present value among them."""
    steps = sorted({*choices, value})
    return {"path": path, "label": label, "unit": unit, "value": value, "choices": steps}
