"""Surfaces of the catalogue as Mitsuba BSDF dictionaries. Import after a variant is set."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import mitsuba as mi

from previz.model.records import Material
from previz.render.merge import Surface
from previz.render.patterns import Tile, tile_of

COLOUR = "vertex_colour"
ROUGHNESS = "vertex_roughness"
METALLIC = "vertex_metallic"


def bsdf_of(surface: Surface, materials: Mapping[str, Material]) -> Any:
    """The BSDF of one merged mesh."""
    if surface.clear:
        return mi.load_dict({"type": "thindielectric", "int_ior": 1.5})
    colour: Any = {"type": "mesh_attribute", "name": COLOUR}
    tile = None
    if surface.textured:
        name, _, tint = surface.textured.partition("@")
        base = tuple(float(part) for part in tint.split(",")) if tint else None
        tile = _tile(materials[name], base)
        colour = _bitmap(tile.colour)
    if surface.through > 0.0:
        return mi.load_dict(_sheet(surface, colour))
    inner = _matt(colour) if surface.matt else _glossy(surface, colour)
    if tile is not None and tile.relief_m is not None:
        inner = _embossed(inner, tile)
    return mi.load_dict({"type": "twosided", "inside": inner})


def _tile(material: Material, base: tuple[float, ...] | None) -> Tile:
    """A sheet's colour is all the light that it scatters, to both sides."""
    if material.diffuse_transmittance > 0.0:
        base = tuple(c + material.diffuse_transmittance for c in base or material.reflectance)
    return tile_of(material, base)


def _matt(colour: Any) -> dict[str, Any]:
    return {"type": "diffuse", "reflectance": colour}


def _glossy(surface: Surface, colour: Any) -> dict[str, Any]:
    return {
        "type": "principled",
        "base_color": colour,
        "roughness": {"type": "mesh_attribute", "name": ROUGHNESS},
        "metallic": {"type": "mesh_attribute", "name": METALLIC},
        "specular": max(surface.specular, 1e-3),
        "sheen": surface.sheen,
        "clearcoat": surface.clearcoat,
        "clearcoat_gloss": 0.9,
    }


def _sheet(surface: Surface, colour: Any) -> dict[str, Any]:
    """A thin cloth that scatters light to both sides; half of `diff_trans` passes through."""
    return {
        "type": "principledthin",
        "base_color": colour,
        "roughness": 0.9,
        "spec_trans": 0.0,
        "diff_trans": 2.0 * surface.through,
        "eta": 1.3,
    }


def _embossed(inner: dict[str, Any], tile: Tile) -> dict[str, Any]:
    assert tile.relief_m is not None
    relief = _bitmap(tile.relief_m[:, :, None], raw=True)
    # Metres as they are: the plugin holds the slope in texture units against the metres that
    # one unit spans, which the mesh's coordinates (metres over the tile's side) tell it.
    return {"type": "bumpmap", "relief": relief, "inside": inner, "scale": 1.0}


def _bitmap(array: Any, raw: bool = True) -> dict[str, Any]:
    return {
        "type": "bitmap",
        "bitmap": mi.Bitmap(array),
        "raw": raw,
        "wrap_mode": "repeat",
        "filter_type": "bilinear",
    }
