"""Surfaces of the catalogue as Mitsuba BSDFs. Import after a variant is set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import mitsuba as mi

from previz.model.records import Material
from previz.physics.mirror import index_of_specular
from previz.render.merge import Surface
from previz.render.pathtracer.loading import load
from previz.render.patterns import Tile, tile_of

PAINT = "vertex_paint"
"""Colour of what is painted, by vertex."""
SHINE = "vertex_shine"
"""Its roughness."""
COLOUR, ROUGHNESS, METALLIC = "face_colour", "face_roughness", "face_metallic"
"""The row of each triangle, spelt out where nothing can be compiled."""


@dataclass(frozen=True, eq=False)
class Textures:
    """What colours surfaces: plain ones and patterns by row, painted ones by vertex as well."""

    colour: Any
    painted: Any
    roughness: Any
    metallic: Any

    @classmethod
    def of_faces(cls) -> Textures:
        """From attributes of triangles and vertices, for the variant that compiles nothing."""
        names = (COLOUR, PAINT, ROUGHNESS, METALLIC)
        return cls(*(_attribute(name) for name in names))


class Surfaces:
    """BSDFs by kind of surface, each made once: every instance lengthens a compiled kernel."""

    def __init__(self, materials: Mapping[str, Material], textures: Textures) -> None:
        self._materials = materials
        self._textures = textures
        self._made: dict[Surface, Any] = {}

    def bsdf_of(self, surface: Surface) -> Any:
        """The BSDF of one merged mesh."""
        alike = replace(surface, owner="")
        if alike not in self._made:
            self._made[alike] = load(self._describe(alike))
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
        return self._textures.painted if surface.painted else self._textures.colour, None

    def _glossy(self, surface: Surface, colour: Any) -> dict[str, Any]:
        return {
            "type": "principled",
            "base_color": colour,
            "roughness": _attribute(SHINE) if surface.painted else self._textures.roughness,
            "metallic": self._textures.metallic,
            "specular": max(surface.specular, 1e-3),
        }


def _tile(material: Material, base: tuple[float, ...] | None) -> Tile:
    """A sheet's colour is all the light that it scatters, to both sides."""
    if material.diffuse_transmittance > 0.0:
        base = tuple(c + material.diffuse_transmittance for c in base or material.reflectance)
    return tile_of(material, base)


def _attribute(name: str) -> Any:
    return load({"type": "mesh_attribute", "name": name})


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
