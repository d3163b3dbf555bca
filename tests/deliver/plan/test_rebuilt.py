"""A set built from plan, setting-out table and kit list alone gives the same frames and light."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from oracles.paper_set import PaperSet

from previz import api
from previz.api.opening import OpenScene, open_scene
from previz.measure.measured import measure
from previz.stage.stage import Stage

SCENES = Path(__file__).parents[3] / "scenes"
SHIPPED = ("first_light", "bookbinder", "harbour_pilot", "round_table")
TRIED_CM = (155.0, 175.0)
LOFT = """
previz: 1
title: Corner of a loft
room:
  floor_m: [[0, 0], [0, 6.2], [3.4, 6.2], [3.4, 4.1], [7.1, 4.1], [7.1, 0]]
  height_m: 3.1
  wall_thickness_m: 0.3
openings:
  skylight: {wall: 1, along_m: 1.2, width_m: 1.4, sill_m: 0.8, height_m: 1.5, gel_nd: 0.3}
  hatch: {kind: door, wall: 5, along_m: 0.7, width_m: 0.9, height_m: 2.1}
people:
  potter: {at_m: [2.0, 3.1], seat: workshop_stool, faces: sister, sex: male, stature_cm: 188}
  sister: {at_m: [4.4, 1.7], faces: potter, stature_percentile: 20}
furniture:
  table: {piece: table, at_m: [1.5, 4.6], turn_deg: 12}
  plug: {piece: wall_socket, wall: 6, along_m: 3.0, gap_m: 0.001}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 41
    f_number: 3.2
    place: {at_m: [4.9, 2.3], height: eye}
    aim: potter
    aim_from_left_pct: 61
    aim_from_top_pct: 35
  B:
    sensor: full_frame
    lens: prime_85_f1.4
    f_number: 2.8
    place: {at_m: [1.3, 2.1], height_m: 1.45}
    aim: sister
    nd_density: 0.6
    shutter_deg: 90
lights:
  strip:
    fixture: strip_30x120
    aim: potter
    place: {at_m: [3.3, 1.2], height_m: 1.9}
    turn_deg: 35
    grid_deg: 40
    dimmer_pct: 45
    cct_k: 4300
  slash:
    fixture: fresnel_150
    aim_m: [1.2, 4.4, 0.9]
    place: {at_m: [0.5, 5.5], height_m: 2.4}
    beam_deg: 40
    turn_deg: -20
    barn_doors: {left_deg: -25, top_deg: 50}
    gels: [nd_0.3]
    cct_k: 4300
  board: {fixture: bounce_board_120, aim: potter, place: {at_m: [0.8, 2.6], height_m: 1.2}}
"""
pytestmark = pytest.mark.usefixtures("mannequins")


def opened(folder: Path, text: str) -> OpenScene:
    path = folder / "scene.yaml"
    path.write_text(text, encoding="utf-8")
    return open_scene(path)


def eyes_m(scene: OpenScene) -> dict[str, float]:
    return {n: float(p.landmarks["eyes"][2]) for n, p in scene.stage.people.items()}


def built(paper: PaperSet, folder: Path) -> OpenScene:
    """The set as a crew builds it: everyone is seated so that their eyes are as high as it says."""
    wanted = {n: float(row["eye_height_m"]) for n, row in paper.rows_of("people")}
    low, high = (
        eyes_m(opened(folder, paper.scene(dict.fromkeys(wanted, tall)))) for tall in TRIED_CM
    )
    statures = {
        name: TRIED_CM[0]
        + (at_m - low[name]) / (high[name] - low[name]) * (TRIED_CM[1] - TRIED_CM[0])
        for name, at_m in wanted.items()
    }
    return opened(folder, paper.scene(statures))


def framings(scene: OpenScene) -> dict[str, tuple[float, ...]]:
    """By camera, per cent of the frame."""
    found = measure(scene.stage, scene.scene.rules, scene.scene.targets)
    return {
        name: (
            f.headroom_pct, f.eye_height_pct, f.eye_from_left_pct, f.look_room_pct,
            f.head_height_pct, f.subject_height_pct,
        )
        for name, numbers in found.cameras.items()
        if (f := numbers.framing) is not None
    }  # fmt: skip


def shot_sizes(scene: OpenScene) -> dict[str, str]:
    found = measure(scene.stage, scene.scene.rules, scene.scene.targets)
    return {n: c.framing.shot_size for n, c in found.cameras.items() if c.framing is not None}


def on_faces(stage: Stage) -> Mapping[tuple[str, str], tuple[float, float]]:
    """By light and person: how far the eyes lie, and how far off the light's axis, degrees."""
    found = {}
    for name, light in stage.lights.items():
        ahead = (light.aim_m - light.position_m) / np.linalg.norm(light.aim_m - light.position_m)
        for other, person in stage.people.items():
            toward = person.landmarks["eyes"] - light.position_m
            far = float(np.linalg.norm(toward))
            off = math.degrees(math.acos(np.clip(float(toward @ ahead) / far, -1.0, 1.0)))
            found[name, other] = far, off
    return found


def faces_of_lamps(stage: Stage) -> dict[str, tuple[np.ndarray, float]]:
    """By light that shines: the axes of its face, roll and all, and its power."""
    return {
        e.thing: (e.shape.pose[:3, :3], float(np.sum(e.power)))
        for e in stage.emitters
        if e.thing.startswith("lights.")
    }


@pytest.mark.parametrize("name", [*SHIPPED, "loft"])
def test_a_set_built_from_paper_gives_the_same_frames(name: str, tmp_path: Path) -> None:
    planned = opened(tmp_path, LOFT) if name == "loft" else open_scene(SCENES / name)
    made = api.plan_scene(planned, api.PlanOptions(out=tmp_path))
    packed = api.pack_scenes([planned], api.PackOptions(tmp_path))
    kit = next(file for file in packed.files if file.suffix == ".csv")
    paper = PaperSet(tmp_path / "plan.svg", tmp_path / "setting_out.csv", kit)
    assert not paper.lacking()
    again = built(paper, tmp_path)
    wanted, found = framings(planned), framings(again)
    assert set(found) == set(planned.stage.cameras)
    for camera, numbers in wanted.items():
        assert found[camera] == pytest.approx(numbers, abs=0.5)
    assert shot_sizes(again) == shot_sizes(planned)
    there, here = on_faces(planned.stage), on_faces(again.stage)
    assert set(here) == set(there)
    for pair, (far, off) in there.items():
        assert here[pair][0] == pytest.approx(far, rel=0.005)
        assert here[pair][1] == pytest.approx(off, abs=0.5)
    lamps = faces_of_lamps(again.stage)
    for lamp, (axes, power) in faces_of_lamps(planned.stage).items():
        assert lamps[lamp][0] == pytest.approx(axes, abs=2e-3)
        assert lamps[lamp][1] == pytest.approx(power, rel=1e-3)
    assert made.scale == paper.plan.scale
