"""One story: shown, decided on a phone, changed, asked again for what changed alone, and shot."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from browser.chromium import Tab
from click.testing import CliRunner

from previz import api
from previz.api.verifying import planned_of
from previz.cli.root import root
from previz.solve.resection import Change, changed

from .test_client import downloaded, text

pytestmark = pytest.mark.usefixtures("mannequins")
SECOND = """
  B: {sensor: super35_3perf, lens: zoom_70_200_f2.8, focal_length_mm: 85, f_number: 2.8, aim: guest,
      place: {at_m: [-1.3, -1.6], height: eye}}
"""
MORE = """
openings:
  window: {wall: north, along_m: 2.2, width_m: 1.2, sill_m: 1.0, height_m: 0.7}
lights:
  key: {fixture: panel_60x40, aim: guest, place: {at_m: [1.3, -1.4], height_m: 1.9}}
exposure: {iso: 800, fps: 25, shutter_deg: 180, white_balance: {cct_k: 5600}}
"""
CORNERS = ("window.bottom_left", "window.bottom_right")
SMALL = ("--quality", "draft", "--width", "96")


@pytest.fixture
def scene(tmp_path: Path, plain: str, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "talk" / "scene.yaml"
    path.parent.mkdir()
    path.write_text(plain.replace("\nlights", f"{SECOND}\nlights", 1) + MORE, encoding="utf-8")
    if SECOND not in path.read_text(encoding="utf-8"):
        path.write_text(plain.rstrip() + SECOND + MORE, encoding="utf-8")
    return path


@pytest.fixture
def say() -> Callable[..., str]:
    def run(*words: object, status: int = 0) -> str:
        result = CliRunner().invoke(root, [str(word) for word in words])
        assert result.exit_code == status, result.output
        return result.output

    return run


def answered(tab: Tab, page: Path, name: str, asked: list[str]) -> Path:
    """Say yes to each frame that the page asks for, and send; the file that comes of it."""
    tab.size(390, 844)
    tab.open(page.resolve().as_uri())
    tab.until("!document.getElementById('viewer').hidden")
    for number, camera in enumerate(asked):
        assert text(tab, "#heading") == f"Camera {camera}", "it opens at what it asks for"
        assert text(tab, "#answered") == f"{number} of {len(asked)} answered"
        # Until pictures are there the page still moves under the pointer.
        tab.until("[...document.images].every((one) => one.complete)")
        tab.click("#right")
        done = f"{number + 1} of {len(asked)} answered"
        tab.until(f"document.getElementById('answered').textContent === '{done}'")
        if number + 1 < len(asked):
            tab.click("#next")
    tab.type("#name", name)
    # Chromium may lay the file of the last time there again, once it has looked through it.
    for old in tab.downloads.glob("decisions_*.json"):  # type: ignore[attr-defined]
        old.unlink()
    tab.click("#save")
    file, told = downloaded(tab)
    page.with_name(file).write_text(json.dumps(told), encoding="utf-8")
    return page.with_name(file)


def test_an_approval_means_something_to_the_end(
    scene: Path, tab: Tab, say: Callable[..., str]
) -> None:
    page = scene.parents[1] / "out" / "talk" / "page" / "page.html"

    say("page", scene, "--no-light", *SMALL)
    say("review", "import", scene, answered(tab, page, "Ada", ["A", "B"]))
    status = json.loads(say("review", "status", scene, "--json"))
    assert "approved" in json.dumps(status)
    assert say("check", scene, status=0).count("no longer") == 0

    before = scene.read_text(encoding="utf-8")
    scene.write_text(before.replace("focal_length_mm: 85", "focal_length_mm: 105"), "utf-8")
    told = say("review", "status", scene)
    [lost] = [line for line in told.splitlines() if "focal_length_mm" in line]
    assert "85" in lost and "105" in lost, "and it says why"
    said = say("check", scene)
    assert "camera B" in said.replace("cameras.B", "camera B") and "A is no longer" not in said

    say("page", scene, "--no-light", *SMALL)
    tab.open(page.resolve().as_uri())
    tab.until("!document.getElementById('viewer').hidden")
    tab.click("#previous")
    assert text(tab, "#still") == "Approved by Ada. It has not changed since."
    say("review", "import", scene, answered(tab, page, "Ada", ["B"]))
    assert "no longer" not in say("check", scene)

    opened = api.open_scene(scene)
    off = changed(opened.stage.cameras["A"], Change(tilt=-0.03))
    shot = replace(opened, stage=replace(opened.stage, cameras={**opened.stage.cameras, "A": off}))
    options = api.RenderOptions(
        out=scene.parent / "shot", cameras=("A",), quality="draft", width_px=160, keep_light=False
    )
    still = api.render_scene(shot, options).files[0]
    points = []
    planned = planned_of(opened, "A")
    for name in ("eye_left", "eye_right", "head_top", "chin", *CORNERS):
        x, y = off.project(planned.features[name].point_m, 160, 90)[0]
        points += ["--point", f"{name}={x:.2f},{y:.2f}"]
    told = say("verify", scene, "--camera", "A", "--still", still, *points)
    assert "tilt up 1.7°" in told or "tilt up 1.8°" in told, told
