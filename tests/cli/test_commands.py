"""`check`, `render`, `schema`, `doctor`: what they print, and with what status they end."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from click.testing import Result

from previz import api
from previz.cli import diagnosis
from previz.cli.exits import Exit
from previz.errors import InterruptedRender, MissingError
from previz.render.variants import Probe

Run = Callable[..., Result]
REPOSITORY = Path(__file__).parents[2]


@pytest.mark.usefixtures("mannequins")
def test_check_of_a_sound_scene(run: Run, scene_file: Path) -> None:
    result = run("check", scene_file)
    lines = result.stdout.splitlines()
    assert result.exit_code == 0
    assert lines[0] == f"{scene_file}: the file reads without errors."
    assert any(line.startswith("camera A: lens at (0.00, -2.00) m") for line in lines)
    assert any(line.startswith("light hair: fresnel_80") for line in lines)


@pytest.mark.usefixtures("mannequins")
def test_check_as_json(run: Run, scene_file: Path) -> None:
    report = json.loads(run("check", scene_file, "--json").stdout)
    assert (report["scene"], report["title"], report["problems"]) == (
        str(scene_file), "An interview", [],
    )  # fmt: skip
    assert len(report["notes"]) == 5


@pytest.mark.usefixtures("mannequins")
def test_check_reports_every_problem(run: Run, scene_file: Path) -> None:
    text = scene_file.read_text().replace("fixture: softbox_90", "fixture: softbox_95")
    scene_file.write_text(text.replace("f_number: 2.8", "f_number: 1.4", 1))
    line = 1 + text.splitlines().index(next(x for x in text.splitlines() if "softbox_95" in x))
    result = run("check", scene_file)
    assert (result.exit_code, result.stdout) == (Exit.WRONG, "")
    assert len(result.stderr.splitlines()) == 2
    assert result.stderr.splitlines()[1].startswith(f"{scene_file}:{line}:14: ")
    as_json = run("check", scene_file, "--json")
    assert as_json.exit_code == Exit.WRONG
    problems = json.loads(as_json.stdout)["problems"]
    assert [problem["line"] for problem in problems][1] == line
    assert "softbox_90" in problems[1]["message"]


@pytest.mark.usefixtures("mannequins")
def test_check_with_a_setting(run: Run, scene_file: Path) -> None:
    result = run("check", scene_file, "--set", "key.dimmer_pct=140")
    assert result.exit_code == Exit.WRONG
    assert result.stderr.startswith("--set: ") and "140" in result.stderr


def test_check_of_nothing(run: Run, tmp_path: Path) -> None:
    report = json.loads(run("check", tmp_path / "none.yaml", "--json").stdout)
    assert report["problems"][0]["line"] is None


def rendered(folder: Path) -> api.Rendered:
    return api.Rendered(folder, (folder / "frame_A.png",), folder / "manifest.json", 75.0)


def test_render_passes_everything_on(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    seen: list[Any] = []

    def render(path: Path, options: api.RenderOptions, progress: api.Progress) -> api.Rendered:
        seen.extend([path, options])
        progress.say("reading")
        return rendered(tmp_path)

    monkeypatch.setattr(api, "render_scene", render)
    result = run(
        "render", "s.yaml", "--out", tmp_path, "--camera", "B", "--camera", "A",
        "--quality", "final", "--samples", "7", "--width", "320", "--compute", "processor-plain",
        "--resume", "--no-denoise",
        "--exr", "--set", "key.dimmer_pct=5", "--set", "fill.on=false",
    )  # fmt: skip
    assert result.exit_code == 0
    assert seen == [
        Path("s.yaml"),
        api.RenderOptions(
            out=tmp_path, cameras=("B", "A"), quality="final", samples=7, width_px=320,
            variant="scalar_rgb", resume=True, denoise=False, exr=True,
            settings=("key.dimmer_pct=5", "fill.on=false"),
        ),
    ]  # fmt: skip
    assert result.stdout == f"{tmp_path / 'frame_A.png'}\n{tmp_path / 'manifest.json'}\n"
    assert result.stderr == "reading\nRendered in 1 min 15 s.\n"


def test_render_defaults_are_those_of_the_api(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    seen: list[api.RenderOptions] = []

    def render(_: Path, options: api.RenderOptions, __: api.Progress) -> api.Rendered:
        seen.append(options)
        return rendered(tmp_path)

    monkeypatch.setattr(api, "render_scene", render)
    assert run("render", "s.yaml").exit_code == 0
    assert seen == [api.RenderOptions()]


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (InterruptedRender("stopped; go on with --resume"), Exit.INTERRUPTED),
        (MissingError("no way to render works here"), Exit.MISSING),
        (KeyboardInterrupt(), Exit.INTERRUPTED),
    ],
)
def test_render_that_does_not_end_well(
    run: Run, monkeypatch: pytest.MonkeyPatch, error: BaseException, status: int
) -> None:
    def render(*_: object) -> None:
        raise error

    monkeypatch.setattr(api, "render_scene", render)
    result = run("render", "s.yaml")
    assert (result.exit_code, result.stdout) == (status, "")
    assert result.stderr == f"{str(error) or 'Stopped.'}\n"


@pytest.mark.parametrize("words", [["--quality", "best"], ["--samples", "0"], ["--width", "wide"]])
def test_render_refuses_what_it_does_not_know(run: Run, words: list[str]) -> None:
    assert run("render", "s.yaml", *words).exit_code == Exit.WRONG


def test_schema_holds_for_what_new_writes(run: Run, scene_file: Path) -> None:
    schema = json.loads(run("schema").stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    scene = yaml.safe_load(scene_file.read_text())
    jsonschema.validate(scene, schema)
    scene["cameras"]["A"]["f_numbre"] = 2
    with pytest.raises(jsonschema.ValidationError, match="f_numbre"):
        jsonschema.validate(scene, schema)


def test_schema_into_a_file(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "folder" / "schema.json"
    for _ in range(2):
        result = run("schema", "--out", target)
        assert (result.exit_code, result.output) == (0, "")
    assert json.loads(target.read_text()) == json.loads(run("schema").stdout)
    blocked = run("schema", "--out", target / "below.json")
    assert blocked.exit_code == Exit.WRONG
    assert "below.json" in blocked.stderr


def test_reference_for_people(run: Run) -> None:
    text = run("schema", "--reference").stdout
    assert text.startswith("# ") and "focal_length_mm" in text


GOOD = Probe("llvm_ad_rgb", True, "with /lib/libLLVM.so", "/lib/libLLVM.so")


def doctored(monkeypatch: pytest.MonkeyPatch, works: set[str], fault: str | None) -> None:
    """A machine on which the variants in `works` work and child processes end with `fault`."""

    def probe(variant: str) -> Probe:
        return Probe(variant, True, "") if variant in works else Probe(variant, False, "no driver")

    monkeypatch.setattr("previz.render.variants.probe", probe)
    monkeypatch.setattr(diagnosis, "run_child", lambda _: fault)


def test_doctor_of_a_good_machine(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    doctored(monkeypatch, {"llvm_ad_rgb", "scalar_rgb"}, None)
    result = run("doctor")
    assert result.exit_code == 0
    assert "processor        works" in result.stdout
    assert "graphics-card    no     no driver" in result.stdout
    assert result.stdout.endswith("Pictures can be rendered.\n")


def test_doctor_without_llvm_advises_it(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    doctored(monkeypatch, {"scalar_rgb"}, None)
    result = run("doctor")
    assert result.exit_code == 0
    assert "about three times faster with LLVM" in result.stdout


def test_doctor_advises_the_llvm_that_the_package_asks_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(diagnosis.sys, "platform", "linux")
    monkeypatch.setattr(diagnosis.platform, "machine", lambda: "x86_64")
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text("utf-8"))["project"]
    asked = next(r for r in project["dependencies"] if r.startswith("karellen-llvm-core"))
    slow = next(diagnosis.checks([Probe("scalar_rgb", True, "")]))
    assert f"pip install '{asked.partition(';')[0]}'" in slow.advice


@pytest.mark.parametrize(
    ("works", "fault"), [(set(), None), ({"llvm_ad_rgb"}, "ImportError: no such module")]
)
def test_doctor_when_nothing_can_be_rendered(
    run: Run, monkeypatch: pytest.MonkeyPatch, works: set[str], fault: str | None
) -> None:
    doctored(monkeypatch, works, fault)
    result = run("doctor", "--json")
    report = json.loads(result.stdout)
    assert result.exit_code == Exit.MISSING
    assert report["can_render"] is False
    assert any(
        check["needed"] and not check["works"] and check["advice"] for check in report["checks"]
    )


def test_doctor_names_the_system_library_that_is_missing() -> None:
    why = "ImportError: libatomic.so.1: cannot open shared object file: No such file or directory"
    refused = [
        Probe("llvm_ad_rgb", False, f"/x/libLLVM.so: {why}"),
        Probe("scalar_rgb", False, why),
    ]
    check = next(diagnosis.checks(refused))
    assert (check.works, check.needed) == (False, True)
    assert check.advice == (
        "install the system library libatomic.so.1; with apt: apt install libatomic1"
    )


def test_doctor_of_a_broken_catalogue(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    doctored(monkeypatch, {"scalar_rgb"}, None)
    (tmp_path / "lenses.yaml").write_text("fifty: {label: 1}\n")
    monkeypatch.setenv("PREVIZ_CATALOG", str(tmp_path))
    result = run("doctor")
    assert result.exit_code == Exit.MISSING
    assert "lenses.yaml:1" in result.stdout


def test_child_that_fails_and_child_that_dies() -> None:
    assert diagnosis.run_child("pass") is None
    assert diagnosis.run_child("import no_such_thing") == (
        "ModuleNotFoundError: No module named 'no_such_thing'"
    )
    died = diagnosis.run_child("import os, signal; os.kill(os.getpid(), signal.SIGABRT)")
    assert died == "the process was aborted (signal 6)"
