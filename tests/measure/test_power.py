"""Load by circuit against sums by hand; what is too much for hours, and by which code."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from oracles.photometry import output_share

from previz.catalog import Catalog
from previz.measure.gear.power import drawn_w, load_of
from previz.measure.report import Report
from previz.model.lights import Light, LightPlace
from previz.physics.dimmer import filament_power_share, level_for_share
from previz.stage.placed import StageLight
from previz.stage.stage import Stage
from previz.telling.report_json import report_json
from previz.telling.report_text import report_lines

Measure = Callable[[str], Report]
CATALOG = Catalog.load()
PLACE = "place: {at_m: [1.5, -1.5], height_m: 2.0}, aim: guest"
HALOGEN = f"{{fixture: fresnel_tungsten_650, {PLACE}}}"


def found(report: Report, rule: str) -> dict[str, object]:
    return next(f for f in report_json(report)["findings"] if f["rule"] == rule)


def rules(report: Report) -> set[str]:
    return {finding.rule for finding in report.findings}


def test_lights_count_at_full_power_dimmed_or_off(measure: Measure) -> None:
    report = measure(f"""
recording: {{hours: 3}}
lights:
  key: {{fixture: softbox_90, {PLACE}, dimmer_pct: 25}}
  fill: {{fixture: panel_60x40, {PLACE}, on: false}}
  board: {{fixture: bounce_board_120, {PLACE}}}
""")
    power = report_json(report)["power"]
    assert (power["load_w"], power["mains_v"], power["country"]) == (
        340.0,
        230.0,
        "continental Europe",
    )
    assert power["as_set_w"] == pytest.approx(0.25 * 220.0)
    assert power["energy_kwh"] == pytest.approx(0.34 * 3)
    mains = power["circuits"]["mains"]
    assert mains["lights"] == ["key", "fill"]
    assert mains["current_a"] == pytest.approx(340.0 / 230.0, abs=1e-3)
    assert mains["continuous_a"] == pytest.approx(0.8 * 16.0)
    assert mains["headroom_a"] == pytest.approx(12.8 - 340.0 / 230.0, abs=1e-3)
    assert mains["breaker_used_pct"] == pytest.approx(100 * 340.0 / 230.0 / 16.0, abs=1e-2)
    assert not {"circuit_overloaded", "circuit_continuous"} & rules(report)
    assert any(line.startswith("Power: 340 W at 230 V") for line in report_lines(report))


def test_each_light_is_on_its_circuit_and_what_else_runs_there_counts(measure: Measure) -> None:
    report = measure(f"""
power:
  outlet: us_15a
  circuits: {{left: {{other_w: 300}}, right: {{breaker_a: 20}}}}
lights:
  one: {HALOGEN}
  two: {HALOGEN[:-1]}, circuit: right}}
""")
    circuits = report_json(report)["power"]["circuits"]
    assert circuits["left"]["lights"] == ["one"] and circuits["right"]["lights"] == ["two"]
    assert circuits["left"]["current_a"] == pytest.approx(950.0 / 120.0, abs=1e-3)
    assert circuits["right"]["breaker_a"] == 20.0


def test_what_a_breaker_holds_may_be_too_much_for_hours(measure: Measure) -> None:
    # 1300 W and 300 W at 120 V are 13.3 A: over 12 A, under 15 A.
    report = measure(f"""
power: {{outlet: us_15a, circuits: {{wall: {{other_w: 300}}}}}}
lights:
  one: {HALOGEN}
  two: {HALOGEN}
""")
    finding = found(report, "circuit_continuous")
    assert (finding["severity"], finding["limit"]) == ("warning", 12.0)
    assert str(finding["source"]).startswith("US: NFPA 70")
    assert "80 %" in str(finding["message"]) and "local code" in str(finding["message"])


def test_the_mains_voltage_of_the_scene_counts(measure: Measure) -> None:
    report = measure(f"""
power: {{outlet: us_15a, mains_v: 125, circuits: {{wall: {{breaker_a: 63}}}}}}
lights: {{one: {HALOGEN}}}
""")
    assert report_json(report)["power"]["circuits"]["wall"]["current_a"] == pytest.approx(5.2)


def with_fixture(stage: Stage, **other: float) -> Stage:
    """The stage with another record behind each of its lights."""
    lights = {
        name: replace(light, fixture=light.fixture.model_copy(update=other))
        for name, light in stage.lights.items()
    }
    return replace(stage, lights=lights)


def test_a_power_factor_raises_the_current_and_not_the_load(measure: Measure) -> None:
    stage = measure(f"lights: {{one: {HALOGEN}}}\n").measured.stage
    mains = load_of(with_fixture(stage, power_factor=0.5)).circuits["mains"]
    assert (mains.load_w, mains.load_va) == (650.0, 1300.0)
    assert mains.current_a == pytest.approx(1300.0 / 230.0)


@pytest.mark.parametrize(
    ("light_pct", "drawn"),
    [(100.0, 650.0), (50.0, 469.1), (25.0, 338.5), (10.0, 220.0), (0.0, 0.0)],
)
def test_a_filament_draws_more_than_its_share_of_light(light_pct: float, drawn: float) -> None:
    """By hand: a quarter of the light is 0.25^(1/3.4) = 0.6651 of the voltage, and power goes
    with voltage^1.6: 650 W x 0.6651^1.6 = 338.5 W."""
    lamp = CATALOG.fixture("fresnel_tungsten_650")
    assert lamp.filament and lamp.dimmer_curve != "linear"
    place = LightPlace(at_m=(0.0, 0.0), height_m=2.0)
    light = Light(fixture="fresnel_tungsten_650", place=place, dimmer_pct=light_pct)
    at = np.zeros(3)
    assert drawn_w(StageLight("one", lamp, light, at, at)) == pytest.approx(drawn, abs=0.1)
    off = light.model_copy(update={"on": False})
    assert drawn_w(StageLight("one", lamp, off, at, at)) == 0.0


@pytest.mark.parametrize(("share", "within"), [(0.8, 0.01), (0.5, 0.01), (0.25, 0.01), (0.1, 0.06)])
def test_a_filament_draws_what_a_grey_body_of_that_light_radiates(
    share: float, within: float
) -> None:
    """By other laws than the lamp's own: light by Planck and the eye, power by T^4.

    The two agree to 1 % down to a quarter of the light; at a tenth, where the lamp's exponents
    end, they are 6 % apart. The eye's curve is the bell of Palmer's "Radiometry and Photometry
    FAQ", from memory.
    """
    wavelength_um = np.linspace(0.38, 0.78, 401)
    eye = 1.019 * np.exp(-285.4 * (wavelength_um - 0.559) ** 2)
    kelvin = np.linspace(2000.0, 3200.0, 1201)
    radiated = wavelength_um**-5 / np.expm1(14388.0 / (wavelength_um * kelvin[:, None]))
    light = radiated @ eye
    at_k = float(np.interp(share, light / light[-1], kelvin))
    assert filament_power_share(share) == pytest.approx((at_k / 3200.0) ** 4, rel=within)


def test_the_meter_and_the_power_mean_the_same_by_a_dimmer(measure: Measure) -> None:
    """A quarter is a quarter of the light, whatever curve the fixture's dimmer has."""
    full = measure(f"lights:\n  one: {HALOGEN}\n").measured
    dim = measure(f"lights:\n  one: {HALOGEN[:-1]}, dimmer_pct: 25}}\n").measured
    given = [m.stage.emitters[0].luminance_cd_m2 for m in (full, dim)]
    assert given[1] / given[0] == pytest.approx(0.25)
    assert dim.power.as_set_w == pytest.approx(338.5, abs=0.1)


def test_where_the_control_stands_gives_the_light_that_was_solved() -> None:
    """Balance tells the control apart from the light: an S-curve gives 25 % of light at 32.6."""
    level = level_for_share(0.25, CATALOG.fixture("fresnel_tungsten_650").dimmer_curve)
    assert level == pytest.approx(0.3264, abs=1e-4)
    assert output_share(level, "fine_at_both_ends") == pytest.approx(0.25)
    # 3 x^2 - 2 x^3 by hand: 0.104 at a fifth, 0.648 at three fifths, 0.972 at nine tenths.
    for at, light in ((0.2, 0.104), (0.6, 0.648), (0.9, 0.972)):
        assert output_share(at, "fine_at_both_ends") == pytest.approx(light)
        assert level_for_share(light, "fine_at_both_ends") == pytest.approx(at)


def test_a_hot_lamp_is_named_once_and_only_when_it_is_on(measure: Measure) -> None:
    report = measure(f"lights:\n  one: {HALOGEN}\n  two: {HALOGEN}\n")
    cautions = [f for f in report.findings if f.rule == "hot_lamp"]
    assert len(cautions) == 1 and cautions[0].severity == "note"
    assert "one and two: hot lamps burn" in cautions[0].message
    assert "hot_lamp" not in rules(measure(f"lights: {{one: {HALOGEN[:-1]}, on: false}}}}\n"))
