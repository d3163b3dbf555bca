"""Supply, country's rule, frequency and lamps go together or it is a fault of the scene."""

from __future__ import annotations

from typing import Any

import pytest

from previz.catalog import Catalog
from previz.physics.power import CIRCUIT_RULES, suits

KEY = "    fixture: softbox_90\n"


def messages(read: Any, more: str, fixture: str | None = None) -> list[str]:
    change = [(KEY, f"    fixture: {fixture}\n")] if fixture else []
    last = "    dimmer_pct: 60\n"
    return [p.message for p in read(*change, (last, last + more)).problems]


@pytest.mark.parametrize(
    "more",
    [
        "",
        "power: {outlet: us_15a}\n",
        "power: {outlet: us_15a, mains_v: 127}\n",
        "power: {outlet: us_20a, mains_v: 110}\nexposure: {mains_hz: 60}\n",
        "power: {outlet: uk_13a, mains_v: 240}\nexposure: {mains_hz: 50}\n",
        "power: {mains_v: 207}\n",
        "power: {outlet: jp_15a}\nexposure: {mains_hz: 60}\n",
        "power: {outlet: jp_15a, mains_v: 101}\nexposure: {mains_hz: 50}\n",
    ],
)
@pytest.mark.parametrize("fixture", [None, "fresnel_tungsten_650"])
def test_what_goes_together_is_no_fault(read: Any, more: str, fixture: str | None) -> None:
    assert messages(read, more, fixture) == []


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            "power: {mains_v: 120}\n",
            "power.mains_v: must be from 207 to 253 with outlet eu_16a (EN 50160 4.2.2: 230 V "
            "within 10 %), found 120; where the mains have 120 V the outlet is us_15a or us_20a",
        ),
        (
            "power: {outlet: us_15a, mains_v: 230}\n",
            "power.mains_v: must be from 110 to 127 with outlet us_15a (ANSI C84.1, range B of the "
            "service voltage: 110 to 127 V (from memory)), found 230; where the mains have 230 V "
            "the outlet is uk_13a, eu_16a or eu_10a",
        ),
        (
            "power: {mains_v: 150}\n",
            "power.mains_v: must be from 207 to 253 with outlet eu_16a (EN 50160 4.2.2: 230 V "
            "within 10 %), found 150",
        ),
        (
            "power: {outlet: us_15a}\nexposure: {mains_hz: 50}\n",
            "exposure.mains_hz: must be 60 with outlet us_15a (US), found 50",
        ),
        (
            "exposure: {mains_hz: 60}\n",
            "exposure.mains_hz: must be 50 with outlet eu_16a (continental Europe), found 60",
        ),
        (
            "power: {outlet: jp_15a}\n",
            "power.outlet: jp_15a may have 50 or 60 Hz: give exposure.mains_hz",
        ),
    ],
)
def test_supply_against_rule_and_frequency(read: Any, more: str, said: str) -> None:
    assert messages(read, more) == [said]


@pytest.mark.parametrize(
    ("fixture", "more", "said"),
    [
        ("practical_bulb_60w", "power: {outlet: us_15a}\n", "230 V and may not run at 120 V"),
        ("practical_bulb_60w_120v", "", "120 V and may not run at 230 V"),
        ("practical_bulb_60w", "power: {outlet: jp_15a}\nexposure: {mains_hz: 50}\n", "at 100 V"),
    ],
)
def test_a_lamp_for_other_mains_is_a_fault(read: Any, fixture: str, more: str, said: str) -> None:
    change = (KEY, f"    fixture: {fixture}\n")
    last = "    dimmer_pct: 60\n"
    [problem] = read(change, (last, last + more)).problems
    assert problem.message.startswith(f"lights.key.fixture: the lamp of {fixture} is made for")
    assert said in problem.message
    assert "; take practical_bulb_60w" in problem.message or "electronic" in problem.message


def test_every_filament_says_what_it_is_made_for_and_runs_somewhere() -> None:
    catalog = Catalog.load()
    usual = {rule.voltage_v for rule in CIRCUIT_RULES.values()}
    for name in catalog.names("fixtures"):
        fixture = catalog.fixture(name)
        assert fixture.filament == bool(fixture.lamp_v)
        for lamp_v in fixture.lamp_v:
            assert any(suits(lamp_v, mains_v) for mains_v in usual), name


def test_no_rule_for_hours_is_the_full_rating() -> None:
    """No code outside the US gives a share that is known here: 80 % then, as a margin."""
    for name, rule in CIRCUIT_RULES.items():
        assert rule.continuous_share == 0.8, name
        assert rule.low_v <= rule.voltage_v <= rule.high_v
        assert ("margin" in rule.source) == (rule.country != "US")
