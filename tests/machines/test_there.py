"""The script that measures on other machines: its limits, its table, its loads."""

from __future__ import annotations

import importlib.metadata
import json
import os
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # as when they are run as scripts
import pack
import stages
import there


def step(code: str, folder: Path, **more: object) -> object:
    command = [sys.executable, "-S", "-c", code]
    return stages.Step("draft", "a try", command, lambda said, _: said.strip(), folder, **more)


def take(tmp_path: Path, code: str, limit_s: float, left_s: float = 1e9, **more: object) -> object:
    return there.take(
        step(code, tmp_path, **more), limit_s, left_s, os.environ, tmp_path, tmp_path
    )  # fmt: skip


def test_a_step_that_ends_is_done_and_its_output_kept(tmp_path: Path) -> None:
    result = take(tmp_path, "print('seven')", 60, keep_output="said.json")
    assert (result.outcome, result.status, result.figures) == ("done", 0, "seven")
    assert (tmp_path / "said.json").read_text() == "seven\n"
    assert result.peak_mib > 1


def test_a_step_that_fails_says_so(tmp_path: Path) -> None:
    result = take(tmp_path, "import sys; print('half'); sys.exit(3)", 60)
    assert (result.outcome, result.figures) == ("failed, exit status 3", "half")
    assert take(tmp_path, "import sys; sys.exit(1)", 60, good=(0, 1)).outcome == "done"
    assert "half" in (tmp_path / "log.txt").read_text()


def test_a_crash_is_named(tmp_path: Path) -> None:
    result = take(tmp_path, "import os; os.kill(os.getpid(), 11)", 60)
    assert result.outcome == "ended by signal 11"


def test_at_its_limit_a_step_is_stopped_and_what_it_said_is_kept(tmp_path: Path) -> None:
    code = "import time; print('begun', flush=True); time.sleep(600)"
    result = take(tmp_path, code, 0.3)
    assert (result.outcome, result.status, result.figures) == ("out of time", None, "begun")


def test_a_step_that_will_not_stop_is_ended_with_its_children(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(there, "GRACE_S", 0.1)
    deaf = "import signal, time; signal.signal(2, signal.SIG_IGN); time.sleep(600)"
    code = (
        "import signal, subprocess, sys, time; signal.signal(2, signal.SIG_IGN)\n"
        f"child = subprocess.Popen([sys.executable, '-S', '-c', {deaf!r}])\n"
        "print(child.pid, flush=True); time.sleep(600)"
    )
    result = take(tmp_path, code, 0.4)
    assert result.outcome == "out of time"
    state = Path(f"/proc/{result.figures}/stat")
    assert not state.exists() or state.read_text().rpartition(")")[2].split()[0] == "Z"


def test_nothing_is_begun_without_time(tmp_path: Path) -> None:
    result = take(tmp_path, "open('begun', 'w')", 60, left_s=there.GRACE_S)
    assert (result.outcome, result.status) == ("no time left", None)
    assert not (tmp_path / "log.txt").exists()


@pytest.mark.parametrize(
    ("limit_s", "left_s", "allowed"), [(60, 1000, 60), (60, 25, 20), (60, 3, 0)]
)
def test_the_whole_time_bounds_each_limit(limit_s: float, left_s: float, allowed: float) -> None:
    assert there.allowed_s(limit_s, left_s) == allowed


def test_the_table_has_a_row_for_each_result_and_no_text_breaks_it(
    tmp_path: Path,
) -> None:
    results = [
        there.Result("draft", "cold", "done", 12.34, 180, 0, 900.6, "a | b\nc"),
        there.Result("final", "one", "out of time", 400.0, 400, None, 0.0),
    ]
    rows = there.table(results).splitlines()
    assert rows[2:] == [
        "| draft | cold | done | 12.3 | 180 | 901 | a \\| b c |",
        "| final | one | out of time | 400.0 | 400 | 0 |  |",
    ]
    there.write(tmp_path, {"card": "none found"}, results)
    kept = json.loads((tmp_path / "results.json").read_text())
    assert [row["seconds"] for row in kept["results"]] == [12.34, 400.0]
    assert (tmp_path / "table.md").read_text().startswith("- card: none found\n\n| stage |")


def test_a_cold_step_finds_no_cache(tmp_path: Path) -> None:
    home = tmp_path / "home"
    there.step_environment({}, home, cold=False)
    (home / "left").touch()
    there.step_environment({}, home, cold=False)
    assert (home / "left").exists()
    assert there.step_environment({}, home, cold=True)["HOME"] == str(home)
    assert not (home / "left").exists()


def test_every_stage_has_steps_and_a_limit(tmp_path: Path) -> None:
    for stage in there.LIMITS_S:
        made = stages.steps(stage, tmp_path, "scalar_rgb")
        assert made and all(each.stage == stage for each in made)
        folders = [each.made for each in made if each.keep]
        assert len(set(folders)) == len(folders)


def test_an_unknown_stage_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        there.arguments(["--out", "x", "drafts"])
    assert "'drafts' is no stage; there are proof, tests" in capsys.readouterr().err


def test_archives_are_unpacked_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: None)  # compiling is Python's own
    load, site = tmp_path / "1", tmp_path / "site"
    load.mkdir()
    source = tmp_path / "source"
    (source / "inner").mkdir(parents=True)
    (source / "inner" / "one.py").write_text("x = 1\n")
    pack.compress(source, load / "rest.tar.xz")
    there.unpack([load], site)
    assert (site / "inner" / "one.py").read_text() == "x = 1\n"
    (site / "inner" / "one.py").write_text("kept")
    there.unpack([load], site)
    assert (site / "inner" / "one.py").read_text() == "kept"
    with pytest.raises(SystemExit, match=r"no \*\.tar\.xz"):
        there.unpack([source], site)


def test_the_checkout_has_a_version_where_it_is_not_installed(tmp_path: Path) -> None:
    there.name_checkout(tmp_path)
    (found,) = importlib.metadata.distributions(path=[str(tmp_path)])
    assert found.metadata["Name"] == "previz"
    assert f'version = "{found.version}"' in (stages.HOUSE / "pyproject.toml").read_text()


def test_no_load_is_above_the_limit(tmp_path: Path) -> None:
    archives = []
    for name, kib in (("a", 600), ("b", 700), ("c", 300)):
        archives.append(tmp_path / name)
        archives[-1].write_bytes(bytes(kib * 1024))
    loads = pack.into_loads(archives, 1.0, tmp_path / "out")
    assert [[path.name for path in load] for load in loads] == [["a", "c"], ["b"]]
    assert all(path.is_file() for load in loads for path in load)
    with pytest.raises(ValueError, match=r"b: 0\.7 MiB, limit 0\.5 MiB"):
        pack.into_loads([loads[1][0]], 0.5, tmp_path / "out")


def test_what_the_other_machine_lacks_is_packed_and_checkers_are_not() -> None:
    packages = pack.needed(set())
    assert {"mitsuba", "drjit", "nanobind-backend", "pydantic-core"} <= set(packages)
    assert not {"numpy", "ruff", "mypy", "previz"} & set(packages)
    assert "numpy" in pack.needed({"numpy"})


def test_a_packed_archive_is_read_by_a_plain_tar_reader(tmp_path: Path) -> None:
    (tmp_path / "source" / "__pycache__").mkdir(parents=True)
    (tmp_path / "source" / "kept.py").touch()
    (tmp_path / "source" / "__pycache__" / "left.pyc").touch()
    pack.compress(tmp_path / "source", tmp_path / "x.tar.xz")
    with tarfile.open(tmp_path / "x.tar.xz") as tar:
        assert tar.getnames() == ["kept.py"]


def test_no_plugin_left_out_is_named_where_previz_renders() -> None:
    folders = ("previz/render", "tests/render", "tests/closed_form", "tests/benchmarks")
    sources = [path for name in folders for path in (stages.HOUSE / name).rglob("*.py")]
    assert sources
    for path in sources:
        text = path.read_text(encoding="utf-8")
        assert not [name for name in pack.PLUGINS_LEFT_OUT if f'"{name}"' in text], path
