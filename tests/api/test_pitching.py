"""A pitch from a scene file: what is rendered, what is found again, and what the pages say."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner, Result

from previz import api
from previz.api import lit as lit_module
from previz.api import pictures as found_pictures
from previz.api import pitching
from previz.api.lit import Alone, lit_frames
from previz.api.looks import looks_of
from previz.cli.root import root
from previz.deliver.frames import read_png
from previz.errors import InputError
from previz.measure.light.parts import LightPart
from previz.telling.pitch import against_words, part_words, reading_words, stops_words

pytestmark = pytest.mark.usefixtures("mannequins")
WORDS = """
pitch:
  line: A corner, and time.
  cameras: {A: ["Level with the eyes."]}
  light: It comes from the window.
  alternatives: {low: {scene: low.yaml, line: Darker.}}
"""
LOW = "based_on: scene.yaml\ntitle: Lower\nlights: {key: {dimmer_pct: 10}}\n"
RENDER = api.RenderOptions(quality="draft", width_px=96, samples=1)


@pytest.fixture
def pitched(scene: Path, tmp_path: Path, lit: str) -> Path:
    """A scene with words, and a variant that only dims."""
    scene.write_text(lit + WORDS, encoding="utf-8")
    (tmp_path / "low.yaml").write_text(LOW, encoding="utf-8")
    return scene


@pytest.fixture
def no_render(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """From then on whoever wants to render anything fails."""

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("something is rendered")

    return lambda: monkeypatch.setattr(found_pictures, "Session", refuse)


def pitch(*scenes: Path, out: Path, **more: object) -> api.Pitched:
    return api.pitch_scenes(scenes, api.PitchOptions(out=out, render=RENDER, **more))  # type: ignore[arg-type]


def said(made: api.Pitched) -> str:
    document = pypdfium2.PdfDocument(made.files[0])
    return " ".join(" ".join(p.get_textpage().get_text_range().split()) for p in document)


def test_new_words_and_dimmers_render_nothing(
    pitched: Path, tmp_path: Path, no_render: Callable[[], None]
) -> None:
    out = tmp_path / "out"
    made = pitch(pitched, out=out)
    assert [name.rpartition(".")[2] for name in made.rendered] == ["A"]
    names = [page.name for page in made.pages]
    assert names == [
        "A lit corner", "Camera A", "The light", "Other looks", "The plan",
        "What the place must provide", "Before anyone builds it",
    ]  # fmt: skip
    text = said(made)
    for words in ("A corner, and time.", "Level with the eyes.", "shapes the face", "Darker."):
        assert words in text
    first, size = made.files[0].read_bytes(), made.files[0].stat().st_size
    assert size < 15e6

    no_render()
    again = pitch(pitched, out=out)
    assert again.rendered == () and again.files[0].read_bytes() == first

    pitched.write_text(pitched.read_text().replace("A corner, and time.", "Other words."))
    worded = pitch(pitched, out=out)
    assert worded.rendered == () and "Other words." in said(worded)

    frame = out / "frames" / "frame_A.png"
    before = read_png(frame).astype(int)
    pitched.write_text(pitched.read_text().replace("dimmer_pct: 40", "dimmer_pct: 80"))
    brighter = pitch(pitched, out=out)
    assert brighter.rendered == ()
    assert read_png(frame).astype(int).mean() > before.mean() + 3.0


def test_another_lens_or_size_is_rendered_and_the_rest_stays(pitched: Path, tmp_path: Path) -> None:
    text = pitched.read_text().replace("lights:\n", """  B:
    sensor: super35_3perf
    lens: prime_50_f1.4
    f_number: 2.8
    place: {at_m: [-0.8, -1.9], height: eye}
    aim: guest
lights:
""")  # fmt: skip
    pitched.write_text(text)
    opened = api.open_scene(pitched)
    options = api.RenderOptions(out=tmp_path / "frames", quality="draft", width_px=64, samples=1)
    assert api.pictures_of(opened, options).rendered == ("A", "B")
    kept = api.pictures_of(opened, options)
    assert kept.rendered == () and set(kept.frames) == {"A", "B"}
    stopped = api.open_scene(pitched, ["B.f_number=4"])
    assert api.pictures_of(stopped, options).rendered == ("B",)
    some = api.RenderOptions(
        out=tmp_path / "frames", cameras=("A",), quality="draft", width_px=80, samples=1
    )
    assert api.pictures_of(stopped, some).rendered == ("A",)


def test_a_light_alone_is_its_share_of_the_whole(scene: Path, tmp_path: Path) -> None:
    opened = api.open_scene(scene)
    options = api.RenderOptions(
        out=tmp_path / "frames", quality="draft", width_px=64, samples=4, denoise=False
    )
    made = api.pictures_of(opened, options)
    stack = made.kept.stack("A")
    alone = [stack.combined({name: made.kept.gains[name]}) for name in opened.stage.layers]
    assert np.allclose(sum(alone), stack.combined(made.kept.gains), rtol=1e-3, atol=1e-3)
    wanted = [Alone(tuple(opened.stage.layers)), Alone(("key",)), Alone(("key",), "key")]
    whole, key, lifted = lit_frames(made, "A", wanted, 64)
    assert np.abs(whole.picture.astype(int) - made.frames["A"].astype(int)).max() <= 1
    assert key.picture.mean() < whole.picture.mean()
    assert [one.lift_stops for one in (whole, key, lifted)] == [0, 0, 0]
    faint = lit_frames(made, "A", [Alone(("fill",), "key")], 32)[0]
    assert faint.picture.shape == (18, 32, 3)


def test_lights_alone_are_found_again_until_something_they_rest_on_changes(
    scene: Path, tmp_path: Path, lit: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    scene.write_text(lit, encoding="utf-8")
    options = api.RenderOptions(out=tmp_path / "frames", quality="draft", width_px=64, samples=4)
    wanted = [Alone(("key",)), Alone(("fill",), "key")]
    before = lit_frames(api.pictures_of(api.open_scene(scene), options), "A", wanted, 32)
    developed: list[object] = []
    photograph = lit_module.photograph

    def counted(*given: Any) -> Any:
        developed.append(given)
        return photograph(*given)

    monkeypatch.setattr(lit_module, "photograph", counted)
    scene.write_text(lit.replace("A lit corner", "Another title"), encoding="utf-8")
    again = lit_frames(api.pictures_of(api.open_scene(scene), options), "A", wanted, 32)
    assert not developed
    assert all((a.picture == b.picture).all() for a, b in zip(again, before, strict=True))
    scene.write_text(lit.replace("dimmer_pct: 40", "dimmer_pct: 80"), encoding="utf-8")
    brighter = lit_frames(api.pictures_of(api.open_scene(scene), options), "A", wanted, 32)
    assert len(developed) == 2 and brighter[0].picture.mean() > before[0].picture.mean()


def test_scenes_that_are_not_variants_have_chapters_and_variants_none(
    pitched: Path, tmp_path: Path, lit: str
) -> None:
    bare = tmp_path / "bare.yaml"
    text = lit.replace("A lit corner", "Nobody here")
    people = text.index("people:"), text.index("cameras:")
    text = text[: people[0]] + text[people[1] : text.index("lights:")]
    window = text[text.index("openings:") : text.index("cameras:")]
    for old, new in (
        (window, ""),
        ("aim: guest", "aim_m: [0, 0, 1]\n    focus_distance_m: 2"),
        ("height: eye", "height_m: 1.2"),
    ):
        text = text.replace(old, new)
    bare.write_text(text)
    made = pitch(pitched, tmp_path / "low.yaml", bare, out=tmp_path / "out")
    own = [page.name for page in made.pages if page.chapter == "Nobody here"]
    assert own == [
        "Nobody here", "Camera A", "The plan", "What the place must provide",
        "Before anyone builds it",
    ]  # fmt: skip
    assert sum(page.name == "Other looks" for page in made.pages) == 1
    assert said(made).count("Darker.") == 1
    assert not made.parts["bare"]


def test_words_are_no_part_of_what_pictures_rest_on(pitched: Path) -> None:
    before = api.open_scene(pitched)
    pitched.write_text(pitched.read_text().replace("It comes", "All comes"))
    after = api.open_scene(pitched)
    assert after.digest != before.digest and after.set_digest == before.set_digest
    other = api.open_scene(pitched, ["key.dimmer_pct=41"])
    assert other.set_digest != before.set_digest


def test_a_faulty_alternative_is_the_users_to_mend(pitched: Path, tmp_path: Path) -> None:
    (tmp_path / "low.yaml").write_text(LOW.replace("key:", "kye:"))
    with pytest.raises(InputError, match="fixture"):
        pitch(pitched, out=tmp_path / "out")


def test_what_is_set_on_a_scene_is_set_on_its_other_looks(pitched: Path) -> None:
    opened = api.open_scene(pitched, ["A.f_number=8"])
    [(look, line)] = looks_of(opened, {}).values()
    assert look.scene.cameras["A"].f_number == 8 and line == "Darker."
    assert look.scene.lights["key"].dimmer_pct == 10


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(root, [str(w) for w in words], prog_name="previz")


def test_the_command_says_what_it_made(pitched: Path, tmp_path: Path) -> None:
    title = "title: A lit corner"
    pitched.write_text(pitched.read_text().replace(title, "title: A lit 角"))
    words = ("pitch", pitched, "--out", tmp_path / "o", "--quality", "draft", "--width", "64",
             "--samples", "1", "--paper", "wide")  # fmt: skip
    result = run(*words)
    assert result.exit_code == 0, result.output
    assert "7 pages; 1 frame rendered." in result.stdout
    assert "has no 角 : a question mark" in result.stdout
    told = json.loads(run(*words, "--json").stdout)
    assert told["rendered"] == [] and told["letters_lacking"] == ["角"]
    lights = {light["name"]: light for light in next(iter(told["scenes"].values()))["lights"]}
    assert lights["key"]["part"] == "key" and lights["window"]["part"] == "window"
    assert lights["fill"]["over_stops"] < 0.0 < lights["fill"]["illuminance_lx"]
    both = run("pitch", pitched, pitched, "--set", "key.dimmer_pct=3")
    assert both.exit_code == 2 and "--set changes one scene" in both.stderr


def test_lights_are_told_in_the_trades_words() -> None:
    assert [stops_words(n) for n in (1, 2, 3, 4, 5, 26)] == [
        "half a stop", "a stop", "a stop and a half", "two stops", "two and a half stops",
        "13 stops",
    ]  # fmt: skip
    assert against_words(-2.1, "key") == "two stops under the key"
    assert against_words(0.6, "lantern") == "half a stop over the lantern"
    assert against_words(0.1, "key") == "level with the key"
    assert against_words(-8.0, "key") == "far under the key"
    fill = LightPart("fill", "fill", "guest", 46.0, -2.0, "guest", "key")
    assert reading_words(fill) == "46 lx on the face, two stops under the key"
    window = LightPart("side", "window", None, 0.1, -9.0, "guest", "key", gel_nd=0.6)
    assert part_words(window) == "daylight, held by ND 0.6"
    assert reading_words(window) == "next to nothing on the face"
    edge = LightPart("left", "edge", "baker", 4.0, -5.0, "host", "lantern")
    assert part_words(edge) == "an edge on baker" and reading_words(edge) == ""


def test_a_day_has_its_frames_once(
    scene: Path, tmp_path: Path, lit: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    day = (
        "daylight: {sky: clear, at: 2026-05-12T19:00+02:00, "
        "place: {latitude_deg: 52.1, longitude_deg: 5.1}}\n"
    )
    scene.write_text(lit + day, encoding="utf-8")
    monkeypatch.setattr(pitching, "HOURS_PX", 32)
    out = tmp_path / "out"
    made = pitch(scene, out=out)
    # Eight hours that end before midnight, the scene's own among them.
    hours = ["A_1500", "A_1700", "A_1900", "A_2100", "A_2300"]
    assert [name.rpartition(".")[2] for name in made.rendered] == ["A", *hours]
    assert "Over the day" in [page.name for page in made.pages]
    assert "19:00, as proposed" in said(made) and "sun down" in said(made)
    assert pitch(scene, out=out).rendered == ()
    without = pitch(scene, out=out, hours=False)
    assert "Over the day" not in [page.name for page in without.pages]
