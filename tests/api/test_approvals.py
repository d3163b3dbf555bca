"""An approval is bound to what was seen: what touches a frame, by how much, and why."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from review.shown_by_hand import decision_file, show

from previz import api
from previz.api.showings import showings_in
from previz.deliver.layers import write_layers
from previz.deliver.manifest import FrameNote, Manifest, write_manifest
from previz.develop.exposure import exposure_scale
from previz.errors import InputError
from previz.measure.approvals import FrameStanding
from previz.render.relight import LayerStack
from previz.stage.identity import identity_of, triple
from previz.telling.approvals import lost_lines, standings_json
from previz.version import version

SECOND = """\
  B:
    sensor: full_frame
    lens: zoom_24_105_f4
    focal_length_mm: 70
    f_number: 4
    place: {at_m: [-2.2, -0.6], height: eye}
    aim: guest
lights:
  key: {fixture: softbox_90, aim: guest, dimmer_pct: 40,
        place: {side: camera_right, azimuth_deg: 50, elevation_deg: 30, distance_m: 1.5}}
  fill: {fixture: panel_60x40, aim: guest, dimmer_pct: 10,
         place: {side: camera_left, azimuth_deg: 30, elevation_deg: 10, distance_m: 1.9}}
exposure: {white_balance: {cct_k: 5600}}
"""


@pytest.fixture
def scene(tmp_path: Path, plain: str, mannequins: None, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A scene with two cameras whose frames were rendered, shown and approved by two people."""
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "parlour"
    folder.mkdir()
    (folder / "scene.yaml").write_text(plain + SECOND, encoding="utf-8")
    opened = api.open_scene(folder)
    lit(opened, tmp_path / "out" / "parlour")
    showing = show(opened, tmp_path / "out" / "parlour")
    for name in ("Ada", "Bo"):
        said(folder, decision_file(showing, by=name))
    return folder


def lit(opened: api.OpenScene, folder: Path) -> None:
    """A render by hand: the key gives twice what the fill gives, all over the frame."""
    names = opened.stage.layers
    assert names == ("key", "fill")
    pixels = np.concatenate([np.full((18, 32, 3), 20.0), np.full((18, 32, 3), 10.0)], axis=2)
    stack = LayerStack(names, *(a.astype(np.float32) for a in (pixels, *2 * (pixels[..., :3],))))
    frames = {}
    for name, camera in opened.stage.cameras.items():
        write_layers(folder / "light" / f"{name}.npz", stack)
        files, scale = {"layers": f"light/{name}.npz"}, exposure_scale(camera)
        frames[name] = FrameNote(name, 32, 18, 1, True, files, (0.33, 0.33), scale)
    manifest = Manifest(
        version(), str(opened.path), opened.scene.title, opened.digest, "path-tracer", "none",
        "draft", False, 1, 0.0, "2026-11-28T10:00:00Z", layers=names,
        card={name: triple(np.ones(3)) for name in names}, identity=identity_of(opened.stage),
        frames=frames,
    )  # fmt: skip
    write_manifest(folder, manifest)


def said(folder: Path, told: dict[str, Any]) -> tuple[api.Taken, ...]:
    file = folder.parent / "said.json"
    file.write_text(json.dumps(told), encoding="utf-8")
    return api.import_decisions([file], [folder])


def standings(folder: Path, *settings: str) -> dict[str, FrameStanding]:
    found = api.approvals_of(api.open_scene(folder, settings))
    return {standing.camera: standing for standing in found}


def test_while_nothing_changes_all_holds(scene: Path) -> None:
    for standing in standings(scene, "title=Other words", "recording.hours=3").values():
        assert [entry.by for entry in standing.approvals] == ["Bo", "Ada"]
        assert standing.lost == () and standing.wishes == ()
    assert list(lost_lines(standings(scene).values())) == []
    # Where nobody decided, nothing is said, and nothing is measured.
    (scene / "decisions.jsonl").unlink()
    assert api.lost_approvals(api.open_scene(scene, ("key.dimmer_pct=4",))) == ()


def test_another_stop_of_b_touches_b_alone(scene: Path) -> None:
    found = standings(scene, "B.f_number=5.6")
    assert found["A"].lost == () and len(found["B"].lost) == 2
    line = "".join(lost_lines(found.values()))
    assert line.startswith("camera B is no longer what Bo (2026-11-28 10:00 UTC) and Ada (")
    assert "framing as it was" in line and "light: -1.0 stops over the frame" in line
    assert line.endswith("changed: cameras.B.f_number 4 → 5.6")


def test_a_dimmer_touches_both_and_says_stops(scene: Path) -> None:
    found = standings(scene, "key.dimmer_pct=10")
    for standing in found.values():
        difference = standing.lost[0].difference
        assert difference is not None and difference.light is not None
        # The key gave two parts of three; a quarter of it leaves half of all.
        assert difference.light.mean_stops == pytest.approx(-1.0, abs=0.02)
        assert abs(difference.framing_most.by_pct) < 1e-6  # type: ignore[union-attr]
        assert [change.path for change in difference.settings] == ["lights.key.dimmer_pct"]
    assert len(list(lost_lines(found.values()))) == 2


def test_a_camera_that_moved_says_per_cent(scene: Path) -> None:
    found = standings(scene, "cameras.B.place.at_m=[-2.0, -0.6]")
    assert found["A"].lost == ()
    words = next(iter(lost_lines(found.values())))
    difference = found["B"].lost[0].difference
    assert difference is not None and difference.framing_most is not None
    assert f"{abs(difference.framing_most.by_pct):.1f} % of the frame" in words
    assert abs(difference.framing_most.by_pct) > 1.0
    assert "light not measured: previz render or previz measure tells" in words
    assert "changed: cameras.B.place.at_m [-2.2, -0.6] → [-2, -0.6]" in words
    told = standings_json(found.values())[1]
    assert told["holds"] is False and told["lost"][0]["light_stops"] is None
    assert told["lost"][0]["changed"][0]["now"] == [-2.0, -0.6]


def test_who_decides_again_is_heard_last_and_others_stay(scene: Path) -> None:
    opened = api.open_scene(scene)
    showing = show(opened, scene.parent / "out" / "parlour")
    wish = decision_file(
        showing, "change", "Ada", at="2026-11-29T10:00:00.5Z", comment="Warmer\nplease"
    )
    assert [len(taken.new) for taken in said(scene, wish)] == [2]
    found = standings(scene)["A"]
    assert [entry.by for entry in found.decisions] == ["Ada", "Bo"]
    assert [entry.by for entry in found.approvals] == ["Bo"]
    assert [entry.comment for entry in found.wishes] == ["Warmer\nplease"]


def test_what_is_no_longer_kept_is_said(scene: Path) -> None:
    for file in (scene / "shown").glob("*.json"):
        file.unlink()
    line = next(iter(lost_lines(standings(scene, "B.f_number=5.6").values())))
    assert line.endswith("so by how much cannot be told")


def test_check_names_what_is_lost_and_nothing_else(scene: Path) -> None:
    from click.testing import CliRunner

    from previz.cli.root import root

    def typed(*words: str) -> str:
        return CliRunner().invoke(root, [*words], prog_name="previz").output

    assert "no longer" not in typed("check", str(scene))
    lines = typed("check", str(scene), "--set", "B.f_number=5.6").splitlines()
    assert [line for line in lines if "no longer" in line] == [lines[-1]]
    told = json.loads(typed("check", str(scene), "--json", "--set", "key.dimmer_pct=10"))
    lost = {frame["camera"]: frame["lost"][0] for frame in told["no_longer_approved"]}
    assert {name: one["light_stops"] for name, one in lost.items()} == {"A": -1.0, "B": -1.0}
    said_of = typed("review", "status", str(scene))
    assert "parlour, camera A: approved by Bo, Ada" in said_of


def test_a_render_says_so_and_readings_tell_the_light(
    scene: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a render that fits, what meters were read with says by how many stops."""
    monkeypatch.setattr("previz.render.readings.PICTURE_WIDTH_PX", 48)
    monkeypatch.setattr("previz.render.readings.PICTURE_SAMPLES", 4)
    out = scene.parent / "out" / "parlour"
    for file in (scene / "shown").glob("*.json"):
        file.unlink()
    (scene / "decisions.jsonl").unlink()
    shutil.rmtree(out)
    opened = api.open_scene(scene)
    api.measure_scene(opened, light=True)
    showing = show(opened, out)  # with its light from readings
    said(scene, decision_file(showing))
    halved = ("key.dimmer_pct=20", "fill.dimmer_pct=5")
    difference = standings(scene, *halved)["A"].lost[0].difference
    assert difference is not None and difference.light is not None
    assert difference.light.mean_stops == pytest.approx(-1.0, abs=0.05)
    options = api.RenderOptions(
        out=out, settings=("B.f_number=5.6",), width_px=32, samples=1, quality="draft"
    )
    rendered = api.render_scene(scene, options)
    assert [standing.camera for standing in rendered.no_longer_approved] == ["B"]


# --- files that come and go --------------------------------------------------------------------


def test_a_file_twice_changes_nothing_and_comes_out_as_it_went_in(scene: Path) -> None:
    from click.testing import CliRunner

    from previz.cli.root import root

    before = (scene / "decisions.jsonl").read_bytes()
    taken = api.import_decisions([scene.parent / "said.json"], [scene])
    assert (taken[0].new, taken[0].known) == ((), 2)
    assert (scene / "decisions.jsonl").read_bytes() == before
    run = CliRunner().invoke(root, ["review", "export", str(scene), "--format", "json"])
    log = json.loads(run.output)
    sent = json.loads((scene.parent / "said.json").read_text(encoding="utf-8"))
    assert [{k: one[k] for k in sent["decisions"][0]} for one in log[2:]] == sent["decisions"]
    assert {one["came"] for one in log} == {"page"}
    # All that went out can come in again, elsewhere.
    (scene / "decisions.jsonl").unlink()
    again = [{k: v for k, v in one.items() if k not in ("showing", "came")} for one in log]
    assert len(said(scene, {**sent, "decisions": again})[0].new) == 4
    lines = (scene / "decisions.jsonl").read_text(encoding="utf-8").splitlines()
    assert [json.loads(line) for line in lines] == log


def test_a_table_is_no_formula(scene: Path) -> None:
    import csv

    from click.testing import CliRunner

    from previz.cli.root import root

    opened = api.open_scene(scene)
    showing = show(opened, scene.parent / "out" / "parlour")
    mark = {"x": 0.25, "y": 0.5, "width": 0.25, "height": 0.125}
    comment = '=HYPERLINK("http://evil.example";"a")\nnext, "line"'
    said(scene, decision_file(showing, "change", "Cy", comment=comment, mark=mark))
    out = scene.parent / "log.csv"
    CliRunner().invoke(root, ["review", "export", str(scene), "--out", str(out)])
    with out.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 6 and rows[-1]["comment"] == f"'{comment}"
    assert (rows[-1]["mark_x"], rows[-1]["mark_height"]) == ("0.2500", "0.1250")


@pytest.mark.parametrize(
    ("wrong", "line"),
    [
        ("not json", "is no decision file: Invalid JSON"),
        ("[]", "is no decision file: Input should be an object"),
        ("x" * (9 << 20), "is larger than 8 MiB: no page writes that"),
        ({"form": 2}, "is no decision file: form: Input should be 1"),
        ({"showing": "0" * 16}, "is about camera A of showing 0000000000000000, which is not in"),
        ({"more": 1}, "is no decision file: more: Extra inputs are not permitted"),
        ({"decisions": 501}, "is no decision file: decisions: Tuple should have at most 500"),
        ({"scene": "other"}, "is about the scene other; named here: parlour"),
        ({"sha256": "0" * 64}, "which is not in"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_what_no_page_wrote_is_refused_in_a_line(scene: Path, wrong: Any, line: str) -> None:
    before = (scene / "decisions.jsonl").read_bytes()
    good = json.loads((scene.parent / "said.json").read_text(encoding="utf-8"))
    if isinstance(wrong, dict):
        first = {**good["decisions"][0]}
        if "decisions" in wrong:
            wrong = {"decisions": [first] * wrong["decisions"]}
        elif wrong.keys() <= first.keys():
            wrong = {"decisions": [{**first, **wrong}]}
        wrong = json.dumps({**good, **wrong})
    bad = scene.parent / "bad.json"
    bad.write_text(wrong, encoding="utf-8")
    fresh = scene.parent / "fresh.json"
    fresh.write_text(json.dumps({**good, "decisions": []}), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        api.import_decisions([fresh, bad], [scene])
    assert len(caught.value.problems) == 1
    assert line in str(caught.value) and str(caught.value).startswith(f"{bad}: ")
    assert (scene / "decisions.jsonl").read_bytes() == before


def test_the_newest_showing_is_the_one_that_says_so(scene: Path) -> None:
    """By the time in it; a file's own date, which a copy loses, tells only where there is none."""
    file = next((scene / "shown").glob("*.json"))
    told = json.loads(file.read_text(encoding="utf-8"))
    for name, at in (("late", "2026-11-28T11:00:00.5Z"), ("early", "2026-11-28T10:00:00Z")):
        copy = file.with_name(f"{name}.json")
        copy.write_text(json.dumps({**told, "id": name, "written_at": at}), encoding="utf-8")
    os.utime(file, (1e9, 1e9))
    assert list(showings_in(scene)) == [file.stem, "early", "late"]
    file.with_name("late.json").write_text(
        json.dumps({**told, "id": "late", "written_at": "soon"}), encoding="utf-8"
    )
    with pytest.raises(InputError, match="is no showing that can be read"):
        showings_in(scene)


def test_what_was_shown_of_a_day_lies_beside_each_scene(scene: Path, plain: str) -> None:
    other = scene.parent / "hall"
    other.mkdir()
    (other / "scene.yaml").write_text(plain + SECOND, encoding="utf-8")
    file = next((scene / "shown").glob("*.json"))
    showing = json.loads(file.read_text(encoding="utf-8"))
    showing["scenes"].append({**showing["scenes"][0], "name": "hall"})
    file.write_text(json.dumps(showing), encoding="utf-8")
    os.utime(file, (1e9, 1e9))
    sent = scene.parent / "both.json"
    sent.write_text(json.dumps(decision_file(showing, by="Cy")), encoding="utf-8")
    assert len(api.import_decisions([sent], [scene, other])[0].new) == 4
    beside = other / "shown" / file.name
    assert beside.read_bytes() == file.read_bytes() and beside.stat().st_mtime == 1e9
    assert [entry.by for entry in standings(other)["A"].approvals] == ["Cy"]
