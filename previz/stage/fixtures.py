"""What a fixture looks like on its stand, and where its emitting face is."""

from __future__ import annotations

import math
from typing import Any, Literal

from previz.geometry.furniture import parameters_of
from previz.geometry.gear.barn_doors import WIDE_OPEN, Leaves
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.gear.lamp_heads import (
    BulbHead,
    FresnelHead,
    HeadShape,
    LanternHead,
    PanelHead,
    SoftboxHead,
    TubeHead,
)
from previz.geometry.gear.panels import PanelShape
from previz.geometry.gear.stands import StandShape
from previz.geometry.once import build_furniture, build_light, build_panel, emitter_of
from previz.geometry.piece import Piece
from previz.model.lights import Light
from previz.model.records import Fixture
from previz.stage.placing import placed, turn_towards_deg
from previz.stage.stage import Array
from previz.stage.standing import stood

PanelKind = Literal["board", "diffusion", "flag"]
ROLLED = ("panel", "softbox", "fresnel")
"""Forms whose head turns about its own axis."""
Gear = tuple[tuple[Piece, ...], EmitterShape | None]


UPRIGHT_DEG = 45.0
"""A tube that is turned by more stands up: an estimate, halfway."""


def fixture_gear(
    fixture: Fixture, light: Light, position_m: Array, aim_m: Array, seed: int
) -> Gear:
    """Pieces in the world, and the emitting face if the fixture makes light."""
    if fixture.body is not None:
        return _practical(fixture, position_m, aim_m, seed)
    stand = _stand(fixture, light, position_m, aim_m)
    if not fixture.emits:
        return build_panel(_panel(fixture), position_m, aim_m, stand), None
    roll = math.radians(light.turn_deg) if fixture.form in ROLLED else 0.0
    built = build_light(_head(fixture, light), position_m, aim_m, stand, roll)
    return built.pieces, built.emitter


def _panel(fixture: Fixture) -> PanelShape:
    kinds: dict[str, PanelKind] = {"diffusion_frame": "diffusion", "flag": "flag"}
    return PanelShape(
        kind=kinds.get(fixture.form, "board"),
        width_m=fixture.width_m or 1.0,
        height_m=fixture.height_m or 1.0,
        face=fixture.material,
    )


def _head(fixture: Fixture, light: Light) -> HeadShape:
    width, height = fixture.width_m or 0.0, fixture.height_m or 0.0
    if fixture.form == "panel":
        return PanelHead(width_m=width, height_m=height)
    if fixture.form == "softbox":
        depth = min(0.55, 0.25 + 0.25 * max(width, height))
        grid = light.grid_deg is not None
        return SoftboxHead(width_m=width, height_m=height, depth_m=depth, grid=grid)
    if fixture.form == "fresnel":
        return FresnelHead(lens_diameter_m=fixture.diameter_m or 0.15, doors=leaves_of(light))
    if fixture.form == "lantern":
        return LanternHead(diameter_m=fixture.diameter_m or 0.6)
    if fixture.form == "tube":
        upright = is_upright(light)
        return TubeHead(
            length_m=fixture.length_m or 1.2, diameter_m=fixture.diameter_m or 0.04, upright=upright
        )
    return BulbHead(diameter_m=fixture.diameter_m or 0.06)


def is_upright(light: Light) -> bool:
    """Whether a tube stands up rather than lies."""
    return abs(light.turn_deg) > UPRIGHT_DEG


def leaves_of(light: Light) -> Leaves:
    """How a fresnel's barn doors stand."""
    doors = light.barn_doors
    if doors is None:
        return WIDE_OPEN
    return Leaves(
        top_rad=math.radians(doors.top_deg),
        bottom_rad=math.radians(doors.bottom_deg),
        left_rad=math.radians(doors.left_deg),
        right_rad=math.radians(doors.right_deg),
    )


def _stand(fixture: Fixture, light: Light, position_m: Array, aim_m: Array) -> StandShape | None:
    if light.stand == "none" or fixture.stand_footprint_m == 0.0:
        return None
    footprint = fixture.stand_footprint_m / 2.0
    if light.stand == "boom_arm":
        # The stand goes to the far side of the head, away from what it lights.
        away = position_m - aim_m
        heading = math.atan2(away[1], away[0])
        if light.boom_turn_deg is not None:
            heading = math.radians(light.boom_turn_deg - 90.0)
        return StandShape(kind="boom", footprint_m=footprint, boom_from_rad=heading, sandbag=True)
    return StandShape(kind="light", footprint_m=footprint, sandbag=True)


def _practical(fixture: Fixture, position_m: Array, aim_m: Array, seed: int) -> Gear:
    """A lamp of the room whose emitting middle is at `position_m`.

    A floor lamp and a pendant are made as high as that asks; a table lamp keeps its height
    and stands on whatever is below it.
    """
    shape = fixture.body
    assert shape is not None
    known, parameters = parameters_of(shape), _measures(fixture, seed)
    base = float(position_m[2]) - over_foot_m(fixture)
    if shape == "floor_lamp" and "height_m" in known:
        parameters["height_m"] = known["height_m"] + base
        base = 0.0
    face = emitter_of(shape, **parameters)
    assert face is not None
    matrix = placed(turn_towards_deg(position_m, aim_m), (position_m[0], position_m[1], base))
    pieces = stood(build_furniture(shape, **parameters), matrix)
    return pieces, EmitterShape(
        face.kind, matrix @ face.pose, face.width_m, face.height_m, face.radius_m, face.length_m
    )


def over_foot_m(fixture: Fixture) -> float:
    """Height of the emitting middle of a lamp of the room over its foot, as it is usually made."""
    assert fixture.body is not None
    usual = emitter_of(fixture.body, **_measures(fixture, 0))
    assert usual is not None
    return float(usual.position_m[2])


def _measures(fixture: Fixture, seed: int) -> dict[str, Any]:
    """What of a lamp's record its body has a measure for."""
    assert fixture.body is not None
    known = parameters_of(fixture.body)
    wanted = {"width_m": fixture.diameter_m, "shade_height_m": fixture.height_m, "seed": seed}
    return {key: value for key, value in wanted.items() if key in known and value}
