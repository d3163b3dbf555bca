"""The built-in records: valid, with provenance, and complete."""

from __future__ import annotations

import pytest

from previz.catalog import KINDS, Catalog, RecordKind

CATALOG = Catalog.load()
RECORDS = [(kind, name) for kind in KINDS for name in CATALOG.names(kind)]
MATERIALS = CATALOG.names("materials")
FIXTURES = CATALOG.names("fixtures")

PROMISED_MATERIALS = {
    "painted_plaster", "lime_plaster", "ceiling_white", "brick_red", "brick_painted",
    "concrete", "oak_boards", "pine_boards", "parquet_oak", "carpet_grey", "carpet_red",
    "tiles_terracotta", "tiles_white", "wallpaper_green", "oak", "walnut", "pine", "beech",
    "plywood", "painted_wood", "stone_grey", "rug_wool", "picture", "mirror_glass",
    "glass_clear", "steel", "steel_black", "brass", "cast_iron", "aluminium", "plastic_black",
    "plastic_white", "paper", "cardboard", "rope", "cloth_book", "cloth_linen", "cloth_wool",
    "cloth_cotton", "cloth_shirt", "cloth_knit", "cloth_jersey", "cloth_jacket",
    "denim", "velvet", "leather_brown", "leather_black",
    "ceramic_white", "ceramic_blue", "terracotta", "soil", "leaf", "stem", "rubber_black",
    "lamp_shade", "diffusion_cloth", "fabric_black", "reflector_white", "reflector_silver",
    "grey_card", "white_card", "skin", "eye_white", "iris", "cornea", "lip", "hair",
    "spectacle_frame", "spectacle_glass", "teeth",
}  # fmt: skip


def test_whole_catalogue_is_valid() -> None:
    CATALOG.check()


@pytest.mark.parametrize(("kind", "name"), RECORDS)
def test_provenance(kind: RecordKind, name: str) -> None:
    record = CATALOG.records(kind)[name]
    assert record.label[0].isupper() or record.label[0].isdigit()
    assert record.source.endswith("."), "a source is a sentence"
    if record.kind in ("memory", "generic"):
        unconfirmed = ("memory", "common", "typical")
        assert any(word in record.source.lower() for word in unconfirmed)


def test_names_differ_across_kinds() -> None:
    names = [name for _, name in RECORDS]
    assert len(names) == len(set(names)), "previz catalog show NAME must mean one thing"


def test_promised_records_exist() -> None:
    assert set(MATERIALS) >= PROMISED_MATERIALS
    sensors = "full_frame super35_3perf super35_4perf format_24x16 format_17x13 one_inch super16"
    assert set(sensors.split()) == set(CATALOG.names("sensors"))
    assert {CATALOG.fixture(name).form for name in FIXTURES} == {
        "panel", "softbox", "lantern", "tube", "fresnel", "practical", "bounce_board",
        "diffusion_frame", "flag",
    }  # fmt: skip
    panels = [name for name in FIXTURES if CATALOG.fixture(name).form == "panel"]
    boxes = [f.width_m for n in FIXTURES if (f := CATALOG.fixture(n)).form == "softbox"]
    assert len(panels) == 3
    assert {0.6, 0.9, 1.2, 1.5} <= set(boxes)
    factors = [CATALOG.adapter(name).factor for name in CATALOG.names("adapters")]
    assert min(factors) < 1 < max(factors)
