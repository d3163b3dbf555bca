"""Balanced settings, read anew by meters, give what the targets ask for."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from previz import api
from previz.errors import InputError, OutputError
from previz.measure.light.light import light_numbers
from previz.measure.light.receptors import receptors
from previz.measure.rules.cautions import SENTENCES
from previz.render.backends import open_back_end
from previz.render.readings import take_readings
from previz.telling.balance import balance_json, balance_lines
from previz.telling.cautions import CLOSING

pytestmark = pytest.mark.usefixtures("mannequins")
TARGETS = """\
targets:
  face: {stops_over_grey: 0.5}
  key_to_fill: 4
  hair: {stops_over_key: 0}
  window: {stops_over_key: 1.5}
"""


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "scene.yaml"
    path.write_text(text)
    return path


def read_afresh(path: Path):
    """The light of a scene by new samples: nothing of what `balance` knew is used."""
    opened = api.open_scene(path)
    stage = replace(opened.stage, seed=99)
    held = receptors(stage)
    readings = take_readings(open_back_end("llvm_ad_rgb").load(stage), stage, held, lambda _: None)
    return light_numbers(opened.stage, readings)


def test_targets_are_reached_within_a_tenth_of_a_stop_by_a_fresh_reading(tmp_path, lit):
    scene = written(tmp_path, lit + TARGETS)
    done = api.balance_scene(scene, api.BalanceOptions())
    assert done.balance.reached, list(balance_lines(done.balance))
    assert balance_json(done.balance)["reached"] is True
    assert done.cautions[-1] == CLOSING and SENTENCES["exits"][1:] in " ".join(done.cautions)
    assert done.file is not None
    light = read_afresh(done.file)
    face, camera = light.faces["guest"], light.cameras["A"]
    assert camera.face_stops_over_grey == pytest.approx(0.5, abs=0.1)
    assert math.log2(face.key_to_fill / 4.0) == pytest.approx(0.0, abs=0.1)
    assert face.hair_over_key_stops == pytest.approx(0.0, abs=0.1)
    over = camera.frame.windows["window"].stops_over_grey - camera.face_stops_over_grey
    assert over <= 1.5 + 0.15


def test_what_the_kit_cannot_do_is_said_with_what_would(tmp_path, lit):
    scene = written(tmp_path, lit + "targets: {face: {stops_over_grey: 4.2}}\n")
    done = api.balance_scene(scene, api.BalanceOptions(dry=True))
    assert done.file is None and not done.balance.reached
    target = done.balance.targets[0]
    assert target.target == "face" and target.off_stops < -0.5
    assert done.balance.lights["key"].after_pct == 100.0
    said = " ".join(target.cures)
    assert "bring key from 1.5" in said or "of the catalogue" in said
    assert "set camera A to ISO" in said


def test_the_settings_file_is_based_on_the_scene_and_never_replaces_one_unasked(tmp_path, lit):
    scene = written(tmp_path, lit + TARGETS)
    done = api.balance_scene(scene, api.BalanceOptions())
    assert done.file == tmp_path / "scene_balanced.yaml"
    opened = api.open_scene(done.file)
    for name, dimmed in done.balance.lights.items():
        assert opened.scene.lights[name].dimmer_pct == dimmed.after_pct
    with pytest.raises(OutputError, match="--overwrite replaces it"):
        api.balance_scene(scene, api.BalanceOptions())
    api.balance_scene(scene, api.BalanceOptions(overwrite=True))
    with pytest.raises(OutputError, match="must lie in the scene's folder"):
        api.balance_scene(scene, api.BalanceOptions(out=tmp_path.parent / "elsewhere.yaml"))
    with pytest.raises(OutputError, match="is the scene itself"):
        api.balance_scene(scene, api.BalanceOptions(out=scene, overwrite=True))


def test_what_needs_no_light_is_refused_before_any_is_read(tmp_path, lit, monkeypatch):
    monkeypatch.setattr("previz.api.balancing.read_light", None)
    scene = written(tmp_path, lit + TARGETS)
    (tmp_path / "scene_balanced.yaml").write_text("# mine")
    with pytest.raises(OutputError, match="is there already"):
        api.balance_scene(scene, api.BalanceOptions())
    assert (tmp_path / "scene_balanced.yaml").read_text() == "# mine"
    with pytest.raises(InputError, match="targets are empty"):
        api.balance_scene(written(tmp_path, lit), api.BalanceOptions(dry=True))


def test_a_dark_window_is_in_the_frame_and_is_said_to_give_too_little(tmp_path, lit):
    scene = written(tmp_path, lit + "targets: {window: {stops_over_key: 1.5}}\n")
    at_night = api.open_scene(scene, ("daylight.sky=night",))
    balance = api.balance_scene(at_night, api.BalanceOptions(dry=True)).balance
    assert [target.target for target in balance.targets] == ["window/window"]
    assert "it is dark outside: window mirrors the room" in list(balance_lines(balance))[-1]


@pytest.mark.parametrize(
    ("targets", "sentence"),
    [
        ("", "targets are empty"),
        ("targets: {key_to_fill: 4}\n", "targets.key_to_fill cannot be met, no fill light is on"),
        ("targets: {hair: {stops_over_key: 0}}\n", "no light behind the subject is on"),
    ],
)
def test_targets_that_nothing_serves_are_refused_in_a_sentence(tmp_path, lit, targets, sentence):
    bare = lit.replace("  fill: {", "  spare: {").replace(
        "  hair: {fixture: panel_40, aim: guest,",
        "  hair: {fixture: panel_40, on: false, aim: guest,",
    )
    if "fill" in targets:
        bare = bare.replace(
            "  spare: {fixture: panel_60x40,", "  spare: {on: false, fixture: panel_60x40,"
        )
        bare = bare.replace("  window: {wall", "  pane: {transmittance_pct: 0, wall")
    scene = written(tmp_path, bare + targets)
    with pytest.raises(InputError) as error:
        api.balance_scene(scene, api.BalanceOptions(dry=True))
    assert sentence in error.value.problems[0].message


def test_readings_are_kept_for_other_dimmers(tmp_path, lit, monkeypatch):
    """The second time nothing is traced, and the numbers are those for the new settings."""
    scene = written(tmp_path, lit)
    first = api.measure_scene(scene, light=True)
    monkeypatch.setattr("previz.api.light.take_readings", None)
    again = api.measure_scene(scene, ("key.dimmer_pct=20",), light=True)
    assert first.light is not None and again.light is not None
    old = first.light.faces["guest"].toward.illuminance_lx
    new = again.light.faces["guest"].toward.illuminance_lx
    assert new["key"] == pytest.approx(0.5 * old["key"])
    assert new["fill"] == pytest.approx(old["fill"])
