"""What would reach a target that the kit as it stands cannot: closer, larger, another setting."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np

from previz.catalog import Catalog
from previz.geometry.gear.emitter import EmitterShape
from previz.measure.light.light import LightNumbers
from previz.model.lights import Light
from previz.model.records import Fixture
from previz.physics import emitters
from previz.physics.exposure import marked_iso, nd_density_for_stops
from previz.physics.optics import number_after_stops
from previz.solve.balance import REACHED_STOPS, TargetResult, price
from previz.solve.posing import FACE, BalanceProblem
from previz.stage.emission import beam_profile, behind_gels, emission, set_beam_deg, solid
from previz.stage.stage import Stage
from previz.units import ratio_to_stops, stops_to_ratio

NEAREST_M = 0.7
"""Nearer than this a soft light is in the frame or in the way: common practice, no source."""
LEAST_MOVE_M = 0.05
"""Nobody moves a light by less: common practice, no source."""
MOST_FIXTURES = 2
DARK_STOPS = 1.0
"""A window whose own light lies further under what is wanted holds nothing: an estimate."""


def cures(
    result: TargetResult,
    problem: BalanceProblem,
    factors: Mapping[str, float],
    density: Mapping[str, float],
    stage: Stage,
    catalog: Catalog,
    light: LightNumbers,
) -> tuple[str, ...]:
    """Sentences on what would reach a target, none when it is reached; on dark windows always."""
    kind, _, window = result.target.partition("/")
    if kind == "window" and window in stage.room.panes and _is_dark(result, problem, factors):
        return (
            f"it is dark outside: {window} mirrors the room and gives too little of its own to "
            "hold; film by day, or drop targets.window",
        )
    if result.reached:
        return ()
    face = light.faces[problem.subject]
    cost = tuple(_price(problem, result.target, density)) if kind not in (FACE, "window") else ()
    lamp = {FACE: face.key, "hair": face.hair, "key_to_fill": face.key}.get(kind)
    off = result.off_stops
    if kind == "window":
        return tuple(_window(window, off))
    if kind == "background":
        return (*_background(off), *cost)
    found: list[str] = []
    if off < 0.0 and lamp is not None and _at_full(lamp, problem, factors):
        found += _stronger(lamp, stops_to_ratio(-off), stage, catalog)
    if kind == FACE:
        found += _camera(problem.camera, off, stage)
    if kind in ("key_to_fill", "lighting_ratio"):
        found += _ratio(off, tuple(name for name in face.fill if name in stage.lights))
    return (*found, *cost)


def _price(problem: BalanceProblem, target: str, density: Mapping[str, float]) -> Iterator[str]:
    """What dimmers alone could do, if the face were not held first."""
    cost = price(problem, target, density)
    if cost is None:
        return
    if not cost.reached:
        yield "no setting of the dimmers gives it, whatever becomes of the face"
    elif abs(cost.face_stops) > REACHED_STOPS:
        side = "under" if cost.face_stops < 0.0 else "over"
        yield (
            f"the dimmers alone reach it only with the face {abs(cost.face_stops):.1f} stops {side}"
            ", which was held instead"
        )


def _at_full(lamp: str, problem: BalanceProblem, factors: Mapping[str, float]) -> bool:
    most = problem.free.get(lamp)
    return most is not None and factors.get(lamp, 1.0) > 0.98 * most


def _stronger(lamp: str, times: float, stage: Stage, catalog: Catalog) -> Iterator[str]:
    """Ways to get `times` as much from a light that is at full."""
    setting, own = stage.lights[lamp].setting, stage.lights[lamp].fixture
    emitter = next(e for e in stage.emitters if e.layer == lamp)
    target = stage.people[setting.aim].landmarks["eyes"] if setting.aim else None
    if target is None:
        return
    distance = float(np.linalg.norm(emitter.shape.position_m - target))
    nearer = distance / math.sqrt(times)
    if nearer >= NEAREST_M and distance - nearer >= LEAST_MOVE_M:
        yield f"bring {lamp} from {distance:.2f} m to about {nearer:.2f} m"
    if setting.ies is not None:
        return  # a measured light is no fixture of the catalogue, to be held against others
    present = axis_lux(own, setting, distance, catalog)
    better = []
    for name in catalog.names("fixtures"):
        other = catalog.fixture(name)
        if other.form == own.form and other.emits and name != setting.fixture:
            free = setting.model_copy(update={"fixture": name, "cct_k": None, "beam_deg": None})
            gain = axis_lux(other, free, distance, catalog) / present
            if gain >= times:
                better.append((gain, name))
    for gain, name in sorted(better)[:MOST_FIXTURES]:
        yield f"use {name} of the catalogue there, {ratio_to_stops(gain):+z.1f} stops"


def axis_lux(fixture: Fixture, light: Light, distance_m: float, catalog: Catalog) -> float:
    """Illuminance on a fixture's axis at full output behind the light's gels."""
    shape = face_of(fixture)
    gels = [catalog.gel(name) for name in light.gels]
    full = light.model_copy(update={"dimmer_pct": 100.0, "on": True})
    given = emission(fixture, full, shape, gels)
    profile = behind_gels(
        beam_profile(fixture, full.beam_deg), set_beam_deg(fixture, full.beam_deg), gels
    )
    flat = shape.kind in ("rectangle", "disc")
    return emitters.axis_illuminance_lx(
        solid(shape), given.luminance_cd_m2, distance_m, profile if flat else None
    )


def face_of(fixture: Fixture) -> EmitterShape:
    """The emitting face of a fixture of the catalogue, at the origin."""
    if fixture.form in ("lantern",):
        return EmitterShape("sphere", np.eye(4), radius_m=(fixture.diameter_m or 0.6) / 2.0)
    if fixture.form == "tube":
        radius = (fixture.diameter_m or 0.04) / 2.0
        return EmitterShape(
            "cylinder", np.eye(4), radius_m=radius, length_m=fixture.length_m or 1.2
        )
    if fixture.form == "fresnel":
        return EmitterShape("disc", np.eye(4), radius_m=(fixture.diameter_m or 0.15) / 2.0)
    width, height = fixture.width_m or 0.3, fixture.height_m or 0.3
    return EmitterShape("rectangle", np.eye(4), width_m=width, height_m=height)


def _camera(name: str, off: float, stage: Stage) -> Iterator[str]:
    camera = stage.cameras[name]
    if off < 0.0:
        yield (
            f"set camera {name} to ISO {marked_iso(camera.iso * stops_to_ratio(-off)):g}, or to "
            f"T{number_after_stops(camera.t_number, off):.2f}"
        )
    else:
        yield f"put ND {nd_density_for_stops(off):.1f} before camera {name}"


def _is_dark(result: TargetResult, problem: BalanceProblem, factors: Mapping[str, float]) -> bool:
    """Whether a window's own light, its film off or down as solved, lies well under the target."""
    window = result.target.partition("/")[2]
    equation = next(e for e in problem.equations if e.target == result.target)
    own = equation.given.get(window, 0.0) * factors.get(window, 1.0)
    wanted = equation.sides(factors)[1]
    return ratio_to_stops(max(own, 1e-12) / max(wanted, 1e-12)) < -DARK_STOPS


def _window(name: str, off: float) -> Iterator[str]:
    if off > 0.0:
        yield f"{name} needs {off:.1f} stops more ND than 1.8: close curtains or a blind before it"
        yield "raise the key by as much and stop the cameras down"


def _background(off: float) -> Iterator[str]:
    if off > 0.0:
        yield "flag the key off the background, or move subject and key away from it"
    else:
        yield "put a light on the background that has a dimmer of its own"


def _ratio(off: float, fill: tuple[str, ...]) -> Iterator[str]:
    names = " and ".join(fill) or "the fill"
    if off < 0.0:
        yield f"move {names} farther away, or hold a black flag on the shadow side"
    else:
        yield f"move {names} closer, or add a bounce board on the shadow side"
