"""The contact sheet of a move: first frame to last, six on a page, what changes under each."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from previz.api import open_scene
from previz.deliver.contact import sheet_frames, sheet_of
from previz.stage.moving.move import StageMove

pytestmark = pytest.mark.usefixtures("mannequins")
ZOOM = "{at_s: 0, focal_length_mm: 35}, {at_s: 4, focal_length_mm: 70, focus_distance_m: 3}"


def move_of(folder: Path, plain: str, keys: str, seconds: float = 4) -> StageMove:
    path = folder / "scene.yaml"
    path.write_text(plain, encoding="utf-8")
    text = f"moves.m={{camera: A, kind: pan_and_tilt, duration_s: {seconds}, keys: [{keys}]}}"
    return open_scene(path, (text,)).stage.moves["m"]


def pictures(move: StageMove) -> dict[int, np.ndarray]:
    return {n: np.full((36, 64, 3), n % 255, np.uint8) for n in sheet_frames(move)}


def test_it_goes_from_the_first_frame_to_the_last_in_even_steps(tmp_path: Path, plain: str) -> None:
    numbers = sheet_frames(move_of(tmp_path, plain, ZOOM))
    assert (len(numbers), numbers[0], numbers[-1]) == (12, 0, 99)
    assert set(np.diff(numbers)) <= {9, 10}
    short = sheet_frames(move_of(tmp_path, plain, "{at_s: 0, pan_deg: 3}", 0.2))
    assert short == (0, 1, 2, 3, 4)


def test_under_each_frame_stand_its_second_focal_length_and_focus(
    tmp_path: Path, plain: str
) -> None:
    move = move_of(tmp_path, plain, ZOOM)
    sheet = sheet_of(move, pictures(move), "Title", "foot", ("Care.",))
    assert [group.heading for group in sheet.groups] == ["0.0 s to 1.8 s", "2.2 s to 4.0 s"]
    cells = [cell for group in sheet.groups for cell in group.cells]
    assert [cell.label for cell in cells][::11] == ["0.0 s", "4.0 s"]
    first, last = dict(cells[0].rows), dict(cells[-1].rows)
    # The nearer eye is 2.387 m along an axis 2.3 deg off, and at 35 mm it looks down by twice that.
    assert first == {"focal length": "35.0 mm", "focus": "2.37 m"}
    assert last == {"focal length": "70.0 mm", "focus": "3.00 m"}
    assert [int(cell.picture[0, 0, 0]) for cell in cells] == [n % 255 for n in sheet_frames(move)]
    assert (sheet.subtitle, sheet.cautions) == ("Move m: camera A, pan and tilt, 4.0 s", ("Care.",))


def test_the_stop_stands_there_only_where_it_changes(tmp_path: Path, plain: str) -> None:
    move = move_of(tmp_path, plain, "{at_s: 4, f_number: 8}")
    sheet = sheet_of(move, pictures(move), "Title", "foot", ())
    stops = [dict(cell.rows)["stop"] for group in sheet.groups for cell in group.cells]
    assert (stops[0], stops[-1]) == ("f/4", "f/8")
