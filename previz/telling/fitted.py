"""What stands where and how it is set: which body, lens, lamp or seat, in words and in numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from previz.measure.setting_out.layout import Layout
from previz.measure.setting_out.rows import Row
from previz.model.lights import BarnDoors
from previz.stage.fixtures import ROLLED, is_upright
from previz.stage.placed import StageLight
from previz.stage.stage import StageCamera
from previz.telling.numbers import fixed, plain
from previz.telling.tape import Units, tape

FITTED_HEADS = ("what", "which", "set to")
"""Heads of the table on paper."""
FITTED_COLUMNS = (
    "item", "mode", "lens", "adapter", "iso", "fps", "shutter_deg", "nd_density", "stand",
    "roll_deg", "dimmer_pct", "cct_k", "beam_deg", "grid_deg", "gels", "door_top_deg",
    "door_bottom_deg", "door_left_deg", "door_right_deg", "eye_height_m", "head_top_m",
    "seat_with",
)  # fmt: skip
"""Heads of the table file; `item`, `lens` and `adapter` are said as the packing list says them."""
FITTED = (
    "Names are those of the packing list. Barn doors and roll are as seen from behind the light: a "
    "door at 0° lies along the axis, at 90° it is wide open. Dimmers are the light given, in per "
    "cent of full, not where the control stands."
)
"""How the table is read."""
DOORS = ("top", "bottom", "left", "right")
WITHOUT_STAND = "without a stand"


def fitted_cells(layout: Layout, row: Row, units: Units) -> tuple[str, str] | None:
    """Which thing it is, and how it is set; None for a row that says all by its place."""
    kind, _, name = row.name.partition(".")
    if kind == "cameras":
        return _which(layout, name), ", ".join(_of_camera(layout, name))
    if kind == "lights" and row.kind == "light":
        light = layout.stage.lights[name]
        return light.fixture.label, ", ".join(_of_light(light))
    if kind == "people":
        eyes, top = _heights_m(layout, name)
        said = f"eyes {tape(eyes, units)}, top of the head {tape(top, units)}"
        whose = layout.stage.people[name].seat_with
        beside = f"beside {whose.replace('_', ' ')}, on the same seat" if whose else "standing"
        return _seat(layout, name) or beside, said
    return None


def fitted_numbers(layout: Layout, row: Row) -> tuple[str, ...]:
    """The same under `FITTED_COLUMNS`; what a row does not have is empty."""
    kind, _, name = row.name.partition(".")
    told: Mapping[str, str] = {}
    if kind == "cameras":
        told = _camera_numbers(layout, name)
    elif kind == "lights" and row.kind == "light":
        told = _light_numbers(layout.stage.lights[name])
    elif kind == "people":
        eyes, top = _heights_m(layout, name)
        told = {
            "item": _seat(layout, name),
            "seat_with": layout.stage.people[name].seat_with or "",
            "eye_height_m": fixed(eyes, 3),
            "head_top_m": fixed(top, 3),
        }
    return tuple(told.get(column, "") for column in FITTED_COLUMNS)


def _which(layout: Layout, name: str) -> str:
    kit = layout.stage.setups[name].kit
    adapter = f"; {kit.adapter.label}" if kit.adapter else ""
    return f"{kit.sensor.label}, mode {kit.mode_name.replace('_', ' ')}; {kit.lens.label}{adapter}"


def _of_camera(layout: Layout, name: str) -> Iterator[str]:
    camera, setup = layout.stage.cameras[name], layout.stage.setups[name]
    yield f"ISO {plain(camera.iso, 0)}"
    yield f"{plain(camera.fps, 3)} fps"
    yield f"shutter {plain(_shutter_deg(camera), 1)}°"
    if camera.nd_density > 0.0:
        yield f"ND {plain(camera.nd_density, 2)}"
    if setup.support == "none":
        yield "without a tripod"


def _shutter_deg(camera: StageCamera) -> float:
    return 360.0 * camera.shutter_s * camera.fps


def _camera_numbers(layout: Layout, name: str) -> dict[str, str]:
    camera, setup = layout.stage.cameras[name], layout.stage.setups[name]
    kit = setup.kit
    return {
        "item": kit.sensor.label,
        "mode": kit.mode_name,
        "lens": kit.lens.label,
        "adapter": kit.adapter.label if kit.adapter else "",
        "iso": plain(camera.iso, 0),
        "fps": plain(camera.fps, 3),
        "shutter_deg": plain(_shutter_deg(camera), 2),
        "nd_density": plain(camera.nd_density, 3),
        "stand": setup.support,
    }


def _of_light(light: StageLight) -> Iterator[str]:
    setting = light.setting
    if light.fixture.emits:
        yield f"{plain(setting.dimmer_pct, 1)} %" if light.on else "off"
    if setting.cct_k is not None:
        yield f"{plain(setting.cct_k, 0)} K"
    if setting.beam_deg is not None:
        yield f"beam {plain(setting.beam_deg, 1)}°"
    if setting.grid_deg is not None:
        yield f"egg-crate {plain(setting.grid_deg, 1)}°"
    if setting.gels:
        yield f"gel {' + '.join(_gel(gel) for gel in setting.gels)}"
    if setting.barn_doors is not None:
        doors = (f"{side} {_turn(_door_deg(setting.barn_doors, side))}" for side in DOORS)
        yield f"barn doors {' '.join(doors)}"
    yield from _rolled(light)
    if not light.practical and not light.on_stand:
        yield WITHOUT_STAND
    elif setting.stand == "boom_arm":
        yield "on an arm over the set"


def _turn(value_deg: float) -> str:
    """An angle with a true minus."""
    return f"{plain(value_deg, 1)}°".replace("-", "\N{MINUS SIGN}")


def _gel(name: str) -> str:
    """A gel's name as people say it: `ND 0.6`."""
    return name.replace("nd_", "ND ").replace("_", " ")


def _rolled(light: StageLight) -> Iterator[str]:
    turn = _roll_deg(light)
    if light.fixture.form == "tube":
        yield "upright" if is_upright(light.setting) else "lying"
    elif turn:
        way = "clockwise" if turn > 0.0 else "counter-clockwise"
        yield f"rolled {plain(abs(turn), 1)}° {way}"


def _roll_deg(light: StageLight) -> float:
    """How far the head is turned about its axis, clockwise from behind; 0 for what only pans."""
    form, turn = light.fixture.form, light.setting.turn_deg
    if form == "tube":
        return 90.0 if is_upright(light.setting) else 0.0
    return math.remainder(turn, 360.0) if form in ROLLED else 0.0


def _door_deg(doors: BarnDoors, side: str) -> float:
    return float(getattr(doors, f"{side}_deg"))


def _light_numbers(light: StageLight) -> dict[str, str]:
    setting = light.setting
    told = {
        "item": light.fixture.label,
        "stand": setting.stand,
        "roll_deg": plain(_roll_deg(light), 2),
        "dimmer_pct": plain(100.0 * light.output, 2) if light.fixture.emits else "",
        "gels": " ".join(setting.gels),
    }
    for key in ("cct_k", "beam_deg", "grid_deg"):
        value = getattr(setting, key)
        told[key] = "" if value is None else plain(value, 1)
    if setting.barn_doors is not None:
        told |= {
            f"door_{side}_deg": plain(_door_deg(setting.barn_doors, side), 2) for side in DOORS
        }
    return told


def _seat(layout: Layout, name: str) -> str:
    seat = layout.stage.pieces.get(f"people.{name}.seat")
    return seat.label if seat else ""


def _heights_m(layout: Layout, name: str) -> tuple[float, float]:
    """Of the eyes and of the top of the head, hair and all."""
    marks = layout.stage.people[name].landmarks
    return float(marks["eyes"][2]), float(marks["hair_top"][2])
