"""Surfaces of the catalogue as Mitsuba BSDFs. Import after a variant is set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import mitsuba as mi

from previz.model.records import Material
from previz.physics.mirror import index_of_specular
from previz.render.merge import Surface
from previz.render.patterns import Tile, tile_of

COLOUR = "vertex_colour"
SECOND = "vertex_second"
PATTERN = "vertex_pattern"
ROUGHNESS = "vertex_roughness"
METALLIC = "vertex_metallic"


class Surfaces:
    """BSDFs by kind of surface, each made once: every instance lengthens a compiled kernel.

    `colour` is the texture that draws plain colours and patterns alike; None where patterns
    have meshes of their own and are drawn from bitmaps.
    """

    def __init__(self, materials: Mapping[str, Material], colour: Any) -> None:
        self._materials = materials
        self._colour = colour
        self._made: dict[Surface, Any] = {}
        self._roughness = mi.load_dict({"type": "mesh_attribute", "name": ROUGHNESS})
        self._metallic = mi.load_dict({"type": "mesh_attribute", "name": METALLIC})

    def bsdf_of(self, surface: Surface) -> Any:
        """The BSDF of one merged mesh."""
        alike = replace(surface, owner="")
        if alike not in self._made:
            self._made[alike] = mi.load_dict(self._describe(alike))
        return self._made[alike]

    def _describe(self, surface: Surface) -> dict[str, Any]:
        if surface.clear:
            return {"type": "thindielectric", "int_ior": index_of_specular(surface.specular)}
        colour, tile = self._colour_of(surface)
        if surface.through > 0.0:
            return _sheet(surface, colour)
        inner = _matt(colour) if surface.matt else self._glossy(surface, colour)
        if tile is not None and tile.relief_m is not None:
            inner = _embossed(inner, tile)
        return {"type": "twosided", "inside": inner}

    def _colour_of(self, surface: Surface) -> tuple[Any, Tile | None]:
        if surface.textured:
            name, _, tint = surface.textured.partition("@")
            base = tuple(float(part) for part in tint.split(",")) if tint else None
            tile = _tile(self._materials[name], base)
            return _bitmap(tile.colour), tile
        if self._colour is not None:
            return self._colour, None
        return {"type": "mesh_attribute", "name": COLOUR}, None

    def _glossy(self, surface: Surface, colour: Any) -> dict[str, Any]:
        return {
            "type": "principled",
            "base_color": colour,
            "roughness": self._roughness,
            "metallic": self._metallic,
            "specular": max(surface.specular, 1e-3),
        }


def _tile(material: Material, base: tuple[float, ...] | None) -> Tile:
    """A sheet's colour is all the light that it scatters, to both sides."""
    if material.diffuse_transmittance > 0.0:
        base = tuple(c + material.diffuse_transmittance for c in base or material.reflectance)
    return tile_of(material, base)


def _matt(colour: Any) -> dict[str, Any]:
    return {"type": "diffuse", "reflectance": colour}


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
    relief = _bitmap(tile.relief_m[:, :, None])
    # Metres as they are: the plugin holds the slope in texture units against the metres that
    # one unit spans, which the mesh's coordinates (metres over the tile's side) tell it.
    return {"type": "bumpmap", "relief": relief, "inside": inner, "scale": 1.0}


def _bitmap(array: Any) -> dict[str, Any]:
    return {
        "type": "bitmap",
        "bitmap": mi.Bitmap(array),
        "raw": True,
        "wrap_mode": "repeat",
        "filter_type": "bilinear",
    }
