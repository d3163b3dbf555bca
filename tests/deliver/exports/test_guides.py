"""Framing guides, read by the imaging library: lines lie where the frame and the plan have them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from previz import api
from previz.deliver.exports.guides import write_guides


@pytest.fixture(scope="module")
def guides(made) -> np.ndarray:
    with Image.open(made.folder / "guides_A.png") as image:
        assert image.mode == "RGBA" and image.info["Title"] == "Every kind of lamp, camera A"
        return np.asarray(image)


def lit(guides: np.ndarray) -> np.ndarray:
    """Where a line's core is: bright and more than half opaque or so."""
    return (guides[..., 0] > 200) & (guides[..., 3] > 100)


def test_they_have_the_size_of_the_recording_and_hide_next_to_nothing(made, guides) -> None:
    mode = made.stage.setups["A"].kit.mode
    assert guides.shape == (mode.height_px, mode.width_px, 4)
    assert float((guides[..., 3] == 0).mean()) > 0.94


def test_frame_thirds_and_safe_areas_lie_where_they_should(guides) -> None:
    height, width = guides.shape[:2]
    core = lit(guides)
    quiet = [round(width * share) for share in (0.11, 0.21, 0.45, 0.6, 0.72, 0.9)]
    for column in quiet:
        rows = set(np.flatnonzero(core[:, column]))
        for share in (1 / 3, 2 / 3, 0.035, 0.965):  # EBU R 95: 3.5 % on each side
            assert {round(height * share) - 1, round(height * share)} & rows, share
        assert {0, height - 1} <= rows
    for row in [round(height * share) for share in (0.12, 0.5, 0.8)]:
        columns = set(np.flatnonzero(core[row]))
        for share in (1 / 3, 2 / 3, 0.035, 0.965):
            assert {round(width * share) - 1, round(width * share)} & columns, share
        assert {0, width - 1} <= columns


def test_head_and_eyes_are_where_the_camera_sees_them(made, guides) -> None:
    height, width = guides.shape[:2]
    warm = (guides[..., 0] > 240) & (guides[..., 2] < 120) & (guides[..., 3] > 200)
    rows = np.flatnonzero(warm.sum(axis=1) > width * 0.35)
    person, camera = made.stage.people["guest"], made.stage.cameras["A"]
    eyes = camera.project(person.landmarks["eyes"], width, height)[0]
    assert np.abs(rows - eyes[1]).min() <= 1.5
    strands = next(t.strands for t in made.stage.things if t.strands is not None)
    top = camera.project(strands.points.reshape(-1, 3), width, height)[:, 1].min()
    assert rows.min() == pytest.approx(top, abs=0.02 * height)
    # A tick stands at the eyes across.
    tick = warm[round(eyes[1]) + 12 : round(eyes[1]) + 24].all(axis=0)
    assert np.abs(np.flatnonzero(tick) + 0.5 - eyes[0]).min() <= 1.5


def test_a_line_has_dark_edges_so_that_it_shows_on_white(guides) -> None:
    column = round(guides.shape[1] * 0.45)
    first = min(row for row in np.flatnonzero(lit(guides)[:, column]) if row > 10)
    assert tuple(guides[first - 1, column][:3]) == (0, 0, 0) and guides[first - 1, column][3] > 100


def test_a_camera_on_nobody_has_the_frame_alone(tmp_path: Path) -> None:
    write_guides(tmp_path / "g.png", (640, 360), None, "C", {})
    with Image.open(tmp_path / "g.png") as image:
        picture = np.asarray(image)
    assert picture.shape == (360, 640, 4) and lit(picture)[0].all()
    assert not ((picture[..., 0] > 240) & (picture[..., 2] < 120) & (picture[..., 3] > 200)).any()


def test_the_same_scene_gives_the_same_bytes(made, tmp_path: Path) -> None:
    options = api.ExportOptions(out=tmp_path, formats=("guides", "csv"), light=False)
    for file in api.export_scene(made.opened, options).files:
        assert file.read_bytes() == (made.folder / file.name).read_bytes()
