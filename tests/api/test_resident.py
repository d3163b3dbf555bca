"""A scene kept open: after every edit it is what a fresh opening gives, and says what changed."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from previz import api
from previz.api.changes import Change, change_between
from previz.api.resident import Resident

pytestmark = pytest.mark.usefixtures("mannequins")

SCENE = """\
previz: 1
title: A lit corner
room: {width_m: 4.4, depth_m: 5.0, height_m: 2.7}
openings:
  window:
    {wall: north, along_m: 1.4, width_m: 1.4, sill_m: 0.9, height_m: 1.3,
     covering: {kind: curtains, open_pct: 60}}
  door: {kind: door, wall: south, along_m: 0.4, width_m: 0.9, height_m: 2.05, open_deg: 40}
people:
  guest: {at_m: [0, 0], seat: stool, faces: host, stature_cm: 165}
  host: {at_m: [0.6, -1.7], seat: stool, faces: guest, stature_cm: 170}
furniture:
  table: {piece: table_side, at_m: [-1.2, 1.2]}
  shelf: {piece: shelves, wall: east, along_m: 2.0}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 35
    f_number: 2.8
    place: {at_m: [0.0, -2.0], height: eye}
    aim: guest
  B:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 50
    f_number: 4
    place: {frame: medium_close_up, from_deg: 30}
    aim: host
lights:
  key: {fixture: softbox_90, aim: guest, dimmer_pct: 40,
        place: {side: camera_right, azimuth_deg: 50, elevation_deg: 30, distance_m: 1.5}}
  fill: {fixture: panel_60x40, aim: guest, dimmer_pct: 10,
         place: {at_m: [-1.2, -1.2], height_m: 1.6}}
  board: {fixture: bounce_board_120, aim: guest, place: {at_m: [-1.5, -0.4], height_m: 1.2}}
  lamp: {fixture: practical_table_lamp, place: {at_m: [-1.2, 1.2], height_m: 0.8}}
sound: {boom: {over: guest, stand_at_m: [1.6, 0.6]}, lavalier: guest}
power: {circuits: {wall: {where: by the door}, ring: {where: north}}}
exposure: {iso: 800, fps: 25, shutter_deg: 180, white_balance: {card: guest}}
"""

NOTHING_ELSE = Change()
EDITS = {
    "a stop": ("f_number: 2.8", "f_number: 4.5", Change(cameras=("A",))),
    "ISO": ("iso: 800", "iso: 1600", Change(cameras=("A", "B"), rest=True)),
    "a focal length": (
        "focal_length_mm: 35",
        "focal_length_mm: 40",
        # Eyes that lie off the middle of the picture: it pans and tilts a little.
        Change(cameras=("A",), things=("cameras.A",)),
    ),
    "a dimmer": ("dimmer_pct: 40", "dimmer_pct: 35", Change(powers=("key",))),
    "a lamp off": ("dimmer_pct: 10", "on: false", Change(powers=("fill",))),
    "a colour": ("dimmer_pct: 10", "dimmer_pct: 10, cct_k: 3200", Change(powers=("fill",))),
    "a lamp's place": ("[-1.2, -1.2]", "[-1.2, -1.3]", Change(forms=("fill",))),
    "a board": (
        "bounce_board_120, aim",
        "bounce_board_60x90, aim",
        Change(forms=("board",), rest=True),
    ),
    "a piece of furniture": (
        "table_side, at_m: [-1.2, 1.2]",
        "table_side, at_m: [-1.3, 1.2]",
        Change(things=("furniture.table",)),
    ),
    "one more piece": (
        "furniture:\n",
        "furniture:\n  plant: {piece: plant_tall, at_m: [1.6, 1.8]}\n",
        Change(things=("furniture.plant",)),
    ),
    "curtains": (
        "open_pct: 60",
        "open_pct: 40",
        Change(things=("openings.window",)),
    ),
    "a title": ("A lit corner", "The same corner", Change(rest=True)),
    "a comment": ("previz: 1", "previz: 1  # as agreed", NOTHING_ELSE),
    "a circuit": ("dimmer_pct: 40", "dimmer_pct: 40, circuit: ring", Change(rest=True)),
}


def write(folder: Path, text: str) -> Path:
    (folder / "scene.yaml").write_text(text, encoding="utf-8")
    return folder / "scene.yaml"


def things(opened: api.OpenScene | None) -> dict[str, object]:
    assert opened is not None
    return {thing.name: thing for thing in opened.stage.things}


def replaced(before: api.OpenScene | None, after: api.OpenScene | None) -> set[str]:
    """Things that are not the same object in both."""
    old, new = things(before), things(after)
    return {name for name in {**old, **new} if old.get(name) is not new.get(name)}


@pytest.mark.parametrize("edit", EDITS)
def test_an_edit_gives_what_a_fresh_opening_gives_and_builds_that_alone(
    tmp_path: Path, edit: str, same
) -> None:
    path = write(tmp_path, SCENE)
    resident = Resident(path)
    assert resident.problems == () and resident.opened is not None
    before, (old, new, told) = resident.opened, EDITS[edit]
    assert SCENE.count(old) == 1
    write(tmp_path, SCENE.replace(old, new))
    assert resident.update() == told
    same(resident.opened, api.open_scene(path))
    bodies = {f"lights.{name}" for name in told.forms} | set(told.things)
    assert replaced(before, resident.opened) <= bodies
    # Back again: what was tried and taken back is there as it was.
    write(tmp_path, SCENE)
    resident.update()
    assert replaced(before, resident.opened) == set()
    same(resident.opened, before)


def test_a_camera_moved_takes_its_own_gear_and_the_lights_placed_by_it(tmp_path, same) -> None:
    resident = Resident(write(tmp_path, SCENE))
    before = resident.opened
    path = write(tmp_path, SCENE.replace("[0.0, -2.0]", "[0.1, -2.0]"))
    assert resident.update() == Change(cameras=("A",), forms=("key",), things=("cameras.A",))
    assert replaced(before, resident.opened) == {"cameras.A", "lights.key"}
    same(resident.opened, api.open_scene(path))


@pytest.mark.parametrize(
    "edit", [("width_m: 4.4", "width_m: 4.6"), ("height_m: 2.7", "height_m: 2.8")]
)
def test_a_wall_moves_everything(tmp_path, edit, same) -> None:
    resident = Resident(write(tmp_path, SCENE))
    path = write(tmp_path, SCENE.replace(*edit))
    change = resident.update()
    assert change.everything and change.shows and "room" in change.things
    same(resident.opened, api.open_scene(path))


def test_a_person_moved_and_everyone_who_looks_at_them(tmp_path, same) -> None:
    resident = Resident(write(tmp_path, SCENE))
    before = resident.opened
    path = write(tmp_path, SCENE.replace("at_m: [0, 0]", "at_m: [0.1, 0.05]"))
    change = resident.update()
    assert {"people.guest", "people.guest.seat", "people.host"} <= set(change.things)
    assert not replaced(before, resident.opened) & {"room", "furniture.table", "openings.window"}
    same(resident.opened, api.open_scene(path))


def test_a_broken_file_leaves_the_last_good_scene_and_says_what_a_check_says(tmp_path) -> None:
    path = write(tmp_path, SCENE)
    resident = Resident(path)
    good = resident.opened
    for old, new in (("title:", "titel:"), ("2.7}", "2.7"), ("[-1.2, -1.2]", "[-9, -1.2]")):
        write(tmp_path, SCENE.replace(old, new))
        assert resident.update() == Change(problems=True)
        assert resident.opened is good
        with pytest.raises(api.opening.InputError) as wrong:
            api.open_scene(path)
        assert list(resident.problems) == wrong.value.problems
    assert resident.update() == Change()
    write(tmp_path, SCENE)
    assert resident.update() == Change(problems=True)
    assert resident.problems == () and replaced(good, resident.opened) == set()


def test_a_file_that_is_broken_at_first_is_followed_until_it_is_good(tmp_path, same) -> None:
    resident = Resident(tmp_path)
    assert resident.opened is None and "no such file" in str(resident.problems[0])
    with pytest.raises(api.opening.InputError, match="no such file"):
        resident.look(("key.dimmer_pct=5",))
    path = write(tmp_path, SCENE)
    assert resident.update() == Change(everything=True, problems=True)
    same(resident.opened, api.open_scene(path))


def test_a_look_is_the_file_under_settings_and_leaves_no_trace(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, same
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    path = write(tmp_path, SCENE)
    resident = Resident(path, ("key.dimmer_pct=20",))
    opened, kept = resident.opened, sorted((tmp_path / "cache").rglob("*"))
    settings = ("A.place.at_m=[0.2, -2.1]", "fill.dimmer_pct=3")
    looked = resident.look(settings)
    assert sorted((tmp_path / "cache").rglob("*")) == kept
    assert resident.opened is opened and resident.update() == Change()
    same(looked, api.open_scene(path, ("key.dimmer_pct=20", *settings)))
    change = change_between(opened, looked)
    assert change.powers == ("fill",) and change.cameras == ("A",)
    with pytest.raises(api.opening.InputError, match="must be from 0 to 100"):
        resident.look(("fill.dimmer_pct=300",))


def test_a_look_goes_on_from_the_last_good_file_while_it_is_broken(tmp_path, same) -> None:
    path = write(tmp_path, SCENE)
    resident = Resident(path)
    write(tmp_path, SCENE.replace("room:", "rooom:"))
    resident.update()
    looked = resident.look(("B.focal_length_mm=60",))
    write(tmp_path, SCENE)
    same(looked, api.open_scene(path, ("B.focal_length_mm=60",)))


def test_what_a_scene_is_based_on_is_followed_also_before_it_is_there(tmp_path, same) -> None:
    child = "based_on: base.yaml\ntitle: The other corner\n"
    path = write(tmp_path, child)
    resident = Resident(path)
    assert resident.opened is None
    (tmp_path / "base.yaml").write_text(SCENE)
    assert resident.update().everything
    (tmp_path / "base.yaml").write_text(SCENE.replace("dimmer_pct: 10", "dimmer_pct: 12"))
    assert resident.update() == Change(powers=("fill",))
    same(resident.opened, api.open_scene(path))
    (tmp_path / "base.yaml").unlink()
    assert resident.update() == Change(problems=True)


IES = (
    "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1.0 4 1 1 2 0.1 0.1 0\n1 1 50\n"
    "0 30 60 90\n0\n1000 {half} 300 0\n"
)


def test_a_measured_light_is_followed(tmp_path, same) -> None:
    (tmp_path / "lamp.ies").write_text(IES.format(half=800))
    path = write(tmp_path, SCENE.replace("dimmer_pct: 10", "dimmer_pct: 10, ies: lamp.ies"))
    resident = Resident(path)
    (tmp_path / "lamp.ies").write_text(IES.format(half=600))
    assert "fill" in resident.update().forms
    same(resident.opened, api.open_scene(path))
    (tmp_path / "lamp.ies").unlink()
    assert resident.update().problems and "lamp.ies" in str(resident.problems[0])
    (tmp_path / "lamp.ies").write_text(IES.format(half=600))
    assert resident.update() == Change(problems=True) and resident.problems == ()


def test_the_users_catalogue_is_followed(tmp_path, monkeypatch, same) -> None:
    catalog = tmp_path / "catalog"
    catalog.mkdir()
    monkeypatch.setenv("PREVIZ_CATALOG", str(catalog))
    record = (
        "house_wall: {label: Ours, kind: memory, source: from memory, reflectance: [%s, 0.5, 0.5]}"
    )
    (catalog / "materials.yaml").write_text(record % 0.5)
    path = write(tmp_path, SCENE.replace("height_m: 2.7", "height_m: 2.7, walls: house_wall"))
    resident = Resident(path)
    (catalog / "materials.yaml").write_text(record % 0.6)
    assert resident.update().everything
    same(resident.opened, api.open_scene(path))
    (catalog / "lense.yaml").write_text("{}")
    assert resident.update().problems and "lense.yaml" in str(resident.problems[0])


def test_a_scan_is_followed(tmp_path: Path, same) -> None:
    def scan(height_m: float) -> None:
        corners = [(x, y, z) for x in (-3, 3) for y in (-4, 4) for z in (0, height_m)]
        faces = ["1 2 4", "1 4 3", "5 7 8", "5 8 6", "1 5 6", "1 6 2", "3 4 8", "3 8 7"]
        lines = [f"v {x} {y} {z}" for x, y, z in corners] + [f"f {face}" for face in faces]
        (tmp_path / "room.obj").write_text("\n".join(lines) + "\n")

    scan(2.5)
    lines = [li for li in SCENE.splitlines() if not li.strip().startswith("shelf:")]
    start, end = lines.index("openings:"), lines.index("people:")
    text = "\n".join(lines[:start] + lines[end:])
    scanned = "room: {scan: {file: room.obj, up: z}}"
    path = write(
        tmp_path, text.replace("room: {width_m: 4.4, depth_m: 5.0, height_m: 2.7}", scanned)
    )
    resident = Resident(path)
    assert resident.problems == ()
    scan(2.9)
    assert resident.update().everything
    same(resident.opened, api.open_scene(path))


def test_two_saves_within_one_tick_of_the_clock_are_two(tmp_path: Path) -> None:
    path = write(tmp_path, SCENE)
    resident = Resident(path)
    stamp = path.stat().st_mtime_ns
    write(tmp_path, SCENE.replace("dimmer_pct: 40", "dimmer_pct: 41"))
    os.utime(path, ns=(stamp, stamp))
    assert resident.update() == Change(powers=("key",))


def test_a_file_at_rest_is_told_by_its_stamp_and_not_read(tmp_path: Path, monkeypatch) -> None:
    path = write(tmp_path, SCENE)
    old = time.time_ns() - 3_600_000_000_000
    os.utime(path, ns=(old, old))
    resident = Resident(path)
    opened = resident.opened
    assert resident.update() == Change()
    reads: list[Path] = []
    real = Path.open
    monkeypatch.setattr(Path, "open", lambda self, *a: reads.append(self) or real(self, *a))
    assert resident.update() == Change() and path not in reads
    os.utime(path)
    assert resident.update() == Change() and path in reads
    assert resident.opened is opened


def test_who_is_stopped_while_opening_opens_the_next_time(tmp_path, monkeypatch, same) -> None:
    path = write(tmp_path, SCENE)
    resident = Resident(path)
    write(tmp_path, SCENE.replace("dimmer_pct: 40", "dimmer_pct: 44"))
    with monkeypatch.context() as stopped, pytest.raises(KeyboardInterrupt):
        stopped.setattr("previz.api.resident.open_draft", _stop)
        resident.update()
    assert resident.update() == Change(powers=("key",))
    same(resident.opened, api.open_scene(path))


def _stop(*_: object) -> None:
    raise KeyboardInterrupt


def test_a_missing_catalogue_is_told_and_found_when_it_is_there(tmp_path: Path) -> None:
    path = write(tmp_path, SCENE)
    catalog = tmp_path / "catalog"
    resident = Resident(path, catalog_folder=catalog)
    assert resident.opened is None and "catalog" in str(resident.problems[0])
    catalog.mkdir()
    assert resident.update().everything and resident.problems == ()
