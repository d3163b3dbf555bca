"""A package: whole, true to its record, and only what must be is made again."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

import pytest
from click.testing import CliRunner

from previz import api
from previz.api import parts
from previz.cli.root import root
from previz.deliver.package.record import read_record
from previz.deliver.verify.record import DayRecord, write_record
from previz.solve.focal_lengths import APART, beside

pytestmark = pytest.mark.usefixtures("mannequins")
QUICK = {"quality": "draft", "width_px": 64}


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parts, "COMPARED_PX", 48)


@pytest.fixture
def made_parts(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """Which parts were truly made, in order."""
    made: list[str] = []
    for name in ("pictures_of", "compare_variants", "plan_scene", "pack_scenes", "export_scene"):
        before = getattr(parts, name)

        def counted(*given: object, _name: str = name, _before: object = before) -> object:
            made.append(_name)
            return _before(*given)  # type: ignore[operator]

        monkeypatch.setattr(parts, name, counted)
    yield made


def packaged(scene: Path, out: Path, **other: object) -> api.Packaged:
    return api.package_scenes([scene], api.PackageOptions(out=out, **QUICK, **other))


def changed(scene: Path, old: str, new: str) -> None:
    text = scene.read_text(encoding="utf-8")
    assert text.count(old) == 1
    scene.write_text(text.replace(old, new), encoding="utf-8")


def test_a_package_is_whole_and_its_record_is_true(scene: Path, tmp_path: Path) -> None:
    out = tmp_path / "o"
    made = packaged(scene, out)
    record = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    noted = {file["path"]: file for part in record["parts"] for file in part["files"]}
    there = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert there == {*noted, "index.html", "manifest.json"}, "every file is in the record"
    assert {path.relative_to(out).as_posix() for path in made.files} == there
    for name, note in noted.items():
        content = (out / name).read_bytes()
        assert note["size_bytes"] == len(content)
        assert note["sha256"] == hashlib.sha256(content).hexdigest()
    page = (out / "index.html").read_text(encoding="utf-8")
    linked = {unquote(link) for link in re.findall(r'(?:href|src)="([^"]+)"', page)}
    assert linked <= there, "nothing is loaded from elsewhere, nothing leads nowhere"
    name = record["scenes"][0]["name"]
    for wanted in (
        "kit/kit.pdf", f"plan/{name}/plan.pdf", f"frames/{name}/frame_A.png",
        f"export/{name}/scene.glb", "page/page.html", f"compare/{name}/compare_A_focal.pdf",
    ):  # fmt: skip
        assert wanted in linked
    assert "<h1>A lit corner</h1>" in page
    assert "Weigh down every stand" in page and made.cautions[-1].startswith("Local code")


def test_what_still_holds_is_not_made_again(
    scene: Path, tmp_path: Path, made_parts: list[str]
) -> None:
    out, few = tmp_path / "o", {"parts": ("kit", "frames", "plan")}
    packaged(scene, out, **few)
    assert made_parts == ["pack_scenes", "pictures_of", "plan_scene"]
    made_parts.clear()
    again = packaged(scene, out, **few)
    assert made_parts == [] and again.made == () and len(again.held) == 3
    next(out.rglob("setting_out.csv")).unlink()
    next(out.rglob("frame_A.png")).write_bytes(b"touched up by hand")
    packaged(scene, out, **few)
    assert made_parts == ["pictures_of", "plan_scene"]
    assert next(out.rglob("frame_A.png")).stat().st_size > 1000
    made_parts.clear()
    packaged(scene, out, **few, paper="letter")
    assert made_parts == ["pack_scenes", "plan_scene"], "paper is nothing to a frame"
    changed(scene, "previz: 1", "previz: 1\nnotes: Ring at the side door.")
    made_parts.clear()
    packaged(scene, out, **few, paper="letter")
    assert made_parts == [], "words that stand nowhere in it change nothing"
    changed(scene, "title: A lit corner", "title: A corner")
    packaged(scene, out, **few, paper="letter")
    assert made_parts == ["pack_scenes", "plan_scene"], "a title is nothing to a frame"
    changed(scene, "dimmer_pct: 40", "dimmer_pct: 45")
    made_parts.clear()
    packaged(scene, out, parts=("plan",), paper="letter")
    assert made_parts == ["plan_scene"]
    record = read_record(out)
    assert record is not None and len(record.parts) == 3, "what was not asked for stays"


def test_what_is_kept_of_the_day_is_in_the_package_and_the_page(
    scene: Path, tmp_path: Path
) -> None:
    out, few = tmp_path / "o", {"parts": ("page", "record")}
    assert packaged(scene, out, **few).made == ("page",), "nothing was decided yet"
    record = DayRecord(
        "A", "still_7.jpg", "5" * 64, "2026-11-28 09:30", "0", "0", {}, {"steps": []}
    )
    write_record(scene.parent, record)
    made = packaged(scene, out, **few)
    assert made.made == (f"record of {scene.parent.name}", "page")
    copy = out / "record" / scene.parent.name / record.name
    assert copy.read_bytes() == (scene.parent / "verified" / record.name).read_bytes()
    index = (out / "index.html").read_text(encoding="utf-8")
    assert record.name in index and "a still held against the plan" in index
    page = (out / "page" / "page.html").read_text(encoding="utf-8")
    assert "still_7.jpg, taken 2026-11-28 09:30: as planned (the plan has changed since)" in page
    assert packaged(scene, out, **few).made == ()


def test_stopped_it_keeps_what_was_finished(
    scene: Path, tmp_path: Path, made_parts: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    plan_scene = parts.plan_scene

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(parts, "plan_scene", stopped)
    with pytest.raises(KeyboardInterrupt):
        packaged(scene, tmp_path / "o", parts=("kit", "frames", "plan"))
    monkeypatch.setattr(parts, "plan_scene", plan_scene)
    made_parts.clear()
    packaged(scene, tmp_path / "o", parts=("kit", "frames", "plan"))
    assert made_parts == ["plan_scene"]


def test_what_is_no_longer_made_goes_unless_somebody_changed_it(
    scene: Path, tmp_path: Path
) -> None:
    out = tmp_path / "o"
    second = (
        "\n  B: {sensor: super35_3perf, lens: zoom_24_70_f2.8, focal_length_mm: 50, f_number: 4,"
        " aim: guest, place: {at_m: [-1.2, -1.4], height: eye}}"
    )
    changed(scene, "cameras:", f"cameras:{second}")
    packaged(scene, out, parts=("frames",))
    frame, light = next(out.rglob("frame_B.png")), next(out.rglob("B.npz"))
    light.write_bytes(b"mine")
    changed(scene, second, "")
    packaged(scene, out, parts=("frames",))
    assert not frame.exists() and next(out.rglob("frame_A.png")).exists()
    assert light.read_bytes() == b"mine"


def test_two_scenes_of_a_day_share_a_list(scene: Path, tmp_path: Path) -> None:
    other = tmp_path / "second.yaml"
    text = scene.read_text(encoding="utf-8").replace(
        "title: A lit corner", "title: <Second> & last"
    )
    other.write_text(text, encoding="utf-8")
    options = api.PackageOptions(out=tmp_path / "o", parts=("kit", "plan"))
    made = api.package_scenes([scene, other], options)
    names = [path.relative_to(tmp_path / "o").as_posix() for path in made.files]
    assert sum(name.endswith("kit.pdf") for name in names) == 1
    assert sum(name.endswith("plan.pdf") for name in names) == 2
    page = made.files[0].read_text(encoding="utf-8")
    assert "<h2>&lt;Second&gt; &amp; last</h2>" in page and "2 scenes of a day" in page
    one = api.package_scenes([scene], options)
    assert sum(path.name == "plan.pdf" for path in one.files) == 1
    assert not (tmp_path / "o" / "plan" / "second" / "plan.pdf").exists()


def test_focal_lengths_beside_are_on_the_lens(scene: Path) -> None:
    opened = api.open_scene(scene)
    setup = opened.stage.setups["A"]
    assert beside(setup) == (28.0, 35.0, 50.0)
    for own, wanted in ((24, (24.0, 35.0)), (70, (50.0, 70.0)), (28, (28.0, 35.0))):
        at = api.open_scene(scene, (f"cameras.A.focal_length_mm={own}",)).stage.setups["A"]
        assert beside(at) == wanted
        low, high = at.kit.lens.focal_length_mm
        assert all(low <= mm <= high for mm in beside(at))
        assert all(max(mm, own) / min(mm, own) >= APART for mm in beside(at) if mm != own)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--parts", "frames,plans"), "plans is none of kit, frames, pitch"),
        (("--focal", "35,wide"), "needs numbers between commas"),
        (("--focal", "0"), "numbers over 0"),
    ],
)
def test_what_cannot_be_asked_is_said(scene: Path, given: tuple[str, str], said: str) -> None:
    result = CliRunner().invoke(root, ["package", str(scene), *given])
    assert result.exit_code == 2 and said in result.output


def test_the_command_says_what_was_made_and_what_held(scene: Path, tmp_path: Path) -> None:
    asked = ["package", str(scene), "--out", str(tmp_path / "o"), "--parts", "kit,plan"]
    first = CliRunner().invoke(root, asked)
    assert first.exit_code == 0 and "Made: kit, plan of" in first.output
    second = CliRunner().invoke(root, asked)
    assert "As before: kit, plan of" in second.output
    assert "nothing has changed" in second.output
    told = json.loads(CliRunner().invoke(root, [*asked, "--json"]).stdout)
    assert told["made"] == [] and len(told["held"]) == 2
