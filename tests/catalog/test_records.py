"""The built-in records: valid, with provenance, and true to physics and to each other."""

from __future__ import annotations

import math

import pytest

from previz.catalog import KINDS, Catalog, Kind, luminous_reflectance
from previz.model.records import Fixture, Lens, Material, Sensor

CATALOG = Catalog.load()
RECORDS = [(kind, name) for kind in KINDS for name in CATALOG.names(kind)]
SENSORS = [CATALOG.sensor(name) for name in CATALOG.names("sensors")]
MODES = [(name, mode) for name in CATALOG.names("sensors") for mode in CATALOG.sensor(name).modes]
LENSES = CATALOG.names("lenses")
MATERIALS = CATALOG.names("materials")
FIXTURES = CATALOG.names("fixtures")
LIGHTS = [name for name in FIXTURES if CATALOG.fixture(name).emits]

PROMISED_MATERIALS = {
    "painted_plaster", "lime_plaster", "ceiling_white", "brick_red", "brick_painted",
    "concrete", "oak_boards", "pine_boards", "parquet_oak", "carpet_grey", "carpet_red",
    "tiles_terracotta", "tiles_white", "wallpaper_green", "oak", "walnut", "pine", "beech",
    "plywood", "painted_wood", "stone_grey", "rug_wool", "picture", "mirror_glass",
    "glass_clear", "steel", "steel_black", "brass", "cast_iron", "aluminium", "plastic_black",
    "plastic_white", "paper", "cardboard", "rope", "cloth_book", "cloth_linen", "cloth_wool",
    "cloth_cotton", "cloth_jacket", "denim", "velvet", "leather_brown", "leather_black",
    "ceramic_white", "ceramic_blue", "terracotta", "soil", "leaf", "stem", "rubber_black",
    "lamp_shade", "diffusion_cloth", "fabric_black", "reflector_white", "reflector_silver",
    "grey_card", "white_card", "skin", "eye_white", "iris", "cornea", "lip", "hair",
    "spectacle_frame", "spectacle_glass", "teeth",
}  # fmt: skip


def test_whole_catalogue_is_valid() -> None:
    CATALOG.check()


@pytest.mark.parametrize(("kind", "name"), RECORDS)
def test_provenance(kind: Kind, name: str) -> None:
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
    sensors = "full_frame super35_3perf super35_4perf aps_c micro_four_thirds one_inch super16"
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


# --- sensors --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "width_mm", "height_mm", "diagonal_mm", "tolerance_mm"),
    [
        # BKSTS Illustrated Dictionary app. C
        ("full_frame", 36.0, 24.0, 43.267, 0.001),
        # 0.980 x 0.735 in, 35 mm film specification lists
        ("super35_4perf", 24.89, 18.67, 31.11, 0.02),
        # from memory
        ("super35_3perf", 24.89, 13.87, 28.494, 0.02),
        # common tables of formats
        ("micro_four_thirds", 17.3, 13.0, 21.640, 0.001),
        ("one_inch", 13.2, 8.8, 15.864, 0.001),
        # from memory; sources differ by about 1 %
        ("super16", 12.52, 7.41, 14.55, 0.15),
    ],
)
def test_format_sizes(
    name: str, width_mm: float, height_mm: float, diagonal_mm: float, tolerance_mm: float
) -> None:
    sensor = CATALOG.sensor(name)
    assert sensor.width_mm == pytest.approx(width_mm, abs=tolerance_mm)
    assert sensor.height_mm == pytest.approx(height_mm, abs=tolerance_mm)
    diagonal = math.hypot(sensor.width_mm, sensor.height_mm)
    assert diagonal == pytest.approx(diagonal_mm, abs=tolerance_mm)


def test_aps_c_within_its_class() -> None:
    """The class runs from 22.2 to 23.7 by 14.8 to 15.6 mm (common tables of formats)."""
    sensor = CATALOG.sensor("aps_c")
    assert 22.2 <= sensor.width_mm <= 23.7
    assert 14.8 <= sensor.height_mm <= 15.6


@pytest.mark.parametrize(
    ("name", "by_diagonal", "by_width"),
    [
        ("super35_4perf", 1.391, 1.446),
        ("super35_3perf", 1.518, 1.446),
        ("micro_four_thirds", 1.999, 2.081),
        ("one_inch", 2.727, 2.727),
    ],
)
def test_crop_factors(name: str, by_diagonal: float, by_width: float) -> None:
    """Closed form, against 36 x 24 mm; the two ways of saying it differ by up to 4 %."""
    full, sensor = CATALOG.sensor("full_frame"), CATALOG.sensor(name)
    full_diagonal = math.hypot(full.width_mm, full.height_mm)
    diagonal = math.hypot(sensor.width_mm, sensor.height_mm)
    assert full_diagonal / diagonal == pytest.approx(by_diagonal, abs=0.003)
    assert full.width_mm / sensor.width_mm == pytest.approx(by_width, abs=0.003)


@pytest.mark.parametrize(("name", "mode_name"), MODES)
def test_mode(name: str, mode_name: str) -> None:
    sensor, mode = CATALOG.sensor(name), CATALOG.sensor(name).modes[mode_name]
    pixel_aspect = mode.width_mm / mode.height_mm / (mode.width_px / mode.height_px)
    assert pixel_aspect == pytest.approx(1.0, abs=0.01)
    sizes = {
        "uhd": (3840, 2160),
        "hd": (1920, 1080),
        "dci_4k": (4096, 2160),
        "dci_2k": (2048, 1080),
    }
    written = (mode.width_px, mode.height_px)
    if mode_name == "open_gate":
        assert (mode.width_mm, mode.height_mm) == (sensor.width_mm, sensor.height_mm)
    elif mode_name == "hd_120":
        assert mode.max_fps == 120
        assert written == sizes["hd"]
        assert mode.width_mm < sensor.modes["hd"].width_mm
    elif "_crop_" in mode_name:
        base, crop = mode_name.split("_crop_")
        assert written == sizes[base]
        assert mode.width_mm * float(crop) == pytest.approx(sensor.modes[base].width_mm, rel=1e-3)
    else:
        assert written == sizes[mode_name]


@pytest.mark.parametrize("sensor", SENSORS, ids=lambda sensor: sensor.label)
def test_uhd_and_hd_use_all_the_sensor_can_give(sensor: Sensor) -> None:
    """16:9 touches both sides of the sensor, or top and bottom where that is the narrower."""
    for name in ("uhd", "hd"):
        mode = sensor.modes[name]
        full = mode.width_mm == sensor.width_mm or mode.height_mm == sensor.height_mm
        assert full, name


@pytest.mark.parametrize("sensor", SENSORS, ids=lambda sensor: sensor.label)
def test_range_over_grey_is_part_of_the_range(sensor: Sensor) -> None:
    """A meter that follows ISO 12232 leaves 2.5 stops at the least: log2(1 / 0.18)."""
    assert math.log2(1 / 0.18) < sensor.stops_over_grey < sensor.dynamic_range_stops


# --- lenses and adapters --------------------------------------------------------------------


@pytest.mark.parametrize("name", LENSES)
def test_lens(name: str) -> None:
    lens = CATALOG.lens(name)
    short, long = lens.focal_length_mm
    assert lens.is_zoom == (short < long)
    assert short <= long
    assert ("zoom" in name) == lens.is_zoom
    for focal, f_number, t_number in zip(
        lens.focal_length_mm, lens.f_number, lens.t_number, strict=True
    ):
        assert 0.7 <= (f_number / t_number) ** 2 <= 0.9, "glass passes 70 to 90 %"
        assert f_number < lens.min_iris_f_number
        assert lens.transmittance(focal) == pytest.approx((f_number / t_number) ** 2)
    assert lens.f_number[0] <= lens.f_number[1]
    assert lens.close_focus_m * 1000 > 2.5 * short, "nearer than 4 f there is no sharp picture"


@pytest.mark.parametrize("name", LENSES)
def test_lens_name_says_what_it_is(name: str) -> None:
    """`zoom_24_70_f2.8`: focal lengths, then the widest stop as f or T."""
    lens = CATALOG.lens(name)
    stop = next(
        i for i, part in enumerate(name.split("_")) if part[0] in "ft" and part[1].isdigit()
    )
    parts = name.split("_")
    lengths = [float(p) for p in parts[:stop] if p.replace(".", "").isdigit()]
    assert lengths == list(dict.fromkeys(lens.focal_length_mm))
    stops = [float(parts[stop][1:]), *[float(p) for p in parts[stop + 1 :]]]
    numbers = lens.f_number if parts[stop][0] == "f" else lens.t_number
    assert stops == list(dict.fromkeys(numbers))


@pytest.mark.parametrize("name", LENSES)
def test_lens_covers_its_format(name: str) -> None:
    lens = CATALOG.lens(name)
    needed = {
        "full frame": "full_frame", "Super 35": "super35_4perf", "APS-C": "aps_c",
        "Micro Four Thirds": "micro_four_thirds", "one-inch": "one_inch", "Super 16": "super16",
    }  # fmt: skip
    sensor = CATALOG.sensor(next(key for words, key in needed.items() if words in lens.label))
    assert lens.image_circle_mm >= math.hypot(sensor.width_mm, sensor.height_mm)


@pytest.mark.parametrize("name", LENSES)
def test_front_is_wide_enough_for_the_entrance_pupil(name: str) -> None:
    """The entrance pupil, focal length over f-number, must fit behind the front glass."""
    lens: Lens = CATALOG.lens(name)
    pupil = max(f / n for f, n in zip(lens.focal_length_mm, lens.f_number, strict=True))
    assert pupil < lens.diameter_mm


@pytest.mark.parametrize("name", CATALOG.names("adapters"))
def test_adapter(name: str) -> None:
    adapter = CATALOG.adapter(name)
    assert float(name.rsplit("_", 1)[1]) == adapter.factor
    assert adapter.image_circle_factor == adapter.factor
    assert 85 < adapter.transmittance_pct < 99


# --- fixtures -------------------------------------------------------------------------------


def beam_flux_lm(candela: float, beam_deg: float) -> float:
    """Flux of a beam I0 cos^n whose half value lies at half of `beam_deg`: 2 pi I0 / (n + 1)."""
    power = math.log(0.5) / math.log(math.cos(math.radians(beam_deg / 2)))
    return 2 * math.pi * candela / (power + 1)


def test_beam_flux_of_a_matt_surface() -> None:
    assert beam_flux_lm(1000, 120) == pytest.approx(math.pi * 1000)


@pytest.mark.parametrize("name", LIGHTS)
def test_flux_per_watt_is_possible(name: str) -> None:
    """What leaves the fixture per watt of mains power, in lm/W.

    Bare white LED with its driver gives 90 to 130 (from memory); a diffuser keeps a third, a
    softbox half, a fresnel between half (flood) and three quarters (spot). Filament lamps give
    10 to 15, halogen lamps 24 to 28, of which a spot fresnel passes under a tenth.
    """
    bands = {
        "panel": (60, 90), "softbox": (35, 60), "lantern": (45, 70), "tube": (50, 90),
        "practical": (40, 100),
    }  # fmt: skip
    fixture = CATALOG.fixture(name)
    if fixture.form != "fresnel":
        assert fixture.flux_lm is not None
        low, high = (10, 15) if fixture.hot else bands[fixture.form]
        assert low <= fixture.flux_lm / fixture.power_w <= high
        return
    spot, flood = (
        beam_flux_lm(end.illuminance_lx * end.distance_m**2, end.beam_deg) / fixture.power_w
        for end in fixture.lux_at
    )
    ranges = ((1.5, 4.0), (6.0, 10.0)) if fixture.hot else ((20, 40), (40, 65))
    assert ranges[0][0] <= spot <= ranges[0][1]
    assert ranges[1][0] <= flood <= ranges[1][1]


@pytest.mark.parametrize(
    "name", [name for name in LIGHTS if CATALOG.fixture(name).form == "fresnel"]
)
def test_fresnel_spot_and_flood(name: str) -> None:
    fixture = CATALOG.fixture(name)
    spot, flood = fixture.lux_at
    assert spot.beam_deg < flood.beam_deg
    assert spot.illuminance_lx > 3 * flood.illuminance_lx
    assert fixture.beam_deg is not None
    assert spot.beam_deg <= fixture.beam_deg <= flood.beam_deg


@pytest.mark.parametrize("name", LIGHTS)
def test_light(name: str) -> None:
    fixture = CATALOG.fixture(name)
    assert fixture.cct_k is not None
    assert fixture.default_cct_k is not None
    low, high = fixture.cct_k
    assert 1700 <= low <= fixture.default_cct_k <= high <= 12000
    assert fixture.power_w > 0
    if fixture.hot:
        assert high <= 3400, "what glows by heat is warm"
    if fixture.beam_deg is not None and fixture.field_deg is not None:
        assert fixture.beam_deg < fixture.field_deg


def luminance_cd_m2(fixture: Fixture) -> float:
    """Mean luminance of a flat matt face."""
    assert fixture.width_m
    assert fixture.height_m
    assert fixture.flux_lm
    return fixture.flux_lm / (math.pi * fixture.width_m * fixture.height_m)


def test_softness_costs_luminance() -> None:
    """Every softbox is dimmer per area than every panel, as its cloth is larger."""
    boxes = [CATALOG.fixture(n) for n in LIGHTS if CATALOG.fixture(n).form == "softbox"]
    panels = [CATALOG.fixture(n) for n in LIGHTS if CATALOG.fixture(n).form == "panel"]
    assert max(map(luminance_cd_m2, boxes)) < min(map(luminance_cd_m2, panels))
    assert all(1000 < luminance_cd_m2(box) < 10000 for box in boxes)


@pytest.mark.parametrize("name", FIXTURES)
def test_fixture_stands(name: str) -> None:
    fixture = CATALOG.fixture(name)
    low, high = fixture.stand_height_m
    assert low < high <= 3.5
    assert 0 < fixture.weight_kg < 12
    if fixture.form == "practical":
        assert fixture.stand_footprint_m <= 0.4
        assert (fixture.material == "lamp_shade") == (fixture.body in ("floor_lamp", "table_lamp"))
    else:
        assert 0.9 <= fixture.stand_footprint_m <= 1.2, "common light stands"
    if not fixture.emits:
        assert fixture.power_w == 0
        assert fixture.material is not None


@pytest.mark.parametrize("name", [n for n in FIXTURES if n[-1].isdigit()])
def test_fixture_name_gives_its_size_in_cm(name: str) -> None:
    fixture = CATALOG.fixture(name)
    if fixture.form in ("fresnel", "practical"):
        watts = float(name.rsplit("_", 1)[1])
        assert fixture.power_w == watts
        return
    named = sorted(float(part) / 100 for part in name.rsplit("_", 1)[1].split("x"))
    face = (fixture.width_m, fixture.height_m, fixture.length_m, fixture.diameter_m)
    sides = {side for side in face if side is not None}
    assert set(named) <= sides


# --- materials ------------------------------------------------------------------------------


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
        assert (card.roughness, card.specular, card.pattern) == (1, 0, "none")


@pytest.mark.parametrize(
    ("names", "low", "high"),
    [
        # EN 12464-1, recommended ranges, as quoted in lighting guides
        ("ceiling_white", 0.7, 0.9),
        ("painted_plaster lime_plaster brick_painted", 0.5, 0.8),
        ("oak_boards pine_boards parquet_oak tiles_terracotta", 0.2, 0.42),
        # table of typical values in a lighting encyclopaedia, within 5 points
        ("tiles_white ceramic_white", 0.65, 0.75),
        ("concrete", 0.25, 0.35),
        ("brick_red", 0.15, 0.25),
        ("oak", 0.2, 0.4),
        # tables of albedo
        ("soil", 0.03, 0.15),
        ("leaf", 0.06, 0.15),
        # from memory
        ("paper", 0.7, 0.8),
        ("fabric_black leather_black plastic_black rubber_black", 0.01, 0.05),
        ("skin", 0.2, 0.4),
    ],
)
def test_reflectance_lies_in_its_published_range(names: str, low: float, high: float) -> None:
    for name in names.split():
        assert low <= reflects(name) <= high, name


@pytest.mark.parametrize(
    ("name", "index"), [("glass_clear", 1.52), ("cornea", 1.376), ("skin", 1.4)]
)
def test_shine_follows_the_refractive_index(name: str, index: float) -> None:
    """0.08 x specular is the reflectance at straight incidence, ((n - 1) / (n + 1))^2."""
    expected = ((index - 1) / (index + 1)) ** 2
    assert 0.08 * CATALOG.material(name).specular == pytest.approx(expected, abs=5e-4)


def test_thicker_cloth_passes_less() -> None:
    full, light = CATALOG.material("diffusion_cloth"), CATALOG.material("diffusion_cloth_light")
    assert full.diffuse_transmittance < light.diffuse_transmittance
    assert reflects("diffusion_cloth") > reflects("diffusion_cloth_light")
