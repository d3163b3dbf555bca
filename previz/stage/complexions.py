"""The skin of one face as a material: the catalogue's skin with what shows on that face alone."""

from __future__ import annotations

from functools import lru_cache

from previz.catalog import Catalog
from previz.geometry.people.chart import Complexion
from previz.model.records import Material


class FaceSkin(Material):
    """Skin with the lines, pores and spots of one face, which its pattern names."""

    pattern: str  # type: ignore[assignment]  # not one that a catalogue may name


def material_of(name: str, catalog: Catalog) -> Material:
    """A material by name, from the catalogue or of somebody's face."""
    if not Complexion.names(name):
        return catalog.material(name)
    return _of_face(catalog.material("skin"), name)


@lru_cache(maxsize=64)
def _of_face(skin: Material, name: str) -> Material:
    # A face's heights are in millimetres.
    return FaceSkin(**{**skin.model_dump(), "pattern": name, "relief_mm": 1.0})
