"""`previz verify`: a still of our own, from a camera that stands otherwise than planned."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import Result
from PIL import Image

from previz.api.opening import open_scene
from previz.api.rendering import render_scene
from previz.api.session import RenderOptions
from previz.api.verifying import OneStill, planned_of
from previz.cli.exits import Exit
from previz.solve.resection import Change, changed

Run = Callable[..., Result]
TRUE = Change(tilt=-0.025, roll=0.02, forward=-0.18)
NAMES = (
    "eye_left", "eye_right", "head_top", "chin", "window.top_left", "window.top_right",
    "window.bottom_left", "window.bottom_right", "desk.top_far_left", "desk.top_far_right",
    "desk.top_near_left",
)  # fmt: skip
MORE = """
openings:
  window: {wall: north, along_m: 2.2, width_m: 1.2, sill_m: 1.0, height_m: 0.7}
furniture:
  desk: {piece: desk, at_m: [0.4, 1.2], turn_deg: 20}
exposure: {iso: 800, fps: 25, shutter_deg: 180, white_balance: {cct_k: 5600}}
"""
GREY = np.full((90, 160, 3), 118, np.uint8)
pytestmark = pytest.mark.usefixtures("mannequins")


@pytest.fixture
def scene(tmp_path: Path, plain: str, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "day" / "scene.yaml"
    path.parent.mkdir()
    path.write_text(plain.replace("focal_length_mm: 70", "focal_length_mm: 35") + MORE, "utf-8")
    return path


@pytest.fixture
def no_render(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(OneStill, "planned_frame", lambda _: GREY)


def points_of(scene: Path, size: tuple[int, int], noise_px: float) -> list[str]:
    planned = planned_of(open_scene(scene), "A")
    camera, rng = changed(planned.camera, TRUE), np.random.default_rng(4)
    words = []
    for name in NAMES:
        x, y = camera.project(planned.features[name].point_m, *size)[0] + rng.normal(0, noise_px, 2)
        words += ["--point", f"{name}={x:.2f},{y:.2f}"]
    return words


def flat(tmp_path: Path, size: tuple[int, int] = (1280, 720)) -> Path:
    path = tmp_path / ("grab.png" if size == (1280, 720) else "other.png")
    Image.new("RGB", size, (118, 118, 118)).save(path)
    return path


@pytest.mark.usefixtures("no_render")
def test_what_it_writes_says_and_keeps(run: Run, scene: Path, tmp_path: Path) -> None:
    words = ["verify", scene, "--camera", "A", "--still", flat(tmp_path)]
    points = points_of(scene, (1280, 720), 1.0)
    done = run(*words, *points)
    assert done.exit_code == Exit.DONE, done.stderr
    lines = done.stdout.splitlines()
    folder = Path("out") / "day" / "verify"
    assert lines[:3] == [
        str(folder / f"verified_A{end}") for end in (".png", "_overlay.png", ".html")
    ]
    record = Path(lines[3])
    assert record.parent == scene.parent / "verified" and record.name.startswith("A_")
    assert any(re.search(r"\. tilt up 1\.\d° ", line) for line in lines)
    assert any("anticlockwise" in line for line in lines) and "Weigh" not in done.stdout
    assert "Local code and licensed practice decide." in done.stderr
    as_json = json.loads(run(*words, *points, "--json").stdout)
    numbers = as_json["numbers"]
    assert numbers["roll_deg"]["real"] == pytest.approx(np.degrees(TRUE.roll), abs=0.3)
    assert numbers["tilt_deg"]["real"] - numbers["tilt_deg"]["planned"] == pytest.approx(
        np.degrees(TRUE.tilt), abs=0.3
    )
    kept = json.loads(record.read_text("utf-8"))
    assert kept["result"]["numbers"] == numbers and kept["still_sha256"] == as_json["still_sha256"]
    assert len(list(record.parent.iterdir())) == 1, "the same still again is the same record"


@pytest.mark.usefixtures("no_render")
def test_points_from_a_file_and_the_list(run: Run, scene: Path, tmp_path: Path) -> None:
    assert "No still" in run("verify", scene, "--list").stdout
    file = tmp_path / "points.yaml"
    pairs = [word.split("=") for word in points_of(scene, (1280, 720), 0.0)[1::2]]
    told = {name: [float(v) for v in at.split(",")] for name, at in pairs}
    file.write_text(json.dumps({"points": told}), "utf-8")
    words = ["verify", scene, "--camera", "A", "--still", flat(tmp_path), "--points", file]
    assert run(*words).exit_code == Exit.DONE
    (line,) = run("verify", scene, "--list").stdout.splitlines()
    assert "camera A, grab.png" in line and "anticlockwise" in line and "changed" not in line
    scene.write_text(scene.read_text("utf-8").replace("iso: 800", "iso: 400"), "utf-8")
    (line,) = run("verify", scene, "--list").stdout.splitlines()
    assert line.endswith("(the plan has changed since)")
    assert json.loads(run("verify", scene, "--list", "--json").stdout)[0]["same_plan"] is False


def test_names_and_the_page_to_set_points_on(run: Run, scene: Path, tmp_path: Path) -> None:
    names = run("verify", scene, "--camera", "A", "--names").stdout.splitlines()
    assert names[0] == "eye_left" and "window.top_left" in names and "guest.chin" in names
    done = run("verify", scene, "--camera", "A", "--still", flat(tmp_path), "--click")
    page = Path(done.stdout.strip()).read_text("utf-8")
    assert "window.top_left" in page and "--points points_A.json" in page


def one_line(result: Result) -> str:
    assert result.exit_code == Exit.WRONG
    (line,) = result.stderr.splitlines()
    return line


@pytest.mark.usefixtures("no_render")
def test_mistakes_are_one_line(run: Run, scene: Path, tmp_path: Path) -> None:
    still = flat(tmp_path)
    words = ["verify", scene, "--camera", "A", "--still", still]
    two = ["--point", "chin=600,300", "--point", "eyes=600,200"]
    assert one_line(run(*words)).startswith(f"{still}: 0 named points are too few")
    assert "outside the still" in one_line(run(*words, *two, "--point", "mouth=-4,1"))
    assert "did you mean chin?" in one_line(run(*words, *two, "--point", "chinn=4,1"))
    assert "write X,Y in pixels" in one_line(run(*words, "--point", "chin=4"))
    assert "there is no camera B" in one_line(run("verify", scene, "--camera", "B", "--names"))
    wrong = flat(tmp_path, (640, 480))
    assert "grab the whole frame" in one_line(run(*words[:-1], wrong, *two))
    file = tmp_path / "points.yaml"
    file.write_text("points: {chin: [1]}", "utf-8")
    assert one_line(run(*words, "--points", file)).startswith(f"{file}: points.chin: found [1]")
    file.write_text("points: {chin: [1", "utf-8")
    assert one_line(run(*words, "--points", file)).startswith(f"{file}:2:")
    assert "--camera is wanted" in run("verify", scene).stderr


def test_a_rendered_still_beside_a_rendered_plan(run: Run, scene: Path, tmp_path: Path) -> None:
    """Plan and still are path-traced, small; the planned frame that lies there is taken."""
    opened = open_scene(scene)
    small = RenderOptions(
        out=Path("out/day"), cameras=("A",), quality="draft", width_px=160, samples=2, denoise=False
    )
    render_scene(opened, small)
    cameras = {"A": changed(opened.stage.cameras["A"], TRUE)}
    moved = replace(opened, stage=replace(opened.stage, cameras=cameras))
    shot = render_scene(moved, replace(small, out=tmp_path / "shot", keep_light=False)).files[0]
    points = points_of(scene, (160, 90), 0.1)
    done = run("verify", scene, "--camera", "A", "--still", shot, *points, "--json", "--out", "v",
               "--card", "60,20:70,30")  # fmt: skip
    told = json.loads(done.stdout)
    assert told["numbers"]["roll_deg"]["real"] == pytest.approx(np.degrees(TRUE.roll), abs=0.3)
    assert not (Path("v") / "planned").exists(), "nothing is rendered for it"
    plan, still = (np.asarray(Image.open(p)) for p in ("out/day/frame_A.png", shot))
    overlay = np.asarray(Image.open("v/verified_A_overlay.png"))
    np.testing.assert_allclose(overlay, (plan.astype(float) + still) / 2.0, atol=1.0)
    assert set(told["card"]) >= {"over_stops", "planned_light", "still_white"}
