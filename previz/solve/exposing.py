"""What a camera on `exposure: auto` takes: ND and ISO for the light that is there.

Stop and shutter stay, for they make the picture: depth of field and motion. Too much light is
taken by whole sheets of ND and the rest by ISO; where it lacks, ND comes off and ISO goes up.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from previz.measure.light.light import ExposureLight, LightNumbers, set_for_lx
from previz.measure.light.whole import WholeFrame, whole_frame
from previz.model.meters import Targets
from previz.physics.exposure import iso_for_illuminance, marked_iso, nd_for_illuminance
from previz.stage.stage import Stage, StageCamera
from previz.units import ratio_to_stops, stops_to_ratio

SHEET_ND = 0.3
MOST_ND = 3.0
"""Ten stops, the darkest that is usual before a lens: common practice, no source."""
MOST_ISO = 12800.0
"""Noise shows above it in any sensor of the catalogue: an estimate."""
LEAST_ISO = 50.0
"""Few cameras go lower: an estimate."""


@dataclass(frozen=True)
class Taken:
    """What one camera took, and stops by which it is still over (under) what was wanted."""

    t_number: float
    iso: float
    nd_density: float
    off_stops: float


def exposed_alone(
    stage: Stage, light: LightNumbers, targets: Targets
) -> tuple[Stage, dict[str, Taken]]:
    """The stage with its cameras on auto set for the light, and what each of them took.

    A camera on a person is set for the face, as `targets.face` wants it; another one for the mean
    of its frame. Dark frames stay as they are.
    """
    cameras, taken = dict(stage.cameras), {}
    for name, setup in stage.setups.items():
        if not setup.auto:
            continue
        camera = stage.cameras[name]
        frame = whole_frame(camera, light.readings.pictures[name].beauty)
        wanted = _wanted_lx(camera, light.cameras[name], frame, targets)
        if wanted is not None:
            cameras[name], taken[name] = _set(camera, wanted)
    return replace(stage, cameras=cameras), taken


def _wanted_lx(
    camera: StageCamera, exposure: ExposureLight, frame: WholeFrame, targets: Targets
) -> float | None:
    if exposure.judged_lx is not None:
        over = targets.face.stops_over_grey if targets.face else 0.0
        return exposure.judged_lx / stops_to_ratio(over) if exposure.judged_lx > 0.0 else None
    return set_for_lx(camera) * stops_to_ratio(frame.mean_stops)


def _set(camera: StageCamera, wanted_lx: float) -> tuple[StageCamera, Taken]:
    """A camera set for so much light, from the ISO that the scene has."""
    t_number, time_s = camera.t_number, camera.shutter_s
    density = nd_for_illuminance(wanted_lx, t_number, time_s, camera.iso)
    # Down to the next sheet: the rest, less than a stop, is taken by ISO.
    nd = SHEET_ND * math.floor(min(max(density, 0.0), MOST_ND) / SHEET_ND + 1e-6)
    iso = marked_iso(iso_for_illuminance(wanted_lx, t_number, time_s, nd))
    iso = min(max(iso, LEAST_ISO), MOST_ISO)
    done = replace(camera, iso=iso, nd_density=round(nd, 1))
    off = ratio_to_stops(wanted_lx / set_for_lx(done))
    return done, Taken(t_number, iso, round(nd, 1), off)


def cure_of(camera: StageCamera, frame: WholeFrame) -> Mapping[str, float]:
    """ISO, ND and T-number that, each alone, bring a frame's mean to mid grey, where they can."""
    lux = set_for_lx(camera) * stops_to_ratio(frame.mean_stops)
    t_number, time_s, nd = camera.t_number, camera.shutter_s, camera.nd_density
    iso = marked_iso(iso_for_illuminance(lux, t_number, time_s, nd))
    density = nd_for_illuminance(lux, t_number, time_s, camera.iso)
    found = {}
    if LEAST_ISO <= iso <= MOST_ISO:
        found["iso"] = iso
    if density >= 0.0:
        found["nd_density"] = SHEET_ND * round(density / SHEET_ND)
    found["t_number"] = t_number * math.sqrt(stops_to_ratio(frame.mean_stops))
    return found
