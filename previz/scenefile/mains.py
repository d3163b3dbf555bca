"""The mains: do voltage, frequency, the country's rule and the lamps go together?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from previz.model.records import Fixture
from previz.physics.power import CIRCUIT_RULES, LAMP_WITHIN, CircuitRule, suits
from previz.scenefile.view import View
from previz.scenefile.wording import listed

if TYPE_CHECKING:
    from previz.catalog import Catalog


def check_mains(view: View, catalog: Catalog) -> None:
    """The supply against the rule of its outlet, and every lamp against the supply."""
    outlet = view.text("power", "outlet")
    rule = CIRCUIT_RULES.get(outlet or "")
    if rule is None or outlet is None:
        return
    mains_v = view.number("power", "mains_v")
    if mains_v is not None and not rule.low_v <= mains_v <= rule.high_v:
        _wrong_voltage(view, mains_v, outlet, rule)
    _check_frequency(view, outlet, rule)
    if view.given("power", "mains_v") or view.lacking("power", "mains_v"):
        for name in view.names("lights"):
            _check_lamp(view, catalog, name, rule.voltage_v if mains_v is None else mains_v)


def _wrong_voltage(view: View, mains_v: float, outlet: str, rule: CircuitRule) -> None:
    fitting = [n for n, r in CIRCUIT_RULES.items() if r.low_v <= mains_v <= r.high_v]
    hint = f"; where the mains have {mains_v:g} V the outlet is {listed(fitting)}"
    view.say(
        ("power", "mains_v"),
        f"must be from {rule.low_v:g} to {rule.high_v:g} with outlet {outlet} ({rule.supply}), "
        f"found {mains_v:g}{hint if fitting else ''}",
    )


def _check_frequency(view: View, outlet: str, rule: CircuitRule) -> None:
    trail = ("exposure", "mains_hz")
    given = view.number(*trail)
    right = listed([f"{hz}" for hz in rule.frequencies_hz])
    if given is not None and given not in rule.frequencies_hz:
        view.say_found(trail, f"{right} with outlet {outlet} ({rule.country})")
    elif view.lacking(*trail) and len(rule.frequencies_hz) > 1:
        view.say(("power", "outlet"), f"{outlet} may have {right} Hz: give exposure.mains_hz")


def _check_lamp(view: View, catalog: Catalog, light: str, mains_v: float) -> None:
    name = view.text("lights", light, "fixture")
    if name is None or name not in catalog.names("fixtures"):
        return
    fixture = catalog.fixture(name)
    if not fixture.lamp_v or any(suits(lamp_v, mains_v) for lamp_v in fixture.lamp_v):
        return
    made = listed([f"{lamp_v:g}" for lamp_v in fixture.lamp_v], "and")
    view.say(
        ("lights", light, "fixture"),
        f"the lamp of {name} is made for {made} V and may not run at {mains_v:g} V: it must lie "
        f"within {100 * LAMP_WITHIN:.0f} %{_instead(catalog, fixture, mains_v)}",
    )


def _instead(catalog: Catalog, fixture: Fixture, mains_v: float) -> str:
    """Fixtures like it whose lamps suit the mains."""
    like = [
        name
        for name in catalog.names("fixtures")
        for other in [catalog.fixture(name)]
        if (other.form, other.body, other.filament) == (fixture.form, fixture.body, True)
        and any(suits(lamp_v, mains_v) for lamp_v in other.lamp_v)
    ]
    return f"; take {listed(like)}" if like else "; take a light with an electronic supply"
