"""What the page is told of a scene: what can be turned, the plan, numbers in words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from previz.api.measuring import measure_scene
from previz.api.opening import OpenScene, open_scene
from previz.telling.page import facts_json
from previz.watch.controls import controls_json
from previz.watch.overrides import Overrides, edits_from
from previz.watch.plan import plan_json

HOUSE = Path(__file__).parents[2]
SCENES = sorted(HOUSE.glob("scenes/*/*.yaml"))

pytestmark = pytest.mark.usefixtures("mannequins")


def controls(opened: OpenScene) -> list[dict[str, Any]]:
    """All controls of a scene in one list."""
    found = controls_json(opened)
    by_name = [*found["cameras"].values(), *found["lights"].values(), *found["windows"].values()]
    return [control for part in [*by_name, found["shared"]] for control in part]


@pytest.mark.parametrize("scene", SCENES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_control_of_the_shipped_scenes_can_be_turned(scene: Path) -> None:
    """To what it stands at: allowed in a page, readable as a setting, and nothing moves."""
    opened = open_scene(scene)
    every = controls(opened)
    assert len(every) >= 10
    values: dict[str, Any] = {}
    for control in every:
        values |= {**control.get("also", {}), control["path"]: control["value"]}
    turned = Overrides(edits_from(values))
    again = open_scene(scene, turned.settings())
    for name, camera in opened.stage.cameras.items():
        other = again.stage.cameras[name]
        assert other.position_m == pytest.approx(camera.position_m, abs=0.006)
        assert other.focal_length_m == pytest.approx(camera.focal_length_m)
        assert other.f_number == pytest.approx(camera.f_number)
        assert other.shutter_s == pytest.approx(camera.shutter_s)
    for name, light in opened.stage.lights.items():
        assert again.stage.lights[name].output == pytest.approx(light.output)
    assert again.stage.white_cct_k is not None and again.stage.white_card_of is None


def test_limits_of_controls_are_those_of_the_gear(room: Path) -> None:
    found = {control["path"]: control for control in controls(open_scene(room))}
    zoom = found["cameras.A.focal_length_mm"]
    assert (zoom["low"], zoom["high"], zoom["value"]) == (24, 70, 35)
    assert "cameras.B.focal_length_mm" not in found, "a prime has only its own"
    names = [name for name, _ in found["cameras.B.lens"]["names"]]
    assert names.index("prime_50_f1.4") < names.index("prime_85_f1.4")
    stops = found["cameras.B.f_number"]["choices"]
    assert stops[0] == 1.4 and stops[-1] == 16 and 2.8 in stops
    assert found["cameras.A.place.height_m"]["also"] == {}
    assert found["lights.key.dimmer_pct"]["value"] == 40
    low, high = found["lights.key.cct_k"]["low"], found["lights.key.cct_k"]["high"]
    assert 2500 <= low < 5600 < high <= 10000
    assert found["openings.window.gel_nd"]["value"] == 0.3


def test_a_camera_placed_in_words_can_be_placed_by_number(tmp_path: Path, plain: str) -> None:
    scene = tmp_path / "scene.yaml"
    framed = "{frame: medium_close_up, from_deg: 10}"
    words = plain.replace("{at_m: [0, -2.5], height: eye}", framed)
    scene.write_text(words, encoding="utf-8")
    found = {control["path"]: control for control in controls(open_scene(scene))}
    place = found["cameras.A.place.at_m"]
    assert place["also"] == {"cameras.A.place.frame": None, "cameras.A.place.from_deg": None}
    turned = Overrides(edits_from({**place["also"], place["path"]: [0.5, -3.0]}))
    camera = open_scene(scene, turned.settings()).stage.cameras["A"]
    assert camera.position_m[:2] == pytest.approx([0.5, -3.0])


def test_the_plan_shows_what_stands_where(room: Path) -> None:
    plan = plan_json(open_scene(room).stage)
    assert len(plan["walls"]) == 4 and len(plan["floor"]) == 4
    (window,) = plan["openings"]
    assert window["kind"] == "window"
    xs = [x for x, _ in window["outline"]]
    ys = [y for _, y in window["outline"]]
    assert (min(xs), max(xs)) == pytest.approx((2.5, 2.75)), "in the east wall, as deep as it"
    assert max(ys) - min(ys) == pytest.approx(1.4)
    (shelf,) = plan["furniture"]
    assert max(y for _, y in shelf) == pytest.approx(3.0, abs=0.03), "against the north wall"
    key, camera = plan["lights"]["key"], plan["cameras"]["A"]
    assert (key["at"], key["aim"], key["lit"]) == ([-1.5, -1.0], [0.0, 1.0], True)
    assert camera["at"] == [0.5, -2.0] and camera["focus_m"] == 3.0
    assert camera["turn_deg"] == pytest.approx(99.46, abs=0.01), "toward (0, 1): atan2(3, -0.5)"
    assert 30 < camera["angle_deg"] < 45


def test_the_plan_shows_people_as_they_sit(tmp_path: Path, plain: str) -> None:
    scene = tmp_path / "scene.yaml"
    scene.write_text(plain, encoding="utf-8")
    guest = plan_json(open_scene(scene).stage)["people"]["guest"]
    assert guest["at"][0] == pytest.approx(0.0, abs=0.05)
    assert guest["facing"] == pytest.approx([0.0, -1.0], abs=0.05)
    assert len(guest["outline"]) >= 4


def test_numbers_are_told_in_words(tmp_path: Path, plain: str) -> None:
    scene = tmp_path / "scene.yaml"
    scene.write_text(plain, encoding="utf-8")
    facts = facts_json(measure_scene(scene))
    rows = dict(facts["cameras"]["A"])
    assert rows["lens"].startswith("70 mm") and "of guest, headroom" in rows["frame"]
    assert facts["light"] is None
    assert {"rule", "severity", "message", "source"} <= set(facts["findings"][0])
