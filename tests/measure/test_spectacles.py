"""What spectacles mirror, on a plane lens of known answer, a mannequin and a real person."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
import trimesh

from previz import api
from previz.geometry.gear.emitter import EmitterShape
from previz.measure.light.light import set_for_lx
from previz.measure.light.luminance import luminance_cd_m2
from previz.measure.light.spectacles import SpectacleLens, lenses_of, veils
from previz.measure.report import measure_set
from previz.physics.beam import cosine_power, relative_luminance
from previz.stage.stage import Emitter
from previz.telling.report_json import report_json
from previz.telling.report_text import report_lines

NO_WALLS = np.zeros((0, 3, 3))
SCENE = """\
previz: 1
title: A reader
room: {width_m: 6, depth_m: 8, height_m: 3}
people:
  guest: {at_m: [0, 0], seat: stool, turn_deg: 0, stature_cm: 165, spectacles: true}
cameras:
  A:
    sensor: full_frame
    lens: zoom_24_105_f4
    focal_length_mm: 70
    f_number: 4
    place: {at_m: [0, -2.5], height: eye}
    aim: guest
    aim_from_top_pct: 36
"""
LOW = "elevation_deg: -10"


def key(more: str, fixture: str = "softbox_90") -> str:
    return (
        f"lights:\n  key: {{fixture: {fixture}, aim: guest, place: {{side: camera_left, "
        f"azimuth_deg: 15, {more}, distance_m: 1.6}}}}\n"
    )


@pytest.fixture
def opened(tmp_path: Path, mannequins: None):
    def run(more: str, wears: str = "true"):
        path = tmp_path / "scene.yaml"
        worn = SCENE.replace("spectacles: true", f"spectacles: {wears}")
        path.write_text(worn + more, encoding="utf-8")
        return api.open_scene(path)

    return run


def report_on(opened):
    return measure_set(opened.stage, opened.scene.rules, opened.scene.targets)


@pytest.fixture
def report(opened):
    return lambda *given: report_on(opened(*given))


def found_in(report) -> list:
    return [f for f in report.findings if f.rule == "spectacles_reflection"]


# --- a plane lens ----------------------------------------------------------------------------


def plane_lens(at: np.ndarray, steps: int = 80) -> SpectacleLens:
    """50 x 40 mm, upright, facing -Y."""
    x, z = (np.arange(steps) + 0.5) / steps * 0.05, (np.arange(steps) + 0.5) / steps * 0.04
    grid = np.stack(np.meshgrid(x - 0.025, [0.0], z - 0.02, indexing="ij"), axis=-1)
    points = grid.reshape(-1, 3) + at
    normals = np.broadcast_to([0.0, -1.0, 0.0], points.shape)
    return SpectacleLens("left", points, normals, np.full(len(points), 0.002 / len(points)), 1.5)


def before(at: np.ndarray, width_m: float, height_m: float) -> Emitter:
    """A matt face of 1000 cd/m2 that shines along +Y."""
    pose = np.eye(4)
    pose[:3, :3] = np.column_stack([[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]])
    pose[:3, 3] = at
    shape = EmitterShape("rectangle", pose, width_m=width_m, height_m=height_m)
    return Emitter("key", "lights.key", shape, 1000.0, np.ones(3))


def test_a_plane_lens_is_covered_by_the_image_as_far_behind_it_as_the_light_stands_before(opened):
    """Seen from D = 2.5 m, a light at 2.5 m has an image at 5 m: half as large on the lens."""
    stage = opened("").stage
    camera = stage.cameras["A"]
    at = camera.position_m + 2.5 * np.array([0.0, 1.0, 0.0])
    emitter = before(camera.position_m, 0.05, 0.04)
    (veil,) = veils(stage, camera, "guest", [plane_lens(at)], NO_WALLS, [emitter])
    assert veil.covered_pct == pytest.approx(25.0, abs=0.1)
    assert veil.veil_cd_m2 == pytest.approx(1000.0 * 2 * 0.04 / 1.04, rel=1e-3)
    grey = 0.18 * set_for_lx(camera) / math.pi
    assert veil.stops_over_grey == pytest.approx(math.log2(veil.veil_cd_m2 / grey))
    # Moved aside by the image's width plus the lens's, it is out of the lens.
    gone = before(camera.position_m + np.array([0.151, 0.0, 0.0]), 0.05, 0.04)
    assert veils(stage, camera, "guest", [plane_lens(at)], NO_WALLS, [gone]) == ()


def test_a_wall_between_hides_the_light_and_the_nearer_light_the_farther(opened):
    stage = opened("").stage
    camera = stage.cameras["A"]
    at = camera.position_m + 2.5 * np.array([0.0, 1.0, 0.0])
    lens, near = plane_lens(at), before(camera.position_m + np.array([0.0, 0.5, 0.0]), 2.0, 2.0)
    far = before(camera.position_m, 2.0, 2.0)
    other = Emitter("other", "lights.other", far.shape, 1000.0, np.ones(3))
    seen = veils(stage, camera, "guest", [lens], NO_WALLS, [other, near])
    assert [(veil.light, veil.covered_pct) for veil in seen] == [("key", pytest.approx(100.0))]
    wall = trimesh.creation.box([3.0, 0.1, 3.0])
    wall.apply_translation(camera.position_m + np.array([0.0, 1.5, 0.0]))
    assert veils(stage, camera, "guest", [lens], wall.triangles, [far]) == ()


def test_a_lens_out_of_the_frame_or_seen_from_behind_mirrors_nothing(opened):
    stage = opened("").stage
    camera = stage.cameras["A"]
    wide = before(camera.position_m, 9.0, 9.0)
    aside = plane_lens(camera.position_m + np.array([1.5, 2.5, 0.0]))
    assert veils(stage, camera, "guest", [aside], NO_WALLS, [wide]) == ()
    lens = plane_lens(camera.position_m + np.array([0.0, 2.5, 0.0]))
    away = SpectacleLens("left", lens.points_m, -lens.normals, lens.areas_m2, 1.5)
    assert veils(stage, camera, "guest", [away], NO_WALLS, [wide]) == ()


def test_a_narrow_face_is_as_bright_as_its_beam_that_way(opened):
    stage = opened("").stage
    table = relative_luminance(cosine_power(9.0))
    matt = before(np.zeros(3), 1.0, 1.0)
    beam = Emitter("key", "lights.key", matt.shape, 1000.0, np.ones(3), profile=table)
    angle = math.radians(30.0)
    ways = np.array([[0.0, -1.0, 0.0], [math.sin(angle), -math.cos(angle), 0.0]])
    assert luminance_cd_m2(matt, stage, ways) == pytest.approx([1000.0, 1000.0])
    expected = [1000.0, 1000.0 * math.cos(angle) ** 8]
    assert luminance_cd_m2(beam, stage, ways) == pytest.approx(expected, rel=1e-3)
    # Azimuth 0 lies to the right seen from behind the light, which here is east.
    halved = Emitter(
        "key", "lights.key", matt.shape, 1000.0, np.ones(3),
        profile=np.stack([np.ones(9), np.ones(9), np.zeros(9), np.zeros(9)]),
    )  # fmt: skip
    to_west = np.array([[math.sin(angle), -math.cos(angle), 0.0]])
    assert luminance_cd_m2(halved, stage, to_west) == pytest.approx([0.0], abs=1e-9)
    assert luminance_cd_m2(halved, stage, to_west * [-1.0, 1.0, 1.0]) == pytest.approx([1000.0])


# --- a mannequin -----------------------------------------------------------------------------


def test_a_low_key_veils_the_lenses_and_the_finding_says_what_takes_it_out(report) -> None:
    found = report(key(LOW))
    (finding,) = found_in(found)
    assert (finding.severity, finding.about) == ("warning", "cameras.A")
    assert "key mirrored over" in finding.message and "guest's" in finding.message
    assert "raise key by" in finding.message
    listed = report_json(found)["cameras"]["A"]["spectacles"]
    assert {one["lens"] for one in listed} == {"left", "right"}
    assert set(listed[0]) == {
        "person", "light", "lens", "covered_pct", "veil_cd_m2", "stops_over_grey",
    }  # fmt: skip
    assert any(line.strip().startswith("spectacles") for line in report_lines(found))


def test_the_raise_that_it_names_clears_the_lenses_and_five_degrees_less_does_not(report) -> None:
    (finding,) = found_in(report(key(LOW)))
    raised = int(finding.message.split("raise key by ")[1].split(" deg")[0])
    assert 5 <= raised <= 40
    assert found_in(report(key(f"elevation_deg: {raised - 10}"))) == []
    assert len(found_in(report(key(f"elevation_deg: {raised - 15}")))) == 1


def test_where_tipping_the_lenses_helps_it_is_told_by_how_much(report) -> None:
    (finding,) = found_in(report(key("elevation_deg: 0")))
    found = re.search(r"temples (\d+) mm, which tips the lenses (\d+) deg down", finding.message)
    assert found is not None
    ears_m = 0.11 * 1.65 / 1.63  # behind the bridge of the mannequin's nose, about
    expected_mm = 1000.0 * ears_m * math.sin(math.radians(float(found[2])))
    assert float(found[1]) == pytest.approx(expected_mm, abs=1.0)


def test_a_dim_light_a_high_one_and_one_behind_are_not_told_of(report) -> None:
    dim = key(LOW).replace("distance_m: 1.6}", "distance_m: 1.6}, dimmer_pct: 1")
    assert found_in(report(dim)) == []
    assert found_in(report(key("elevation_deg: 50"))) == []
    behind = key(LOW).replace("azimuth_deg: 15", "azimuth_deg: 150")
    assert report_json(report(behind))["cameras"]["A"]["spectacles"] == []


def test_a_window_is_not_told_to_be_raised(report) -> None:
    # Low and wide, behind the camera; two stops more light than the usual sky.
    window = (
        "openings:\n  pane: {wall: south, along_m: 1.5, width_m: 3, sill_m: 0.1, height_m: 1.4}\n"
        "daylight: {sky: overcast, horizontal_lx: 40000}\n"
    )
    (finding,) = found_in(report(window))
    assert "pane mirrored" in finding.message and "draw its curtain" in finding.message
    assert "raise" not in finding.message and "move it" not in finding.message


def test_without_spectacles_nothing_is_mirrored(report) -> None:
    found = report(key(LOW), "false")
    assert report_json(found)["cameras"]["A"]["spectacles"] == [] and found_in(found) == []


# --- a real person ---------------------------------------------------------------------------


def test_a_real_persons_lenses_lean_as_an_optician_sets_them_and_mirror_a_low_light(
    tmp_path: Path,
) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE + key(LOW), encoding="utf-8")
    opened = api.open_scene(path)
    guest = opened.stage.people["guest"]
    lenses = lenses_of(opened.stage, guest)
    assert [lens.side for lens in lenses] == ["left", "right"]
    for lens in lenses:
        middle = np.average(lens.normals, axis=0, weights=lens.areas_m2)
        # The head itself may nod a few degrees.
        assert math.degrees(math.asin(-middle[2] / np.linalg.norm(middle))) == pytest.approx(
            8.0, abs=4.0
        )
        assert float(middle @ guest.face_forward) > 0.9
        # An oval 51 x 39 mm has pi / 4 of its box; a rounded box somewhat more.
        assert 0.785 < lens.areas_m2.sum() / (0.051 * 0.039) < 0.95
    found = report_on(opened)
    assert len(found_in(found)) == 1
