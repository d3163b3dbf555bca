"""Who is key, fill, hair and background is told by what a light does, whatever it is called."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz import api
from previz.measure.roles import (
    background_lights_of,
    fill_lights_of,
    hair_light_of,
    key_light_of,
)

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = Path(__file__).parent / "bad_setups" / "base.yaml"
WORDS = "aim: guest, place: {{side: {}, azimuth_deg: {}, elevation_deg: 25, distance_m: {}}}"
LEFT = "fixture: panel_60x40, " + WORDS.format("camera_left", 40, 2)
RIGHT = "fixture: softbox_90, " + WORDS.format("camera_right", 45, 1.6)
BEHIND = "fixture: fresnel_150, " + WORDS.format("camera_left", 140, 2.2)
WALL = "fixture: panel_40, aim_m: [-1.5, 1.8, 1.2], place: {at_m: [-1.5, 0.9], height_m: 2.2}"


def roles(*lights: str) -> tuple[object, ...]:
    stage = api.open_scene(BASE, ("lights.key=null", *lights)).stage
    key, hair = key_light_of(stage), hair_light_of(stage, "guest")
    fill = fill_lights_of(stage, key, hair)
    return key, fill, hair, background_lights_of(stage, (key, hair, *fill))


@pytest.mark.parametrize("names", [("key", "fill", "hair", "wall"), ("a", "b", "c", "d"),
                                   ("bigsoft", "lowfill", "backedge", "key2")])  # fmt: skip
def test_a_light_has_its_part_under_any_name(names: tuple[str, str, str, str]):
    key, fill, hair, wall = names
    found = roles(
        f"lights.{key}={{{RIGHT}}}",
        f"lights.{fill}={{{LEFT}, dimmer_pct: 3}}",
        f"lights.{hair}={{{BEHIND}}}",
        f"lights.{wall}={{{WALL}}}",
    )
    assert found == (key, (fill,), hair, (wall,))


def test_the_role_that_the_scene_gives_goes_before_name_and_strength():
    strong, weak = f"lights.key={{{RIGHT}, role: fill}}", f"lights.b={{{LEFT}, role: key}}"
    assert roles(strong, weak)[:2] == ("b", ("key",))


def test_a_light_for_the_background_fills_nothing_though_it_is_aimed_at_the_guest():
    found = roles(f"lights.key={{{RIGHT}}}", f"lights.b={{{LEFT}, role: background}}")
    assert found == ("key", (), None, ("b",))
