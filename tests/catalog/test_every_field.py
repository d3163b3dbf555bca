"""No field of a record is without effect: changed, it changes something, or it is refused."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, cast

import numpy as np
import pytest
from pydantic import ValidationError

from previz.api import pipeline
from previz.api.opening import OpenScene, open_scene
from previz.catalog import Catalog
from previz.catalog.summary import summary
from previz.errors import CatalogError
from previz.geometry.furniture import parameters_of
from previz.measure.gear.power import drawn_w, load_of
from previz.measure.kit.needs import needs_of
from previz.measure.light.windows import clip_stops
from previz.measure.report import measure_set
from previz.model.records import Adapter, Fixture, Lens, Record, Sensor, SensorMode
from previz.scenefile import read_scene
from previz.solve.balance import knob_pct
from previz.stage.build import build_stage
from previz.stage.furnishing import shape_parameters
from previz.stage.identity import identity_of
from previz.telling.report_json import report_json

pytestmark = pytest.mark.usefixtures("mannequins")
CATALOG = Catalog.load()
TOLD = {"label", "kind", "source", "note"}
"""What a record tells people; its effect is to be read."""
TOLD_OF_A_LAMP = {"weight_kg"}
"""A lamp of the room is on no stand, so its weight is to be read and no more."""
SCENE = """\
previz: 1
title: Plain room
room: {{width_m: 6, depth_m: 8, height_m: 3}}
people: {{guest: {{at_m: [0, 0], seat: stool}}}}
cameras:
  A: {{sensor: {sensor}, lens: {lens}, focal_length_mm: 50, f_number: 5.6, {adapter}aim: guest,
      place: {{at_m: [0, -2.5], height: eye}}}}
lights:
  key: {{fixture: {fixture}, aim: guest, place: {{at_m: [1, -1], height_m: 2}}}}
sound: {{lavalier: guest}}
"""
OTHER: dict[str, Any] = {
    "width_m": 0.47, "height_m": 0.47, "diameter_m": 0.047, "length_m": 0.83, "flux_lm": 1234.0,
    "beam_deg": 77.0, "field_deg": 119.0, "cct_k": (2000.0, 9000.0), "default_cct_k": 3300.0,
    "power_w": 77.0, "weight_kg": 55.0, "stand_footprint_m": 2.9, "stand_height_m": (2.9, 3.0),
    "material": "brick_red", "body": "table_lamp", "dimmer_curve": "fine_when_dim",
    "filament": True, "power_factor": 0.4, "hot": True, "lamp_v": (110.0,), "stand_off_m": 2.5,
    "noise": "a hum: move it off",
    "lux_at": ({"distance_m": 2.0, "illuminance_lx": 900.0, "beam_deg": 20.0},),
}  # fmt: skip
"""Another value for each field of a fixture."""
EXAMPLES = {
    "panel": "panel_60x40", "softbox": "softbox_90", "lantern": "lantern_60", "tube": "tube_120",
    "fresnel": "fresnel_150", "filament": "fresnel_tungsten_650", "bulb": "practical_bulb_led",
    "lamp": "practical_floor_lamp", "board": "bounce_board_120", "flag": "black_flag_60x90",
    "frame": "diffusion_frame_120",
}  # fmt: skip


class Changed:
    """The catalogue with one record in place of another."""

    def __init__(self, name: str, record: Record) -> None:
        self._name, self._record = name, record

    def __getattr__(self, method: str) -> Any:
        usual = getattr(CATALOG, method)
        if method not in ("fixture", "lens", "sensor", "adapter"):
            return usual
        return lambda name: self._record if name == self._name else usual(name)


def outcome(catalog: Any, folder: Path, **names: str) -> str:
    """All that is built and measured of a scene, as a text."""
    path = folder / "scene.yaml"
    usual = {"sensor": "full_frame", "lens": "zoom_24_105_f4", "fixture": "softbox_90"}
    path.write_text(SCENE.format(**{"adapter": "", **usual, **names}), encoding="utf-8")
    draft = read_scene(path, catalog)
    said = [problem.message for problem in draft.problems]
    if draft.scene is None or said:
        return repr(said)
    scene = draft.scene
    stage, problems = build_stage(scene, catalog, folder, "", draft.places)
    opened = OpenScene(path, folder, scene, stage, catalog, "", None)
    report = measure_set(opened.stage, opened.scene.rules, opened.scene.targets)
    light, fixture = scene.lights["key"], catalog.fixture(scene.lights["key"].fixture)
    dimmed = light.model_copy(update={"dimmer_pct": 30.0})
    held = {
        "identity": dataclasses.asdict(identity_of(stage)),
        "cameras": [repr(dataclasses.asdict(c)) for c in stage.cameras.values()],
        "report": report_json(report),
        "kit": repr(needs_of(stage, {}).items),
        "problems": [problem.message for problem in problems],
        "knob": knob_pct(fixture, 30.0),
        "dimmed_w": drawn_w(dataclasses.replace(stage.lights["key"], setting=dimmed)),
        "warm": fixture.filament,
        "clip": clip_stops(report.measured, "A"),
        "range": fixture.cct_k,
        "currents": dict(load_of(stage).currents_a),
    }
    return json.dumps(held, sort_keys=True, default=repr)


def other(record: Fixture, field: str) -> Fixture | None:
    """The fixture with another value in one field; None where such a fixture is refused."""
    data = record.model_dump() | {field: OTHER[field]}
    if field == "filament":
        data["filament"] = not record.filament
        data["lamp_v"] = () if record.filament else (230.0,)
    if field == "lux_at" and record.lux_at:
        data["lux_at"] = (OTHER["lux_at"][0], record.model_dump()["lux_at"][1])
    if field == "hot":
        data["hot"] = not record.hot
    try:
        return Fixture.model_validate(data)
    except ValidationError:
        return None


FIELDS = [f for f in Fixture.model_fields if f not in (*TOLD, "form")]


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_every_field_of_a_fixture_has_an_effect_or_is_refused(
    example: str, field: str, tmp_path: Path
) -> None:
    name = EXAMPLES[example]
    changed = other(CATALOG.fixture(name), field)
    if changed is None or (field in TOLD_OF_A_LAMP and example in ("bulb", "lamp")):
        return
    before = outcome(CATALOG, tmp_path, fixture=name)
    assert outcome(Changed(name, changed), tmp_path, fixture=name) != before


def test_most_fields_are_not_refused_everywhere() -> None:
    """Each field has a fixture that takes it, so that the test above tries all of them."""
    for field in FIELDS:
        assert any(other(CATALOG.fixture(n), field) for n in EXAMPLES.values()), field


@pytest.mark.parametrize(
    ("name", "field", "value"),
    [
        ("lantern_60", "beam_deg", 60.0),
        ("panel_60x40", "field_deg", 150.0),
        ("panel_60x40", "material", "brick_red"),
        ("softbox_90", "diameter_m", 0.4),
        ("practical_bulb_led", "height_m", 0.2),
        ("bounce_board_120", "power_w", 30.0),
        ("bounce_board_120", "dimmer_curve", "fine_when_dim"),
        ("fresnel_150", "stand_off_m", 1.0),
        ("fresnel_150", "body", "floor_lamp"),
        ("practical_floor_lamp", "stand_height_m", (1.0, 2.0)),
    ],
)
def test_what_would_do_nothing_is_refused_by_name(name: str, field: str, value: Any) -> None:
    data = CATALOG.fixture(name).model_dump() | {field: value}
    with pytest.raises(ValidationError, match=f"{field} would do nothing here; delete it"):
        Fixture.model_validate(data)


LENS = {
    "focal_length_mm": (60.0, 105.0), "f_number": (5.0, 5.0), "t_number": (6.0, 6.0),
    "min_iris_f_number": 4.5, "close_focus_m": 2.9, "image_circle_mm": 20.0, "length_mm": 400.0,
    "diameter_mm": 200.0, "weight_kg": 9.0,
}  # fmt: skip
SENSOR = {
    "width_mm": 40.0, "height_mm": 30.0, "base_iso": 3200.0, "dynamic_range_stops": 3.0,
    "stops_over_grey": 1.0, "weight_kg": 9.0, "power_w": 90.0,
}  # fmt: skip
MODE = {"width_mm": 20.0, "height_mm": 10.0, "width_px": 640, "height_px": 320, "max_fps": 12.0}
ADAPTER = {
    "factor": 1.4, "transmittance_pct": 20.0, "image_circle_factor": 0.2, "weight_kg": 7.0,
}  # fmt: skip


@pytest.mark.parametrize("field", [f for f in Lens.model_fields if f not in TOLD])
def test_every_field_of_a_lens_has_an_effect(field: str, tmp_path: Path) -> None:
    lens = CATALOG.lens("zoom_24_105_f4")
    changed = lens.model_copy(update={field: LENS[field]})
    before = outcome(CATALOG, tmp_path) + summary(lens)
    assert outcome(Changed("zoom_24_105_f4", changed), tmp_path) + summary(changed) != before


@pytest.mark.parametrize("field", [f for f in Adapter.model_fields if f not in TOLD])
def test_every_field_of_an_adapter_has_an_effect(field: str, tmp_path: Path) -> None:
    name = CATALOG.names("adapters")[0]
    adapter, given = CATALOG.adapter(name), {"adapter": f"adapter: {name}, "}
    changed = adapter.model_copy(update={field: ADAPTER[field]})
    before = outcome(CATALOG, tmp_path, **given) + summary(adapter)
    assert outcome(Changed(name, changed), tmp_path, **given) + summary(changed) != before


@pytest.mark.parametrize("field", [f for f in SENSOR if f != "dynamic_range_stops"])
def test_every_field_of_a_sensor_has_an_effect(field: str, tmp_path: Path) -> None:
    sensor = CATALOG.sensor("full_frame")
    changed = sensor.model_copy(update={field: SENSOR[field]})
    before = outcome(CATALOG, tmp_path) + summary(sensor)
    assert outcome(Changed("full_frame", changed), tmp_path) + summary(changed) != before


@pytest.mark.parametrize("field", [f for f in SensorMode.model_fields if f not in TOLD])
def test_every_field_of_a_mode_has_an_effect(field: str, tmp_path: Path) -> None:
    sensor = CATALOG.sensor("full_frame")
    modes = {n: m.model_copy(update={field: MODE[field]}) for n, m in sensor.modes.items()}
    changed = sensor.model_copy(update={"modes": modes})
    assert outcome(Changed("full_frame", changed), tmp_path) != outcome(CATALOG, tmp_path)


def test_the_range_of_a_sensor_is_where_the_exposure_map_ends(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spans = []
    monkeypatch.setattr(pipeline, "write_exposure_map", lambda *given: spans.append(given[2]))
    path = tmp_path / "scene.yaml"
    text = SCENE.format(sensor="full_frame", lens="zoom_24_105_f4", adapter="", fixture="tube_60")
    path.write_text(text, encoding="utf-8")
    opened = open_scene(path)
    sensor = opened.catalog.sensor("full_frame")
    short = sensor.model_copy(update={"dynamic_range_stops": 3.0})
    picture = np.ones((4, 8, 3), np.float32)
    finish = pipeline.Finish(exposure_map=True)
    setup = opened.stage.setups["A"]
    for record in (sensor, short):
        kit = dataclasses.replace(setup.kit, sensor=record)
        setups = {"A": dataclasses.replace(setup, kit=kit)}
        of = dataclasses.replace(opened, stage=dataclasses.replace(opened.stage, setups=setups))
        made = pipeline.Pipeline(of, tmp_path, (0.33, 0.33), finish)
        made.frame(of.stage.cameras["A"], picture, 1)
    assert [span.floor_stops for span in spans] == pytest.approx(
        [sensor.stops_over_grey - sensor.dynamic_range_stops, sensor.stops_over_grey - 3.0]
    )


def test_the_tables_of_this_test_know_every_field() -> None:
    def told(model: type[Record] | type[SensorMode], table: Mapping[str, Any]) -> set[str]:
        return set(model.model_fields) - set(table) - TOLD

    assert told(Lens, LENS) == told(Adapter, ADAPTER) == told(SensorMode, MODE) == set()
    assert told(Sensor, SENSOR) == {"modes"} and told(Fixture, OTHER) == {"form"}


def test_an_option_that_a_shape_has_not_is_refused() -> None:
    record = CATALOG.furniture("trestle_table")
    odd = record.model_copy(update={"options": {"wheels": 4.0}})
    with pytest.raises(CatalogError, match="wheels would do nothing, for the shape"):
        shape_parameters(odd, 1)
    assert set(shape_parameters(record, 1)) <= set(parameters_of(record.shape))


@pytest.mark.parametrize("name", ["diffusion_frame_120", "diffusion_frame_120_light"])
def test_a_light_diffusion_frame_holds_light_diffusion(name: str, tmp_path: Path) -> None:
    """The share of light that comes through is the cloth's own: 0.42, and 0.65 of a light one."""
    path = tmp_path / "scene.yaml"
    text = SCENE.format(sensor="full_frame", lens="zoom_24_105_f4", adapter="", fixture=name)
    path.write_text(text, encoding="utf-8")
    draft = read_scene(path, CATALOG)
    assert draft.scene is not None and not draft.problems
    stage, _ = build_stage(draft.scene, CATALOG, tmp_path, "", draft.places)
    frame = next(thing for thing in stage.things if thing.name == "lights.key")
    cloth = next(piece for piece in frame.pieces if piece.name == "cloth")
    through = stage.materials[cloth.material].diffuse_transmittance
    assert through == {"diffusion_frame_120": 0.42, "diffusion_frame_120_light": 0.65}[name]


def test_a_board_of_the_users_own_material_throws_back_what_that_says(tmp_path: Path) -> None:
    board = CATALOG.fixture("bounce_board_120").model_copy(update={"material": "brick_red"})
    path = tmp_path / "scene.yaml"
    text = SCENE.format(
        sensor="full_frame", lens="zoom_24_105_f4", adapter="", fixture="bounce_board_120"
    )
    path.write_text(text, encoding="utf-8")
    draft = read_scene(path, CATALOG)
    assert draft.scene is not None
    catalog = cast(Catalog, Changed("bounce_board_120", board))
    stage, _ = build_stage(draft.scene, catalog, tmp_path, "", draft.places)
    thing = next(thing for thing in stage.things if thing.name == "lights.key")
    assert next(p for p in thing.pieces if p.name == "face").material == "brick_red"


def test_a_shade_throws_back_what_its_cloth_does(tmp_path: Path) -> None:
    path = tmp_path / "scene.yaml"
    text = SCENE.format(
        sensor="full_frame", lens="zoom_24_105_f4", adapter="", fixture="practical_floor_lamp"
    )
    path.write_text(text, encoding="utf-8")
    draft = read_scene(path, CATALOG)
    assert draft.scene is not None
    stage, _ = build_stage(draft.scene, CATALOG, tmp_path, "", draft.places)
    cloth = np.array(CATALOG.material("lamp_shade").reflectance)
    assert stage.emitters[0].reflectance == pytest.approx(
        cloth @ [0.2126, 0.7152, 0.0722], rel=1e-3
    )
