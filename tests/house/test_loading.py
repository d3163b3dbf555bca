"""What a command loads before it answers: nothing that only another command needs."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

SCENE = """\
previz: 1
title: One person
room: {width_m: 4.4, depth_m: 5.0, height_m: 2.7}
openings:
  window: {wall: north, along_m: 1.4, width_m: 1.4, sill_m: 0.9, height_m: 1.3}
people:
  guest: {at_m: [0, 0], seat: stool, stature_cm: 165, spectacles: true}
cameras:
  A: {sensor: super35_3perf, lens: zoom_24_70_f2.8, focal_length_mm: 35, f_number: 2.8, aim: guest,
      place: {frame: medium_close_up}}
lights:
  key: {fixture: softbox_90, aim: guest,
        place: {side: camera_right, azimuth_deg: 50, elevation_deg: 30, distance_m: 1.5}}
"""
NEVER = {"scipy", "trimesh", "pandas", "matplotlib", "IPython", "pytest", "setuptools"}
PICTURES = {
    "mitsuba", "drjit", "mitsuba_oidn", "PyOpenColorIO", "OpenEXR", "PIL", "reportlab", "OpenGL",
    "pyrender", "previz.render.bake",
}  # fmt: skip
TERMINAL = {"rich"}
# What cloth that falls on a body for the first time needs.
DRAPES = {"scipy"}
RENDERS = {
    "previz.api.session",
    "previz.deliver",
    "previz.develop.exposure_map",
    "previz.render.pathtracer",
    "previz.render.denoise",
}


DRAWS = {"PIL", "reportlab", "previz.deliver"}
"""What a plan on paper needs, and no other command that only looks."""


def loaded(words: list[str], folder: Path, said: str, before: str = "") -> set[str]:
    """Modules in memory when `previz` with these words leaves, having `said` something.

    `before` is run first.
    """
    scene = folder / "scene.yaml"
    scene.write_text(SCENE, encoding="utf-8")
    code = (
        f"import sys; from previz.cli.root import root\n{before}\n"
        "try: root.main(sys.argv[1:], 'previz')\n"
        "finally: sys.stderr.write('\\n' + ' '.join(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-P", "-c", code, *words, str(scene)],
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
        env={**os.environ, "XDG_CACHE_HOME": str(folder)},
    )
    assert "Traceback" not in done.stderr, done.stderr
    modules = set(done.stderr.splitlines()[-1].split())
    assert said in done.stdout + done.stderr and "previz.api.opening" in modules, done.stderr
    return modules | {name.partition(".")[0] for name in modules}


@pytest.mark.parametrize(
    ("words", "said"),
    [(["check"], "camera A: placed at"), (["measure", "--no-light"], "Camera A\n  lens")],
    ids=["check", "measure"],
)
def test_what_only_looks_loads_nothing_that_renders(
    words: list[str], said: str, tmp_path: Path
) -> None:
    modules = loaded(words, tmp_path, said)
    assert modules.isdisjoint((NEVER - DRAPES) | PICTURES | TERMINAL | RENDERS)
    # What was kept by the first run must be read without more, and nobody is dressed again.
    again = loaded(words, tmp_path, said)
    assert again <= modules and again.isdisjoint(DRAPES)


def test_a_plan_loads_nothing_that_renders(tmp_path: Path) -> None:
    loaded(["check"], tmp_path, "camera A: placed at")  # dresses people
    modules = loaded(["plan"], tmp_path, "setting_out.csv")
    assert modules.isdisjoint((NEVER | PICTURES | TERMINAL | RENDERS) - DRAWS)


def test_a_render_has_loaded_little_when_it_begins_to_trace(tmp_path: Path) -> None:
    stop = (
        "from previz.errors import MissingError as Gone\n"
        "import previz.render.backends as backends\n"
        "def none(*_, **__): raise Gone('no path tracer today')\n"
        "backends.open_back_end = none"
    )
    loaded(["check"], tmp_path, "camera A: placed at")  # dresses people
    modules = loaded(["render"], tmp_path, "no path tracer today", stop)
    assert "previz.api.session" in modules
    assert modules.isdisjoint(NEVER | TERMINAL | (PICTURES - {"PIL"}))


def test_the_proof_of_a_way_to_compute_loads_nothing_that_no_picture_needs() -> None:
    code = "import sys, previz.render.proof.checks; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "previz.render.proof.stage" in done.stdout.split()
    assert NEVER.isdisjoint(done.stdout.split())
