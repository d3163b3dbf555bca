"""What lights give is possible for the power they draw; boards and stands are plausible."""

from __future__ import annotations

import math

import pytest

from previz.catalog import Catalog
from previz.model.records import Fixture

CATALOG = Catalog.load()
FIXTURES = CATALOG.names("fixtures")
LIGHTS = [name for name in FIXTURES if CATALOG.fixture(name).emits]


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
    if fixture.stand_height_m is not None:
        low, high = fixture.stand_height_m
        assert low < high <= 3.5
    assert 0 < fixture.weight_kg < 12
    if fixture.form == "practical":
        assert fixture.stand_height_m is None and fixture.stand_footprint_m == 0.0
        assert (fixture.material == "lamp_shade") == (fixture.body in ("floor_lamp", "table_lamp"))
    else:
        assert fixture.stand_height_m is not None
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
