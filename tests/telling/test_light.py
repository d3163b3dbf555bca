"""The light as it is told: the names other tools rely on, and readings that are not sure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from previz import api
from previz.measure.light.settings import settings_for_face
from previz.measure.report import Report, measure_set
from previz.physics.exposure import marked_iso
from previz.render.readings import Readings
from previz.telling.light_text import light_lines, read_lux
from previz.telling.report_json import report_json

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = Path(__file__).parents[1] / "measure" / "bad_setups" / "base.yaml"
FILL = (
    "lights.fill={fixture: panel_40, aim: guest, place: {side: camera_left, azimuth_deg: 40, "
    "elevation_deg: 10, distance_m: 2}}"
)
LUX = {"key": 400.0, "fill": 100.0}
Measured = Callable[..., Report]


@pytest.fixture
def measured(readings_of: Callable[..., Readings]) -> Measured:
    """The light of a guest with key and fill, with the errors of some receptors."""
    opened = api.open_scene(BASE, (FILL,))

    def run(errors: dict[str, float]) -> Report:
        sure = readings_of(opened.stage, LUX)
        points = {n: replace(r, error=errors.get(n, 0.0099)) for n, r in sure.points.items()}
        readings = Readings(points, sure.pictures)
        return measure_set(opened.stage, opened.scene.rules, opened.scene.targets, readings)

    return run


def test_names_that_other_tools_rely_on(measured: Measured) -> None:
    found = report_json(measured({}))
    guest = found["people"]["guest"]
    assert guest["illuminance_lx"] == {"key": 400.0, "fill": 100.0, "total": 500.0}
    assert guest["key_to_fill_ratio"] == 4.0 and guest["key_to_fill_stops"] == 2.0
    assert guest["facing"] == "A" and guest["cct_k"] == pytest.approx(5600.0, abs=15.0)
    for name in ("face_stops_over_grey", "background_stops_over_grey", "window_stops_over_grey",
                 "ev100"):  # fmt: skip
        assert name in found["exposure"]["A"]
    assert set(found) >= {"cameras", "people", "meters", "exposure", "power", "storage", "findings"}


def test_a_reading_that_is_not_sure_says_so_in_text_and_json(measured: Measured) -> None:
    """Above 1 % of standard error; what is surer stands alone."""
    report = measured({"face/guest": 0.02, "face/guest/A": 0.031, "side/guest/left": 0.0149})
    guest = report_json(report)["people"]["guest"]
    assert (guest["error_pct"], guest["error_pct_ahead"]) == (3.1, 2.0)
    assert guest["error_pct_by_camera"] == {"A": 3.1, "B": None}
    assert {guest["lit_side_error_pct"], guest["shadow_side_error_pct"]} == {1.5, None}
    assert report.light is not None
    lines = list(light_lines(report.measured, report.light))
    assert any("500 lx (error 3.1 %): key 400" in line for line in lines)
    assert sum("(error" in line for line in lines) == 2
    assert report_json(measured({}))["people"]["guest"]["error_pct"] is None
    assert read_lux(report.light.faces["guest"].toward) == "500 lx (error 3.1 %)"


def test_settings_for_a_face_are_told_rounded_and_null_in_the_dark(measured: Measured) -> None:
    report = measured({})
    told = report_json(report)["exposure"]["A"]["settings_for_face"]
    camera, targets = report.measured.stage.cameras["A"], report.measured.targets
    right = settings_for_face(camera, 500.0, targets)
    assert right is not None
    assert told["t_number"] == round(right.t_number, 2) and told["iso"] == round(right.iso)
    assert report.light is not None
    said = [line for line in light_lines(report.measured, report.light) if "put it right" in line]
    assert f"T{told['t_number']:g} or ISO {marked_iso(right.iso):g} would" in said[0]
    exposure = report.light.cameras["A"]
    dark = replace(
        report, light=replace(report.light, cameras={"A": replace(exposure, judged_lx=None)})
    )
    settings = report_json(dark)["exposure"]["A"]["settings_for_face"]
    assert settings == dict.fromkeys(("t_number", "iso", "shutter_s", "nd_density"))


def test_a_camera_that_is_right_is_told_so_and_one_that_sees_the_side_by_whom(
    measured: Measured,
) -> None:
    """No stop that it has already is offered; an even `under` does not contradict `right`."""
    report = measured({})
    assert report.light is not None
    exposures = {
        name: replace(e, judged_lx=e.set_for_lx, judged_by="A", from_skin=False)
        for name, e in report.light.cameras.items()
    }
    said = list(light_lines(report.measured, replace(report.light, cameras=exposures)))
    assert sum("nothing is to be changed" in line for line in said) == 2
    assert any("all cameras on this face are set as camera A sees it: nothing" in x for x in said)
    assert not any("would put it right" in line for line in said)
