"""Light turned in the page against `previz relight` on the bookbinder, pixel by pixel."""

from __future__ import annotations

import base64
import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from browser.chromium import Tab
from click.testing import CliRunner
from numpy.typing import NDArray

from previz import api
from previz.api.paging import Paged
from previz.cli.root import root
from previz.deliver.frames import read_png

SCENES = Path(__file__).parents[2] / "scenes"
WIDTH = 480
# Settings of the scene, and what is turned for them in the page.
CASES = {
    "dimmers": (
        ("key.dimmer_pct=50", "fill.dimmer_pct=0", "window.gel_nd=0.3"),
        (("key", "dimmer", 50), ("fill", "dimmer", 0), ("window", "nd", 0.3)),
        0.0,
    ),
    "colours": (
        ("key.cct_k=3200", "lamp.dimmer_pct=90"),
        (("key", "colour", 3200), ("lamp", "dimmer", 90)),
        0.0,
    ),
    "a stop more": (
        ("hair.dimmer_pct=40", "back_window.gel_nd=1.5", "exposure.iso=1600"),
        (("hair", "dimmer", 40), ("back_window", "nd", 1.5)),
        1.0,
    ),
}
READ = """(() => { const from = byId('relit');
    const to = made('canvas', {width: from.width, height: from.height});
    const pen = to.getContext('2d');
    pen.drawImage(from, 0, 0);
    let text = '';
    for (const byte of pen.getImageData(0, 0, to.width, to.height).data) {
        text += String.fromCharCode(byte);
    }
    return btoa(text); })()"""
NO_CARD = """HTMLCanvasElement.prototype.getContext = ((own) => function (kind, ...rest) {
    return kind === 'webgl2' ? null : own.call(this, kind, ...rest); })
    (HTMLCanvasElement.prototype.getContext);"""


@pytest.fixture(scope="module")
def paged(tmp_path_factory: pytest.TempPathFactory) -> Paged:
    folder = tmp_path_factory.mktemp("bookbinder")
    shutil.copytree(SCENES / "bookbinder", folder / "bookbinder")
    render = api.RenderOptions(quality="draft", width_px=WIDTH)
    options = api.PageOptions(out=folder / "out", render=render)
    return api.page_of_scenes([folder / "bookbinder"], options)


def turned(tab: Tab, places: tuple[tuple[str, str, float], ...], stops: float) -> NDArray[np.int64]:
    """The picture that the page shows when sliders stand at these places and white follows."""
    width, height = tab.run("[current().width, current().height]")
    tab.run(f"""(() => {{
        const lights = SHOWING.scenes[current().scene].lights;
        const rows = lights.flatMap((one) => one.sliders.map((slider) => [one.layer, slider]));
        const inputs = document.querySelectorAll('#sliders input[type=range]');
        for (const [layer, kind, value] of {json.dumps(places)}) {{
            const at = rows.findIndex(([name, slider]) => name === layer && slider.kind === kind);
            const place = rows[at][1].stops.findIndex(([one]) => Math.abs(one - value) < 1e-6);
            inputs[at].value = place;
            inputs[at].dispatchEvent(new Event('input'));
        }}
        inputs[inputs.length - 1].value = Math.round(9 + 3 * {stops});
        inputs[inputs.length - 1].dispatchEvent(new Event('input'));
        document.querySelector('#sliders input[type=checkbox]').click();
    }})()""")
    tab.until("!byId('relit').hidden && byId('light_state').textContent === ''")
    tab.run("relight(current())")
    tab.until("byId('relit').dataset.stride === '1'")
    raw = np.frombuffer(base64.b64decode(tab.run(READ)), np.uint8)
    return raw.reshape(height, width, 4)[..., :3].astype(int)


def frames_of(paged: Paged) -> Path:
    return paged.page.parent / "frames" / "bookbinder"


def relit(paged: Paged, out: Path, *settings: str) -> NDArray[np.int64]:
    """Camera A as the command relights it."""
    scene = paged.showing_file.parents[1]
    words = [word for setting in settings for word in ("--set", setting)]
    given = ["relight", str(scene), "--from", str(frames_of(paged)), "--out", str(out), *words]
    assert CliRunner().invoke(root, given, catch_exceptions=False).exit_code == 0
    return read_png(out / "frame_A.png").astype(int)


def opened(tab: Tab, page: Path) -> None:
    tab.size(1440, 900)
    tab.errors.clear()
    tab.open(page.as_uri())
    tab.until("!document.getElementById('viewer').hidden")


@pytest.mark.parametrize("case", CASES)
def test_the_page_relights_as_previz_does(
    tab: Tab, paged: Paged, tmp_path: Path, case: str
) -> None:
    settings, places, stops = CASES[case]
    wanted, source = relit(paged, tmp_path, *settings), frames_of(paged)
    opened(tab, paged.page)
    found = turned(tab, places, stops)
    assert tab.run("developer.constructor.name") == "CardDeveloper"
    off = np.abs(found - wanted).max(axis=-1)
    assert np.mean(off <= 1) >= 0.999, f"{np.mean(off > 1):.5f} of the pixels are off by more"
    assert np.mean(np.abs(wanted - read_png(source / "frame_A.png")) > 3) > 0.2, "it changes much"
    assert tab.errors == []


def test_as_rendered_all_give_the_same_picture(paged: Paged, tmp_path: Path) -> None:
    """The render, the page and relighting; what the page has of light is that picture as well."""
    scene, frames = paged.showing_file.parents[1], frames_of(paged)
    assert json.loads((frames / "manifest.json").read_text(encoding="utf-8"))["denoised"]
    shown = read_png(frames / "frame_A.png")
    assert np.array_equal(relit(paged, tmp_path / "relit"), shown)
    options = api.RenderOptions(tmp_path, ("A",), quality="draft", width_px=WIDTH)
    api.render_scene(scene, options)
    assert np.array_equal(read_png(tmp_path / "frame_A.png"), shown)


def test_without_a_card_the_picture_is_the_same(tab: Tab, paged: Paged) -> None:
    _, places, stops = CASES["colours"]
    opened(tab, paged.page)
    wanted = turned(tab, places, stops)
    script = tab.call("Page.addScriptToEvaluateOnNewDocument", source=NO_CARD)["identifier"]
    try:
        opened(tab, paged.page)
        found = turned(tab, places, stops)
        assert tab.run("developer.constructor.name") == "FlatDeveloper"
    finally:
        tab.call("Page.removeScriptToEvaluateOnNewDocument", identifier=script)
    assert np.abs(found - wanted).max() <= 1


def test_the_showing_says_what_was_shown(paged: Paged) -> None:
    told = json.loads(paged.showing_file.read_text(encoding="utf-8"))
    assert told["form"] == 1 and paged.showing_file.stem == told["id"] and len(told["id"]) == 16
    scene, look = told["scenes"]
    assert look["name"] == "evening", "other looks are shown, and decided about, too"
    assert scene["name"] == "bookbinder" and [f["camera"] for f in scene["frames"]] == ["A", "B"]
    facts = scene["frames"][0]["facts"]
    assert facts["framing"]["eyes_pct"] == pytest.approx(34.0, abs=0.1), "as the scene aims it"
    grid = np.array(facts["light"]["grid"])
    assert grid.shape == (9, 16) and 0.0 < grid.max() < 6.0
    assert facts["settings"]["lights.key.dimmer_pct"] == 18.0
    assert not any(key.startswith(("title", "notes")) for key in facts["settings"])


def test_a_later_page_shows_what_was_before_and_renders_nothing(paged: Paged) -> None:
    scene = paged.showing_file.parents[1]
    render = api.RenderOptions(quality="draft", width_px=WIDTH)
    options = api.PageOptions(
        out=paged.page.parent / "later.html", light=False, render=render,
        settings=("key.dimmer_pct=40",),
    )  # fmt: skip
    later = api.page_of_scenes([scene], options)
    # The setting reaches the look named "evening" as well.
    assert later.rendered == ()
    assert later.before == ("bookbinder.A", "bookbinder.B", "evening.A")
    assert later.showing.id != paged.showing.id
    assert later.size_bytes < paged.size_bytes / 2


def test_the_page_stays_small(paged: Paged) -> None:
    pixels = sum(f.width_px * f.height_px for s in paged.showing.scenes for f in s.frames)
    assert (paged.size_bytes - 1.2e6) / pixels < 17.0
