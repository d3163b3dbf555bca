"""What balancing has to solve: the scene's targets as equations in the lights' contributions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from previz.measure.light.light import LightNumbers
from previz.measure.roles import (
    background_lights_of,
    cameras_on,
    fill_lights_of,
    guest_of,
)
from previz.model.meters import Targets
from previz.physics.colour import luminance
from previz.physics.exposure import MID_GREY_REFLECTANCE
from previz.physics.photometry import luminance_of_diffuse_cd_m2
from previz.stage.stage import Stage
from previz.units import ratio_to_stops, stops_to_ratio

KEEP_RATIO = 0.3
"""Weight of keeping key to fill when the scene asks for no ratio."""
FACE_FIRST = 20.0
"""Weight of the face: it is held before anything else is reached, to a few hundredths of a stop."""
FACE = "face"
WINDOW = "window/"


@dataclass(frozen=True, eq=False)
class Equation:
    """`given` and `wanted` are to be equal: coefficients by light, for its present setting."""

    target: str
    given: Mapping[str, float]
    wanted: Mapping[str, float]
    constant: float = 0.0
    weight: float = 1.0

    def off_stops(self, factors: Mapping[str, float]) -> float:
        """Stops by which `given` is over `wanted` when each light is `factors` times as strong."""
        got, want = self.sides(factors)
        return ratio_to_stops(max(got, 1e-12) / max(want, 1e-12))

    def sides(self, factors: Mapping[str, float]) -> tuple[float, float]:
        """Both sums."""
        got = sum(v * factors.get(k, 1.0) for k, v in self.given.items())
        want = sum(v * factors.get(k, 1.0) for k, v in self.wanted.items())
        return got, want + self.constant


@dataclass(frozen=True, eq=False)
class BalanceProblem:
    """What is to be solved.

    free     most that each light may be strengthened by: 100 % over its present dimmer
    windows  windows whose ND is free, with the density they have
    """

    camera: str
    subject: str
    equations: tuple[Equation, ...]
    free: Mapping[str, float]
    windows: Mapping[str, float]


def whom_for(stage: Stage, targets: Targets) -> tuple[str, str]:
    """The camera and the person that targets are for, told before any light is read.

    ValueError, a sentence, where there is nothing to balance, or nobody to balance for.
    """
    if not any((targets.face, targets.key_to_fill, targets.lighting_ratio, targets.background,
                targets.hair, targets.window)):  # fmt: skip
        raise ValueError("targets are empty; give face, key_to_fill, background, hair or window")
    subject = targets.subject or guest_of(stage)
    if subject is None:
        raise ValueError("no camera is on a person, so there is no face to balance for")
    on = cameras_on(stage, subject)
    camera = targets.camera or (on[0] if on else None)
    if camera is None or camera not in on:
        raise ValueError(f"camera {camera} is not on {subject}; name one in targets.camera that is")
    if targets.face and stage.setups[camera].auto:
        raise ValueError(
            f"camera {camera} sets itself for the face (exposure: auto), so there is nothing to "
            "balance the face for; give it iso and drop auto, or drop targets.face"
        )
    return camera, subject


def pose(stage: Stage, targets: Targets, light: LightNumbers) -> BalanceProblem:
    """The equations of the targets. ValueError, a sentence, when one cannot be solved."""
    camera, subject = whom_for(stage, targets)
    equations = tuple(_equations(targets, light, camera, subject))
    face = light.faces[subject]
    dedicated = fill_lights_of(stage, face.key, face.hair)
    asked = {equation.target for equation in equations}
    wanted = set()
    if asked & {FACE, "key_to_fill", "lighting_ratio"}:
        # Of what fills by chance, windows and lamps of the room, nothing is dimmed for the face.
        wanted |= {face.key, *(face.fill if len(face.fill) == 1 else dedicated)}
    if "hair" in asked:
        wanted.add(face.hair)
    if "background" in asked:
        wanted |= set(background_lights_of(stage, (face.key, face.hair, *dedicated)))
    free = {
        name: 100.0 / placed.setting.dimmer_pct
        for name, placed in stage.lights.items()
        if name in wanted and name in face.toward.illuminance_lx and placed.fixture.emits
    }
    windows = {}
    if "window" in {name.partition("/")[0] for name in asked}:
        seen = light.cameras[camera].frame.windows
        windows = {name: stage.room.openings[name].gel_nd for name in seen}
    return BalanceProblem(camera, subject, equations, free, windows)


def _equations(targets: Targets, light: LightNumbers, camera: str, subject: str) -> list[Equation]:
    exposure = light.cameras[camera]
    face = light.faces[subject]
    lux = light.readings.points[f"face/{subject}/{camera}"].by_light
    on_face = {name: float(luminance(rgb)) for name, rgb in lux.items()}
    card = {k: luminance_of_diffuse_cd_m2(v, MID_GREY_REFLECTANCE) for k, v in on_face.items()}
    key = {face.key: on_face[face.key]} if face.key in on_face else {}
    fill = {name: on_face[name] for name in face.fill if name in on_face}
    found = []
    if targets.face:
        right = exposure.set_for_lx * stops_to_ratio(targets.face.stops_over_grey)
        found.append(Equation(FACE, on_face, {}, right, FACE_FIRST))
    ratio = targets.key_to_fill or (targets.lighting_ratio or 0.0) - 1.0
    if ratio > 0.0:
        name = "key_to_fill" if targets.key_to_fill else "lighting_ratio"
        _need(key, "no key light is on", name)
        _need(fill, "no fill light is on", name)
        found.append(Equation(name, key, {k: ratio * v for k, v in fill.items()}))
        if not targets.face:
            # Nobody asked for another face, so the one there is stays.
            found.append(Equation("", on_face, {}, sum(on_face.values()), FACE_FIRST))
    elif key and fill and targets.face:
        present = face.key_to_fill or 1.0
        found.append(
            Equation("", key, {k: present * v for k, v in fill.items()}, weight=KEEP_RATIO)
        )
    if targets.background:
        region = exposure.frame.background
        _need(region, f"camera {camera} sees none", "background")
        assert region is not None
        down = stops_to_ratio(-targets.background.stops_under_key)
        found.append(
            Equation("background", region.luminance_cd_m2, {k: down * v for k, v in card.items()})
        )
    if targets.hair:
        _need(face.hair, "no light behind the subject is on", "hair")
        _need(key, "no key light is on", "hair")
        assert face.hair is not None
        reading = light.readings.points[f"hair/{subject}/{face.hair}"].by_light[face.hair]
        up = stops_to_ratio(targets.hair.stops_over_key)
        on_hair = {face.hair: float(luminance(reading))}
        found.append(Equation("hair", on_hair, {k: up * v for k, v in key.items()}))
    if targets.window:
        _need(exposure.frame.windows, f"no window is in the frame of camera {camera}", "window")
        up = stops_to_ratio(targets.window.stops_over_key)
        for name, region in exposure.frame.windows.items():
            held = {k: up * v for k, v in card.items()}
            found.append(Equation(f"{WINDOW}{name}", region.luminance_cd_m2, held))
    return found


def _need(there: object, lacking: str, target: str) -> None:
    if not there:
        raise ValueError(
            f"targets.{target} cannot be met, {lacking}; bring one there, or drop the target"
        )
