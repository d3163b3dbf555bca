"""How surfaces look and lights shine in glTF 2.0.

Source: Khronos Group, "glTF 2.0 Specification", 2021, with its extensions KHR_lights_punctual,
KHR_materials_emissive_strength, KHR_materials_ior and KHR_materials_transmission.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from previz.deliver.exports.glb import Node
from previz.deliver.exports.lamps import Lamp, Sunlight
from previz.deliver.exports.scenery import Finish
from previz.physics.beam import FIELD_VALUE, HALF_VALUE
from previz.physics.colour import luminance

F64 = NDArray[np.float64]

PUNCTUAL, STRENGTH, IOR, TRANSMISSION = (
    "KHR_lights_punctual",
    "KHR_materials_emissive_strength",
    "KHR_materials_ior",
    "KHR_materials_transmission",
)
USUAL_IOR = 1.5
"""What the format takes where nothing is said."""
GLASS_ALPHA = 0.2
"""How much of clear glass is covered, so that programs without transmission see through it too."""


# --- surfaces ----------------------------------------------------------------------------------


def look_of(finish: Finish) -> Node:
    """The material of a finish; programs that know no extension still see through glass."""
    colour = (1.0, 1.0, 1.0) if finish.clear else finish.colour
    found: Node = {
        "name": finish.material,
        "pbrMetallicRoughness": {
            "baseColorFactor": [*colour, GLASS_ALPHA if finish.clear else 1.0],
            "metallicFactor": finish.metallic,
            "roughnessFactor": finish.roughness,
        },
    }
    extensions: Node = {}
    if finish.refractive_index != USUAL_IOR:
        extensions[IOR] = {"ior": finish.refractive_index}
    if finish.clear:
        found["alphaMode"] = "BLEND"
        extensions[TRANSMISSION] = {"transmissionFactor": 1.0}
    if extensions:
        found["extensions"] = extensions
    if finish.two_sided:
        found["doubleSided"] = True
    return found | _beyond(finish)


def _beyond(finish: Finish) -> Node:
    """What of a finish the format has no word for."""
    extras: Node = {}
    if finish.pattern != "none":
        extras["pattern"] = finish.pattern
        extras["note"] = "the pattern is procedural: the colour here is its mean"
        if finish.pattern_size_m is not None:
            extras["pattern_size_m"] = finish.pattern_size_m
    if finish.through > 0.0:
        extras["diffuse_transmittance"] = finish.through
    return {"extras": extras} if extras else {}


def glow_of(look: Node, luminance_cd_m2: F64) -> Node:
    """The same material giving off light by colour (3,), cd/m2; as it was where there is none."""
    most = float(np.max(luminance_cd_m2))
    if most <= 0.0:
        return look
    return {
        **look,
        "emissiveFactor": [float(c) / most for c in luminance_cd_m2],
        "extensions": {**look.get("extensions", {}), STRENGTH: {"emissiveStrength": most}},
        "extras": {"luminance_cd_m2": float(luminance(luminance_cd_m2))},
    }


# --- lights ------------------------------------------------------------------------------------


def punctual_of(lamp: Lamp) -> Node:
    """A lamp as a light without size at the middle of its face: the core has no area lights."""
    found: Node = {"name": f"{lamp.name}.light", "type": "spot" if lamp.flat else "point"}
    found |= _coloured(lamp.intensity)
    shape, extras = lamp.shape, _size(lamp)
    extras |= {
        "luminance_cd_m2": float(luminance(lamp.top_luminance)),
        "intensity_cd": lamp.intensity_cd,
        "note": "stands for the face of the same name, which glows: use one of the two",
    }
    if lamp.flat:
        inner, outer = cone_rad(lamp.half_angle_rad(HALF_VALUE), lamp.half_angle_rad(FIELD_VALUE))
        found["spot"] = {"innerConeAngle": inner, "outerConeAngle": outer}
        extras |= {"beam_deg": lamp.beam_deg, "field_deg": lamp.field_deg}
    return found | {"extras": {"layer": lamp.emitter.layer, "shape": shape.kind, **extras}}


def _size(lamp: Lamp) -> Node:
    names = {
        "rectangle": ("width_m", "height_m"),
        "disc": ("radius_m",),
        "sphere": ("radius_m",),
        "cylinder": ("radius_m", "length_m"),
    }
    return {name: getattr(lamp.shape, name) for name in names[lamp.shape.kind]}


def sun_of(sun: Sunlight) -> Node:
    """The sun: its colour, and the lux of what faces it behind the windows."""
    extras = {"illuminance_lx": float(luminance(sun.light)), "windows_let_in": sun.windows}
    return {"name": "sun", "type": "directional", **_coloured(sun.light), "extras": extras}


def _coloured(light: F64) -> Node:
    """Colour and intensity whose product has the right light in each channel.

    A channel of the colour may not pass 1, so the intensity is that of the strongest channel; the
    luminance of the product is the light that a meter reads.
    """
    most = float(np.max(light))
    return {"color": [float(c) / most for c in light], "intensity": most}


def cone_rad(half_rad: float, tenth_rad: float) -> tuple[float, float]:
    """Inner and outer angle of a cone that has half the light and a tenth of it where a beam has.

    Between them the format has the light fall as the square of a straight line in the cosine (its
    KHR_lights_punctual, as proposed there). Where both angles cannot be met, the half is.
    """
    at_half, at_tenth = math.cos(half_rad), math.cos(tenth_rad)
    root_half, root_tenth = math.sqrt(HALF_VALUE), math.sqrt(FIELD_VALUE)
    span = (at_half - at_tenth) / (root_half - root_tenth)
    outer = at_tenth - root_tenth * span
    inner = outer + span
    if inner > 1.0:
        inner, outer = 1.0, (at_half - root_half) / (1.0 - root_half)
    if outer < 0.0:
        inner, outer = min(at_half / root_half, 1.0), 0.0
    return math.acos(inner), math.acos(max(outer, 0.0))
