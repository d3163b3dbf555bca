"""Filming a move: frames in their order, smears added up as light, findings told, files whole."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from PIL import Image

from previz import api
from previz.api import moving
from previz.api.drawing import DrawnFrames, TracedFrames, drawer_for
from previz.api.looking import Look, Smear
from previz.develop.exposure import exposure_scale
from previz.errors import InputError, MissingError
from previz.stage.moving.shutter import MOST_SUB_FRAMES, shift_px, sub_frame_times_s
from previz.stage.stage import StageCamera

BLOCK = """\
moves:
  push: {camera: A, kind: dolly, duration_s: 1, keys: [{at_s: 1, at_m: [0, -2.2]}]}
  whip: {camera: A, kind: pan_and_tilt, duration_s: 0.4, ease: linear,
         keys: [{at_s: 0.4, pan_deg: 60}]}
"""


class Bearings:
    """A drawer whose light is the bearing of the camera, and which keeps what it was asked."""

    usual_width_px = 64
    made_with = "a test"

    def __init__(self) -> None:
        self.asked: list[StageCamera] = []
        self.made_for: list[str] = []
        self.closed = 0

    def serves(self, camera: str) -> bool:
        return camera == self.made_for[-1]

    def picture(self, smear: Smear, width_px: int) -> Any:
        assert smear.exposing.name == "A"
        self.asked += smear.cameras
        width, height = smear.exposing.picture_size(width_px)
        mean = np.mean([float(camera.forward[0]) for camera in smear.cameras])
        return np.full((height, width, 3), np.clip(mean * 200.0 + 20.0, 0, 255), np.uint8)

    def film(self, smears: list[Smear], width_px: int) -> Any:
        return (self.picture(smear, width_px) for smear in smears)

    def close(self) -> None:
        self.closed += 1


@pytest.fixture
def opened(tmp_path: Path, mannequins: None, plain: str) -> api.OpenScene:
    path = tmp_path / "scene.yaml"
    path.write_text(plain + BLOCK, encoding="utf-8")
    return api.open_scene(path)


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Bearings:
    drawer = Bearings()

    def made(_opened: object, camera: str, *_: object, **__: object) -> Bearings:
        drawer.made_for.append(camera)
        return drawer

    monkeypatch.setattr(moving, "drawer_for", made)
    return drawer


class Told(api.Silence):
    """Keeps what is said."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.steps: list[int] = []

    def advance(self, done: int) -> None:
        self.steps.append(done)

    def say(self, text: str) -> None:
        self.said.append(text)


def test_every_move_becomes_a_film_and_a_sheet(
    opened: api.OpenScene, drawn: Bearings, tmp_path: Path
) -> None:
    told = Told()
    made = api.film_moves(opened, api.MoveOptions(out=tmp_path / "o"), told)
    assert [file.name for file in made.files] == [
        "move_push.mp4", "move_push.png", "move_push.pdf",
        "move_whip.mp4", "move_whip.png", "move_whip.pdf",
    ]  # fmt: skip
    assert all(file.stat().st_size > 0 for file in made.files)
    assert made.frames == 25 + 10 == len(drawn.asked)
    assert drawn.made_for == ["A"], "a set is loaded once for all moves of a camera"
    assert drawn.closed == 1
    assert told.steps == [*range(1, 26), *range(1, 11)]
    with av.open(str(made.files[0])) as film:
        assert film.streams.video[0].average_rate == 25
        assert sum(1 for _ in film.decode(video=0)) == 25
    with Image.open(made.files[1]) as sheet:
        assert sheet.width == 2400
    assert made.files[2].read_bytes().startswith(b"%PDF")


def test_frames_are_the_camera_at_their_times(opened: api.OpenScene, drawn: Bearings) -> None:
    move = opened.stage.moves["push"]
    api.film_moves(opened, api.MoveOptions("push", out=opened.folder / "o"))
    for number, camera in enumerate(drawn.asked):
        np.testing.assert_array_equal(camera.pose, move.camera_at(number / 25).pose)


def test_a_sheet_alone_draws_its_own_frames_and_no_film(
    opened: api.OpenScene, drawn: Bearings, tmp_path: Path
) -> None:
    made = api.film_moves(opened, api.MoveOptions("push", out=tmp_path / "o", film=False))
    assert [file.suffix for file in made.files] == [".png", ".pdf"]
    assert made.frames == 12 == len(drawn.asked)
    move = opened.stage.moves["push"]
    np.testing.assert_array_equal(drawn.asked[-1].pose, move.camera_at(24 / 25).pose)


def test_slow_motion_takes_more_frames_and_plays_at_the_programmes_rate(
    opened: api.OpenScene, drawn: Bearings, tmp_path: Path
) -> None:
    slow = api.open_scene(opened.path, ("A.fps=50", "A.mode=hd"))
    made = api.film_moves(slow, api.MoveOptions("push", out=tmp_path / "o"))
    with av.open(str(made.files[0])) as film:
        assert film.streams.video[0].average_rate == 25
        assert sum(1 for _ in film.decode(video=0)) == 50


def test_a_smear_is_the_mean_of_the_light_while_the_shutter_is_open(
    opened: api.OpenScene, drawn: Bearings
) -> None:
    move = opened.stage.moves["whip"]
    filming = moving.Filming(opened, move, drawn, api.MoveOptions(motion_blur=True), Told())
    picture = drawn.picture(filming.smear(0.1), 64)
    times = sub_frame_times_s(move, 0.1, 64)
    assert len(times) == len(drawn.asked) > 3
    bearings = [float(move.camera_at(t).forward[0]) for t in times]
    assert picture[0, 0, 0] == pytest.approx(20.0 + 200.0 * np.mean(bearings), abs=1.0)
    drawn.asked.clear()
    sharp = moving.Filming(opened, move, drawn, api.MoveOptions(), Told()).smear(0.1)
    assert len(sharp.cameras) == 1


def test_sub_frames_share_out_the_shutter_by_how_far_things_go(opened: api.OpenScene) -> None:
    whip, push = opened.stage.moves["whip"], opened.stage.moves["push"]
    times = sub_frame_times_s(whip, 0.1, 640)
    gaps = np.diff(times)
    # 180 degrees at 25 frames a second: 1/50 s.
    assert gaps == pytest.approx(np.full(len(gaps), 0.02 / len(times)))
    assert times[0] - 0.1 == pytest.approx(gaps[0] / 2)
    assert len(times) == MOST_SUB_FRAMES
    assert len(sub_frame_times_s(push, 0.0, 640)) == 1, "at rest"
    assert 1 < len(sub_frame_times_s(push, 0.5, 640)) < MOST_SUB_FRAMES
    # 150 deg/s of pan over 1/50 s: 3 degrees of 28.84, in the middle of the picture.
    shift = shift_px(whip.camera_at(0.1), whip.camera_at(0.12), 640)
    assert shift == pytest.approx(640 * np.tan(np.radians(3)) / (36 / 70), rel=0.15)


def test_what_is_wrong_with_a_move_is_told_first(
    opened: api.OpenScene, drawn: Bearings, tmp_path: Path
) -> None:
    told = Told()
    api.film_moves(opened, api.MoveOptions("whip", out=tmp_path / "o", film=False), told)
    assert any("may strobe" in text for text in told.said)


def test_a_stop_leaves_no_film(opened: api.OpenScene, drawn: Bearings, tmp_path: Path) -> None:
    class Stops(Told):
        def advance(self, done: int) -> None:
            if done == 7:
                raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        api.film_moves(opened, api.MoveOptions("push", out=tmp_path / "o"), Stops())
    assert list((tmp_path / "o").iterdir()) == []
    assert drawn.closed == 1
    assert "behind" not in [thread.name for thread in threading.enumerate()]


@pytest.mark.parametrize(
    ("name", "settings", "said"),
    [
        ("pull", (), "there is no move pull; the scene has push, whip"),
        (None, ("moves=null",), "the scene has no moves; describe one under moves:"),
        ("pull", ("moves=null",), "there is no move pull; the scene has no moves"),
    ],
)
def test_a_move_that_is_not_there(
    opened: api.OpenScene, name: str | None, settings: tuple[str, ...], said: str
) -> None:
    with pytest.raises(InputError) as caught:
        api.film_moves(opened.path, api.MoveOptions(name, settings=settings))
    assert str(caught.value) == f"{opened.path}: {said}"


def test_traced_frames_see_no_gear_of_their_own_and_a_brighter_stop_is_as_bright_in_light(
    opened: api.OpenScene,
) -> None:
    """Two cameras at one place but for the stop receive the same light, and are exposed by it."""
    lamp = "lights.key={fixture: panel_40, aim: guest, place: {at_m: [1.5, -2], height_m: 2}}"
    lit = api.open_scene(opened.path, (lamp,))
    drawer = drawer_for(lit, "A", Told(), samples=4)
    camera = lit.stage.moves["push"].camera_at(0.9)
    closed = replace(camera, f_number=16.0, t_number=camera.t_number * 4.0)
    assert isinstance(drawer, TracedFrames), "samples are the path tracer's"
    assert drawer.serves("A") and not drawer.serves("B")
    one, other = drawer.light(camera, 48), drawer.light(closed, 48)
    assert one.shape == (*camera.picture_size(48)[::-1], 3)
    assert one.mean() > 0.0
    assert one.mean() == pytest.approx(other.mean(), rel=0.1)
    assert exposure_scale(camera) / exposure_scale(closed) == pytest.approx(16.0)
    seen = [drawer.picture(Smear([one], one), 48).mean() for one in (camera, closed)]
    assert seen[0] > seen[1] + 10


@pytest.fixture
def lit(opened: api.OpenScene) -> api.OpenScene:
    """With a lamp."""
    lamp = "lights.key={fixture: panel_40, aim: guest, place: {at_m: [1.5, -2], height_m: 2}}"
    return api.open_scene(opened.path, (lamp,))


def test_a_move_is_drawn_through_the_whole_command(lit: api.OpenScene, tmp_path: Path) -> None:
    options = api.MoveOptions("push", out=tmp_path / "o", width_px=160)
    made = api.film_moves(lit, options)
    with av.open(str(made.files[0])) as film:
        frames = [frame.to_ndarray(format="rgb24") for frame in film.decode(video=0)]
        assert "drawn" in film.metadata["comment"]
    assert len(frames) == 25 and frames[0].shape[1] == 160
    assert frames[0].mean() > 5.0
    assert np.abs(frames[0].astype(int) - frames[-1]).max() > 20, "it pushed in"
    again = Told()
    api.film_moves(lit, replace(options, film=False), again)
    assert again.steps == list(range(1, 13)), "the light is that of the run before: no bake"


def test_drawn_frames_see_any_camera_without_its_gear_and_smear_what_moves(
    lit: api.OpenScene,
) -> None:
    drawer = drawer_for(lit, "A", Told())
    assert isinstance(drawer, DrawnFrames)
    try:
        assert drawer.serves("A") and drawer.serves("B")
        move = lit.stage.moves["whip"]
        moments = [move.camera_at(0.1 + 0.02 * n / 8) for n in range(8)]
        one = [Smear([camera], moments[0]) for camera in moments]
        sharp = [drawer.picture(smear, 160).astype(float) for smear in one]
        smeared = drawer.picture(Smear(moments, moments[0]), 160).astype(float)
        still = drawer.picture(Smear(moments[:1] * 8, moments[0]), 160).astype(float)
    finally:
        drawer.close()
    across = [np.abs(np.diff(picture, axis=1)).mean() for picture in (sharp[0], smeared)]
    assert across[1] < 0.8 * across[0], "edges are smeared"
    assert smeared.mean() == pytest.approx(np.mean(sharp), rel=0.05), "and nothing is lost"
    assert np.abs(still - sharp[0]).mean() < 3.0, "what stands is not"


@pytest.mark.parametrize("lacks", ["OpenGL", "a bake"])
def test_without_what_draws_frames_are_traced_and_that_is_said(
    lit: api.OpenScene, monkeypatch: pytest.MonkeyPatch, lacks: str
) -> None:
    def missing(*_: object) -> None:
        raise MissingError(f"there is no {lacks} here")

    monkeypatch.setattr(Look, "__init__" if lacks == "OpenGL" else "kept", missing)
    if lacks == "OpenGL":
        monkeypatch.setattr(Look, "close", missing)
    told = Told()
    assert isinstance(drawer_for(lit, "A", told), TracedFrames)
    assert f"there is no {lacks} here; pictures are traced" in told.said
