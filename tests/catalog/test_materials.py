"""Surfaces throw back what such surfaces do, and never more than falls on them."""

from __future__ import annotations

import pytest

from previz.catalog import Catalog, luminous_reflectance
from previz.model.records import Material

CATALOG = Catalog.load()
MATERIALS = CATALOG.names("materials")


def reflects(name: str) -> float:
    return luminous_reflectance(CATALOG.material(name))


@pytest.mark.parametrize("name", MATERIALS)
def test_material_keeps_to_physics(name: str) -> None:
    material: Material = CATALOG.material(name)
    assert material.metallic in (0, 1), "a surface is a metal or it is none"
    for colour in (material.reflectance, material.second or (0, 0, 0)):
        highest = 0.95 if material.metallic else 0.9
        assert max(colour) <= highest
        assert max(colour) + material.diffuse_transmittance < 0.95, "a sheet makes no light"
    assert (material.second is None) or material.pattern != "none"
    assert (material.pattern_size_m is None) == (material.pattern == "none")
    if material.clear:
        assert max(material.reflectance) == 0
        assert material.roughness == 0.02
    elif not material.metallic:
        assert reflects(name) >= 0.01, "nothing in a room is blacker than black cloth"


def test_cards_are_exact_and_matt() -> None:
    grey, white = CATALOG.material("grey_card"), CATALOG.material("white_card")
    assert grey.reflectance == (0.18, 0.18, 0.18)
    assert white.reflectance == (0.9, 0.9, 0.9)
    for card in (grey, white):
        assert (card.roughness, card.refractive_index, card.pattern) == (1, 1, "none")


@pytest.mark.parametrize(
    ("names", "low", "high"),
    [
        # ranges that EN 12464-1 recommends, from memory
        ("ceiling_white", 0.7, 0.9),
        ("painted_plaster lime_plaster brick_painted", 0.5, 0.8),
        ("oak_boards pine_boards parquet_oak tiles_terracotta", 0.2, 0.42),
        # typical of the class, from memory, within 5 points
        ("tiles_white ceramic_white", 0.65, 0.75),
        ("concrete", 0.25, 0.35),
        ("brick_red", 0.15, 0.25),
        ("oak", 0.2, 0.4),
        # from memory
        ("soil", 0.03, 0.15),
        ("leaf", 0.06, 0.15),
        ("paper", 0.7, 0.8),
        ("fabric_black leather_black plastic_black rubber_black", 0.01, 0.05),
        ("skin", 0.2, 0.4),
    ],
)
def test_reflectance_lies_in_its_published_range(names: str, low: float, high: float) -> None:
    for name in names.split():
        assert low <= reflects(name) <= high, name


@pytest.mark.parametrize(
    ("name", "index", "mirrored"),
    [("glass_clear", 1.52, 0.0426), ("cornea", 1.376, 0.0250), ("skin", 1.4, 0.0278)],
)
def test_shine_follows_the_refractive_index(name: str, index: float, mirrored: float) -> None:
    """Reflectance at straight incidence is ((n - 1) / (n + 1))^2; indices from memory."""
    assert CATALOG.material(name).refractive_index == index
    assert 0.08 * CATALOG.material(name).specular == pytest.approx(mirrored, abs=5e-5)
    assert CATALOG.material("paper").specular < CATALOG.material("glass_clear").specular


def test_thicker_cloth_passes_less() -> None:
    full, light = CATALOG.material("diffusion_cloth"), CATALOG.material("diffusion_cloth_light")
    assert full.diffuse_transmittance < light.diffuse_transmittance
    assert reflects("diffusion_cloth") > reflects("diffusion_cloth_light")
