"""The daylight of a scene: sun, sky and environment, and where they contradict one another."""

from __future__ import annotations

from collections.abc import Iterator

from previz.errors import Problem
from previz.model.scene import Scene
from previz.physics.sunlight import sun_cct_k
from previz.scenefile import Places
from previz.stage.backdrop import typical
from previz.stage.backdrop.kept import build_environment
from previz.stage.environment import Environment
from previz.stage.furnishing import wall_number
from previz.stage.placed import StageRoom
from previz.stage.stage import Array, Emitter, Stage
from previz.stage.sun import levels, sun_of, sun_stands

DUSK_DEG = (-12.0, 3.0)
NIGHT_DEG = -6.0
"""The sun's elevations that the words dusk and night allow, civil twilight ending at -6 degrees and
nautical at -12: from memory."""
LEAST_SHARE = 0.02
"""Of a window: where less of it lets the sun in, nobody says that it shines in: an estimate."""
PLACE_SEED = 7
"""Which garden, street or roofs lie outside: always the same ones. Another seed may fold a curtain
anew, but a tree more or less in a window is half a stop of light, which nobody asked for."""


def environment_of(scene: Scene) -> Environment:
    """What is seen through the windows, and the sun."""
    daylight = scene.daylight
    return build_environment(
        daylight.sky,
        levels(daylight).sky_lx,
        daylight.cct_k if daylight.cct_k is not None else typical(daylight.sky)[1],
        daylight.view,
        PLACE_SEED,
        sun_of(daylight, scene.room.north_bearing_deg),
    )


def daylight_problems(scene: Scene, places: Places) -> Iterator[Problem]:
    """A sky that the sun's height there and then makes impossible."""
    daylight = scene.daylight
    stands = sun_stands(daylight)
    if stands is None:
        return
    height = stands.elevation_deg
    said = (
        f"the sun stands {height:.1f} deg over the horizon"
        if height >= 0.0
        else f"the sun stands {-height:.1f} deg below the horizon"
    )
    low, high = DUSK_DEG
    wrong = {
        "clear": height <= 0.0,
        "overcast": height <= 0.0,
        "dusk": not low <= height <= high,
        "night": height > NIGHT_DEG,
    }[daylight.sky]
    if wrong:
        source = "sun" if daylight.sun is not None else "at"
        yield Problem(
            places.of("daylight", "sky"),
            f"daylight.sky: {daylight.sky}, but by daylight.{source} {said}; "
            f"there the sky is {_fitting(height)}",
        )


def daylight_notes(scene: Scene, stage: Stage) -> Iterator[str]:
    """A sentence on where the sun stands, what falls outdoors and which windows it shines in at."""
    stands = sun_stands(scene.daylight)
    if stands is None or stage.environment is None:
        return
    sun, light = stage.environment.sun, levels(scene.daylight)
    way = "high" if stands.elevation_deg >= 0.0 else "down"
    said = f"sun: {abs(stands.elevation_deg):.1f} deg {way} at bearing {stands.bearing_deg:.0f}; "
    if sun is None:
        yield f"{said}{scene.daylight.sky} sky, {light.sky_lx:,.0f} lx outdoors"
        return
    through = [
        emitter.layer
        for emitter in stage.emitters
        if emitter.window and _past_the_reveal(emitter, stage.room, sun.direction) > LEAST_SHARE
    ]
    yield (
        f"{said}{light.sky_lx + sun.horizontal_lx:,.0f} lx outdoors, {sun.normal_lx:,.0f} lx on "
        f"what faces it, {sun_cct_k(stands.elevation_deg):.0f} K; it shines in by "
        f"{', '.join(through) if through else 'no window'}"
    )


def _past_the_reveal(window: Emitter, room: StageRoom, sun: Array) -> float:
    """Share of a window's hole through which the sun passes the depth of its wall, 0 to 1.

    `sun` (3,) points to it. Geometry of a box: the hole's image, moved sideways by its depth.
    """
    shape = window.shape
    ahead = -float(shape.direction @ sun)
    opening = room.openings.get(window.layer)
    if ahead <= 0.0 or opening is None or opening.kind != "window":
        return float(ahead > 0.0)
    wall = room.walls[wall_number(opening.wall)]
    from_wall = shape.position_m[:2] - wall.left_m
    deep_m = -float(from_wall @ wall.inward)
    across_m, up_m = (deep_m * abs(float(shape.pose[:3, k] @ sun)) / ahead for k in (0, 1))
    wide, tall = opening.width_m, opening.height_m
    return max(1.0 - across_m / wide, 0.0) * max(1.0 - up_m / tall, 0.0)


def _fitting(height: float) -> str:
    if height > DUSK_DEG[1]:
        return "clear or overcast"
    if height > 0.0:
        return "clear, overcast or dusk"
    if height > NIGHT_DEG:
        return "dusk"
    return "dusk or night" if height >= DUSK_DEG[0] else "night"
