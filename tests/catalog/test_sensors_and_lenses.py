"""Sensors, lenses and adapters are true to their formats, to physics and to their names."""

from __future__ import annotations

import math

import pytest

from previz.catalog import Catalog
from previz.model.records import Lens, Sensor

CATALOG = Catalog.load()
SENSORS = [CATALOG.sensor(name) for name in CATALOG.names("sensors")]
MODES = [(name, mode) for name in CATALOG.names("sensors") for mode in CATALOG.sensor(name).modes]
LENSES = CATALOG.names("lenses")


@pytest.mark.parametrize(
    ("name", "width_mm", "height_mm", "diagonal_mm", "tolerance_mm"),
    [
        # BKSTS, "Illustrated Dictionary of Moving Image Technology", 4th edition, 2001, app. C
        ("full_frame", 36.0, 24.0, 43.267, 0.001),
        # 0.980 x 0.735 in, from memory
        ("super35_4perf", 24.89, 18.67, 31.11, 0.02),
        # from memory
        ("super35_3perf", 24.89, 13.87, 28.494, 0.02),
        # from memory
        ("format_17x13", 17.3, 13.0, 21.640, 0.001),
        ("one_inch", 13.2, 8.8, 15.864, 0.001),
        # from memory; another size differs by about 1 %
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


def test_24x16_within_its_class() -> None:
    """The class runs from 22.2 to 23.7 by 14.8 to 15.7 mm, from memory."""
    sensor = CATALOG.sensor("format_24x16")
    assert 22.2 <= sensor.width_mm <= 23.7
    assert 14.8 <= sensor.height_mm <= 15.7


@pytest.mark.parametrize(
    ("name", "by_diagonal", "by_width"),
    [
        ("super35_4perf", 1.391, 1.446),
        ("super35_3perf", 1.518, 1.446),
        ("format_17x13", 1.999, 2.081),
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
        "cinema_4k": (4096, 2160),
        "cinema_2k": (2048, 1080),
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
        "full frame": "full_frame", "Super 35": "super35_4perf", "24 x 16 mm": "format_24x16",
        "17 x 13 mm": "format_17x13", "one-inch": "one_inch", "Super 16": "super16",
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
