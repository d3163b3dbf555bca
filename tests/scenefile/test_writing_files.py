"""A scene's file is written whole, for a scene that stays sound, and never over others' change."""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path
from typing import Any

import pytest

from previz.catalog import Catalog
from previz.errors import InputError, OutputError
from previz.scenefile import replacing
from previz.scenefile.history import MOST_STEPS, History
from previz.scenefile.writing import Edit, write_edits

DIM = [Edit("key.dimmer_pct", 42)]


@pytest.fixture
def scene(read: Any) -> Path:
    path: Path = read().path
    return path


def test_a_write_says_what_was_there_and_what_is_there_now(scene: Path, catalog: Catalog) -> None:
    before = scene.read_text()
    written = write_edits(scene.parent, DIM, catalog, expected=before)
    assert written.before == before
    assert written.after == scene.read_text() == before.replace("pct: 60", "pct: 42")
    assert [file.name for file in scene.parent.iterdir()] == ["scene.yaml"]


def test_what_changes_nothing_is_not_written(scene: Path, catalog: Catalog) -> None:
    was = scene.stat()
    written = write_edits(scene, [Edit("key.dimmer_pct", 60)], catalog)
    assert written.before == written.after
    assert (scene.stat().st_ino, scene.stat().st_mtime_ns) == (was.st_ino, was.st_mtime_ns)


def refused(scene: Path, catalog: Catalog, *edits: Edit, expected: str | None = None) -> str:
    before = scene.read_bytes()
    with pytest.raises(InputError) as caught:
        write_edits(scene, edits, catalog, expected)
    assert scene.read_bytes() == before
    assert [file.name for file in scene.parent.iterdir()] == ["scene.yaml"]
    return str(caught.value)


def test_a_sound_scene_stays_sound(scene: Path, catalog: Catalog) -> None:
    assert refused(scene, catalog, Edit("key.dimmer_pct", 150)) == (
        f"{scene}:22:17: lights.key.dimmer_pct: must be from 0 to 100, found 150"
    )
    assert refused(scene, catalog, *DIM, Edit("A.focal_length_mm", 400)).startswith(
        f"{scene}:13:22: cameras.A.focal_length_mm: "
    )


def test_edits_are_judged_together(scene: Path, catalog: Catalog) -> None:
    edits = [Edit("A.place.height", None), Edit("A.place.height_m", 1.4)]
    write_edits(scene, edits, catalog)
    assert "place: {at_m: [0, -2.4], height_m: 1.4}" in scene.read_text()


def test_a_scene_with_problems_may_be_written_but_gets_no_new_ones(
    scene: Path, catalog: Catalog
) -> None:
    scene.write_text(scene.read_text().replace("aim: guest", "aim: gust\n    aim: guest", 1))
    # The line more above moves the problem, which names the line where the key stood first.
    write_edits(scene, [Edit("people.third.at_m", [2, 2]), *DIM], catalog)
    assert "  third: {at_m: [2, 2]}\n" in scene.read_text()
    assert "dimmer_pct: 42" in scene.read_text()
    assert refused(scene, catalog, Edit("A.f_number", 400)).count("\n") == 0


def test_a_file_changed_since_is_not_written_over(scene: Path, catalog: Catalog) -> None:
    before = scene.read_text()
    scene.write_text(before + "# mine\n")
    assert refused(scene, catalog, *DIM, expected=before) == (
        f"{scene}: the file was changed meanwhile: nothing was written; look at it and do it again"
    )


def test_a_file_saved_while_the_scene_was_checked_is_not_written_over(
    scene: Path, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    like = replacing._like

    def saved_meanwhile(fresh: Path, target: Path) -> None:
        like(fresh, target)
        scene.write_text("title: mine\n")

    monkeypatch.setattr(replacing, "_like", saved_meanwhile)
    with pytest.raises(InputError, match="changed meanwhile"):
        write_edits(scene, DIM, catalog)
    assert scene.read_text() == "title: mine\n"
    assert [file.name for file in scene.parent.iterdir()] == ["scene.yaml"]


def test_a_variant_gets_the_override_and_its_base_stays(read: Any, catalog: Catalog) -> None:
    base = read().path.read_text()
    path = read(files={"day.yaml": base, "scene.yaml": "based_on: day.yaml\n"}).path
    write_edits(path, DIM, catalog)
    assert path.read_text() == "based_on: day.yaml\nlights:\n  key: {dimmer_pct: 42}\n"
    write_edits(path, [Edit("lights.key", None)], catalog)
    assert path.read_text() == "based_on: day.yaml\nlights:\n  key: null\n"
    assert path.with_name("day.yaml").read_text() == base


@pytest.mark.skipif(sys.platform == "win32", reason="permissions and links work differently")
def test_permissions_stay_and_links_are_followed(
    scene: Path, catalog: Catalog, tmp_path_factory: pytest.TempPathFactory
) -> None:
    real = tmp_path_factory.mktemp("real") / "real.yaml"
    scene.rename(real)
    scene.symlink_to(real)
    real.chmod(0o640)
    write_edits(scene, DIM, catalog)
    assert scene.is_symlink()
    assert "dimmer_pct: 42" in real.read_text()
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_a_disk_that_refuses_leaves_the_old_file(
    scene: Path, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    before = scene.read_bytes()
    with pytest.raises(OutputError) as caught:
        write_edits(scene, DIM, catalog)
    assert str(caught.value) == (f"{scene}: cannot be written, the disk is full: free some of it")
    assert scene.read_bytes() == before
    assert [file.name for file in scene.parent.iterdir()] == ["scene.yaml"]


def test_a_file_that_may_only_be_read_is_left_alone(
    scene: Path, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(OutputError, match="cannot be written, no permission: give yourself"):
        write_edits(scene, DIM, catalog)


def test_a_scene_may_not_grow_larger_than_a_scene_may_be(
    scene: Path, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(replacing, "MAX_BYTES", 100)
    assert refused(scene, catalog, *DIM).endswith("the most a scene may be")


def test_no_file_is_one_line(tmp_path: Path, catalog: Catalog) -> None:
    with pytest.raises(InputError, match=r"none\.yaml: no such file"):
        write_edits(tmp_path / "none.yaml", DIM, catalog)


def test_undo_and_redo_give_back_every_byte(scene: Path, catalog: Catalog) -> None:
    scene.write_bytes(b"\xef\xbb\xbf" + scene.read_bytes().replace(b"\n", b"\r\n"))
    history = History(scene.parent, catalog)
    states = [scene.read_bytes()]
    for pct in (10, 20, 30):
        history.write([Edit("key.dimmer_pct", pct)])
        states.append(scene.read_bytes())
    assert states[3] == states[0].replace(b"pct: 60", b"pct: 30")
    assert history.undo().after.encode() == states[2]
    history.undo()
    assert scene.read_bytes() == states[1]
    assert history.redo().after.encode() == states[2] == scene.read_bytes()
    history.write([Edit("key.dimmer_pct", 40)])
    assert (history.can_undo, history.can_redo) == (True, False)
    for _ in range(3):
        history.undo()
    assert scene.read_bytes() == states[0]
    assert (history.can_undo, history.can_redo) == (False, True)


def test_undo_does_not_lose_what_somebody_else_wrote(scene: Path, catalog: Catalog) -> None:
    history = History(scene, catalog)
    history.write(DIM)
    ours = scene.read_text()
    scene.write_text(ours + "# mine\n")
    with pytest.raises(InputError) as caught:
        history.undo()
    assert str(caught.value) == (
        f"{scene}: the file was changed since by someone else, and undoing would lose that: "
        "nothing was written; take the other change back first, or go on from here"
    )
    assert scene.read_text() == ours + "# mine\n"
    # The step is still there for when the other change is gone.
    scene.write_text(ours)
    history.undo()
    scene.write_text(scene.read_text() + "# mine\n")
    with pytest.raises(InputError, match="redoing would lose that"):
        history.redo()
    assert history.can_redo


def test_what_was_written_on_top_of_anothers_change_can_be_undone(
    scene: Path, catalog: Catalog
) -> None:
    history = History(scene, catalog)
    history.write(DIM)
    scene.write_text(scene.read_text() + "# mine\n")
    between = scene.read_text()
    history.write([Edit("key.dimmer_pct", 50)])
    history.undo()
    assert scene.read_text() == between
    with pytest.raises(InputError, match="undoing would lose that"):
        history.undo()


def test_no_step_is_one_line_and_no_change_is_no_step(scene: Path, catalog: Catalog) -> None:
    history = History(scene, catalog)
    history.write([Edit("key.dimmer_pct", 60)])
    with pytest.raises(InputError, match="nothing was written that could be undone"):
        history.undo()
    with pytest.raises(InputError, match="nothing was undone that could be done again"):
        history.redo()


def test_steps_are_counted(scene: Path, catalog: Catalog, monkeypatch: pytest.MonkeyPatch) -> None:
    assert MOST_STEPS > 2
    monkeypatch.setattr("previz.scenefile.history.MOST_STEPS", 2)
    history = History(scene, catalog)
    for pct in (10, 20, 30):
        history.write([Edit("key.dimmer_pct", pct)])
    history.undo()
    history.undo()
    assert "dimmer_pct: 10" in scene.read_text()
    assert not history.can_undo
