"""The placing solver against the camera's own projection, over random rooms, lenses and people."""

from __future__ import annotations

import re
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.measure.camera.heads import head_points
from previz.measure.report import measure_set
from previz.model.scene import Scene
from previz.scenefile import read_scene
from previz.solve.framing import HEADROOM_PCT, usual_head_pct
from previz.solve.place import Placed, place_cameras
from previz.stage.build import Framed, build_cameras, build_stage
from previz.stage.people import Cast
from previz.telling.report_json import report_json

pytestmark = pytest.mark.usefixtures("mannequins")

CATALOG = Catalog.load()
SENSORS = ("full_frame", "super35_3perf", "super35_4perf")
LENSES = MappingProxyType(
    {n: CATALOG.lens(n) for n in CATALOG.names("lenses") if n.startswith(("zoom", "prime"))}
)
SIZES = tuple(HEADROOM_PCT)


def scene_text(**values: object) -> str:
    return """\
previz: 1
title: Random room
room: {{width_m: {width}, depth_m: {depth}, height_m: 3.0}}
people:
  guest: {{at_m: [{x}, {y}], seat: {seat}, turn_deg: {turn}, sex: {sex},
    stature_percentile: {percentile}}}
cameras:
  A: {{sensor: {sensor}, lens: {lens}, focal_length_mm: {focal}, f_number: 5.6, aim: guest,
    place: {{frame: {size}, from_deg: {from_deg}, height_m: {height}}}}}
""".format(**values)


def placed(folder: Path, text: str) -> tuple[Placed, Scene]:
    path = folder / "scene.yaml"
    path.write_text(text, encoding="utf-8")
    draft = read_scene(path, CATALOG)
    assert draft.scene is not None and not draft.problems, draft.problems
    return place_cameras(draft.scene, CATALOG, draft.places), draft.scene


def random_values(rng: np.random.Generator) -> dict[str, object]:
    width, depth = rng.uniform(2.5, 9.0, 2).round(2)
    lens = str(rng.choice(list(LENSES)))
    low, high = LENSES[lens].focal_length_mm
    return {
        "width": width,
        "depth": depth,
        "x": round(float(rng.uniform(-0.4, 0.4) * width), 2),
        "y": round(float(rng.uniform(-0.4, 0.4) * depth), 2),
        "seat": rng.choice(["stool", "stool_high"]),
        "turn": round(float(rng.uniform(-180, 180)), 1),
        "sex": rng.choice(["female", "male"]),
        "percentile": int(rng.integers(1, 100)),
        "sensor": rng.choice(SENSORS),
        "lens": lens,
        "focal": round(float(rng.uniform(low, high)), 1),
        "size": rng.choice(SIZES),
        "from_deg": round(float(rng.uniform(-90, 90)), 1),
        "height": round(float(rng.uniform(0.7, 1.9)), 2),
    }


def in_frame(scene: Scene, framed: Framed) -> tuple[float, float]:
    """Head height and headroom, % of the frame, by projecting people as the stage builds them."""
    cast, standings = Cast(scene, CATALOG), framed.standings
    targets = {"guest": standings["A"].position_m} if scene.people["guest"].gaze else {}
    things, people = cast.looking(targets)
    cameras, _ = build_cameras(scene, CATALOG, standings, people)
    camera, person = cameras["A"], people["guest"]
    at = camera.project(head_points(things, person), 1000, 1000)[:, 1] / 10.0
    chin = camera.project(person.landmarks["chin"], 1000, 1000)[0, 1] / 10.0
    skull = camera.project(person.landmarks["head_top"], 1000, 1000)[0, 1] / 10.0
    return chin - skull, at.min()


def read_places(folder: Path):  # type: ignore[no-untyped-def]
    return read_scene(folder / "scene.yaml", CATALOG).places


def test_500_random_rooms_are_framed_as_asked_or_refused_with_a_reason(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    fitted = refused = steep = 0
    for _ in range(500):
        values = random_values(rng)
        result, scene = placed(tmp_path, scene_text(**values))
        size = str(values["size"])
        if result.problems:
            refused += 1
            message = result.problems[0].message
            if "does not fit" in message:  # no place at all at this height: nothing was placed
                assert re.search(r"[\d.]+ m from the eyes|from this height", message), message
                steep += "from this height" in message
                continue
            assert re.search(r"needs the lens [\d.]+ m from guest", message), message
            assert re.search(r"too little|nearer than it focuses|wall|leaves", message), message
        else:
            fitted += 1
            x, y, _ = result.framed.standings["A"].position_m
            # Half a metre for the legs, to the centimetre in which distances are told.
            assert abs(x) <= values["width"] / 2 - 0.489 and abs(y) <= values["depth"] / 2 - 0.489
        head, headroom = in_frame(scene, result.framed)
        wanted = usual_head_pct(size, scene.rules.shot_sizes)  # type: ignore[arg-type]
        assert abs(head / wanted - 1.0) < 0.01, (values, head, wanted)
        assert abs(headroom - HEADROOM_PCT[size]) < 1.0, values  # type: ignore[index]
    assert fitted > 100 and refused > 100
    # A lens far over or under a head and near it may see no such frame; that is rare.
    assert steep <= 5


def test_the_focal_length_it_names_fits(tmp_path: Path) -> None:
    values = {
        "width": 4.0, "depth": 5.0, "x": 0, "y": 1.0, "seat": "stool", "turn": 0, "sex": "male",
        "percentile": 50, "sensor": "full_frame", "lens": "zoom_70_200_f2.8", "focal": 135,
        "size": "medium_shot", "from_deg": 20, "height": 1.2,
    }  # fmt: skip
    result, _ = placed(tmp_path, scene_text(**values))
    message = result.problems[0].message
    found = re.search(r"(\d+) mm would fit", message)
    assert found, message
    values["focal"] = int(found[1])
    again, _ = placed(tmp_path, scene_text(**values).replace("70_200_f2.8", "24_105_f4"))
    assert not again.problems
    values["focal"] = int(found[1]) + 3
    tight, _ = placed(tmp_path, scene_text(**values).replace("70_200_f2.8", "24_105_f4"))
    assert tight.problems


def test_no_room_is_too_small_by_nothing(tmp_path: Path) -> None:
    """Rooms that grow by millimetres until the camera fits: what is lacking is never 0.00 m."""
    values = {
        "width": 4.0, "depth": 4.0, "x": 0, "y": 0.5, "seat": "stool", "turn": 0, "sex": "male",
        "percentile": 50, "sensor": "full_frame", "lens": "zoom_70_200_f2.8", "focal": 85,
        "size": "medium_shot", "from_deg": 0, "height": 1.2,
    }  # fmt: skip
    lacking = r"needs the lens ([\d.]+) m .* leaves ([\d.]+) m there, ([\d.]+) m too little"

    def told(depth: float) -> list[tuple[float, ...]]:
        result, _ = placed(tmp_path, scene_text(**values | {"depth": round(depth, 4)}))
        found = [re.search(lacking, problem.message) for problem in result.problems]
        return [tuple(map(float, one.groups())) for one in found if one is not None]

    [(needs, leaves, _)] = told(4.0)
    fits = 4.0 + 2.0 * (needs - leaves)
    steps = [told(fits + 0.002 * step) for step in range(-12, 13)]
    assert steps[0] and not steps[-1]
    for needs, leaves, short in (numbers for step in steps for numbers in step):
        assert short == pytest.approx(needs - leaves) and short >= 0.01 - 1e-9


def test_room_behind_a_corner_is_not_used(tmp_path: Path) -> None:
    text = scene_text(
        width=4, depth=4, x=-1.2, y=-1.2, seat="stool", turn=90, sex="male", percentile=50,
        sensor="full_frame", lens="zoom_24_105_f4", focal=60, size="medium_shot", from_deg=45,
        height=1.2,
    )  # fmt: skip
    corners = "[[-2, -2], [3, -2], [3, -0.5], [0.5, -0.5], [0.5, 3], [-2, 3]]"
    corner = f"{{floor_m: {corners}, height_m: 3}}"
    text = text.replace("{width_m: 4, depth_m: 4, height_m: 3.0}", corner)
    result, _ = placed(tmp_path, text)
    assert "too little" in result.problems[0].message


def test_numbers_asked_for_win_over_what_is_usual(tmp_path: Path) -> None:
    text = scene_text(
        width=8, depth=8, x=0, y=2, seat="stool", turn=0, sex="female", percentile=50,
        sensor="super35_3perf", lens="zoom_24_70_f2.8", focal=50, size="medium_close_up",
        from_deg=-35, height=1.25,
    )  # fmt: skip
    text = text.replace("from_deg: -35", "from_deg: -35, headroom_pct: 4, look_room_pct: 62")
    result, scene = placed(tmp_path, text)
    stage, _ = build_stage(scene, CATALOG, tmp_path, "", read_places(tmp_path), result.framed)
    camera = report_json(measure_set(stage, scene.rules, scene.targets))["cameras"]["A"]
    assert camera["headroom_pct"] == pytest.approx(4.0, abs=0.05)
    assert camera["look_room_pct"] == pytest.approx(62.0, abs=0.05)
    assert camera["shot_size"] == "medium_close_up"
    assert camera["position_m"][2] == pytest.approx(1.25)
    # From the guest's right, which is to the left in a frontal picture.
    assert camera["position_m"][0] < 0.0


def test_a_guest_that_faces_a_framed_camera_is_refused(tmp_path: Path) -> None:
    text = scene_text(
        width=8, depth=8, x=0, y=2, seat="stool", turn=0, sex="female", percentile=50,
        sensor="super35_3perf", lens="zoom_24_70_f2.8", focal=50, size="close_up",
        from_deg=0, height=1.25,
    )  # fmt: skip
    result, _ = placed(tmp_path, text.replace("turn_deg: 0", "faces: A"))
    assert "counts from where people face" in result.problems[0].message


def test_looking_into_a_framed_lens_holds_the_frame(tmp_path: Path) -> None:
    text = scene_text(
        width=8, depth=8, x=0, y=2, seat="stool", turn=0, sex="female", percentile=50,
        sensor="super35_3perf", lens="zoom_24_70_f2.8", focal=50, size="close_up",
        from_deg=15, height=1.25,
    )  # fmt: skip
    result, scene = placed(tmp_path, text.replace("turn_deg: 0", "turn_deg: 0, gaze: A"))
    assert not result.problems
    head, headroom = in_frame(scene, result.framed)
    assert head == pytest.approx(usual_head_pct("close_up", scene.rules.shot_sizes), rel=0.01)
    assert headroom == pytest.approx(HEADROOM_PCT["close_up"], abs=1.0)
