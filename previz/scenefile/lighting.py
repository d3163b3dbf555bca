"""Lights: can the fixture do what the scene asks of it?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from previz.model.records import Fixture
from previz.scenefile.view import View

if TYPE_CHECKING:
    from previz.catalog import Catalog

_FORMS = {
    "bounce_board": "a board", "diffusion_frame": "a diffusion frame", "flag": "a flag",
}  # fmt: skip
_PASSIVE_KEYS = (
    "dimmer_pct", "cct_k", "beam_deg", "gels", "duv", "grid_deg", "barn_doors", "ies",
)  # fmt: skip
_FITS = {
    "grid_deg": (("softbox", "panel"), "a softbox or panel"),
    "barn_doors": (("fresnel",), "a fresnel"),
    "ies": (("softbox", "panel", "fresnel"), "a softbox, panel or fresnel, whose face is flat"),
}
"""What only some forms of fixtures can carry."""
_REACHES = ("floor_lamp", "pendant_lamp")
"""Bodies that reach to the floor or the ceiling, and stand on nothing else."""
_BEAM_SLACK_DEG = 0.5


def check_lights(view: View, catalog: Catalog) -> None:
    """Dimmer, colour temperature, beam and fittings of every light."""
    for name in view.names("lights"):
        fixture_name = view.text("lights", name, "fixture")
        if fixture_name is None or fixture_name not in catalog.names("fixtures"):
            continue
        fixture = catalog.fixture(fixture_name)
        if view.given("lights", name, "place", "on") and fixture.body in (None, *_REACHES):
            view.say(
                ("lights", name, "place", "on"),
                f"only a lamp that stands on furniture takes it, and {fixture_name} does not; "
                "give height_m",
            )
        if fixture.emits:
            _check_colour(view, name, fixture_name, fixture)
            _check_beam(view, name, fixture_name, fixture)
            _check_fittings(view, name, fixture_name, fixture)
        else:
            _check_passive(view, name, fixture_name, fixture)


def _check_passive(view: View, light: str, fixture_name: str, fixture: Fixture) -> None:
    for key in _PASSIVE_KEYS:
        if view.given("lights", light, key):
            form = _FORMS[fixture.form]
            view.say(
                ("lights", light, key), f"{fixture_name} is {form}, it gives no light; delete this"
            )


def _check_colour(view: View, light: str, fixture_name: str, fixture: Fixture) -> None:
    trail = ("lights", light, "cct_k")
    value = view.number(*trail)
    if value is None or fixture.cct_k is None:
        return
    low, high = fixture.cct_k
    if low <= value <= high:
        return
    right = f"{low:g}, or left out," if low == high else f"from {low:g} to {high:g}"
    view.say_found(trail, f"{right} with {fixture_name}")


def _check_beam(view: View, light: str, fixture_name: str, fixture: Fixture) -> None:
    trail = ("lights", light, "beam_deg")
    value = view.number(*trail)
    if value is None:
        return
    measured = [entry.beam_deg for entry in fixture.lux_at]
    beams = measured if len(measured) > 1 else [b for b in [fixture.beam_deg, *measured] if b]
    if not beams:
        view.say(trail, f"{fixture_name} shines all round, it has no beam to set; delete this")
        return
    low, high = min(beams), max(beams)
    if low - _BEAM_SLACK_DEG <= value <= high + _BEAM_SLACK_DEG:
        return
    right = f"{low:g}, or left out," if low == high else f"from {low:g} to {high:g}"
    view.say_found(trail, f"{right} with {fixture_name}")


def _check_fittings(view: View, light: str, fixture_name: str, fixture: Fixture) -> None:
    for key, (forms, right) in _FITS.items():
        if view.given("lights", light, key) and fixture.form not in forms:
            view.say(("lights", light, key), f"needs {right}; {fixture_name} is a {fixture.form}")
    if view.given("lights", light, "beam_deg") and view.given("lights", light, "ies"):
        view.say(("lights", light, "beam_deg"), "the beam is that of the ies file; delete this")
