"""The main job as a user runs it: every shipped scene through the command, bounds checked.

The compiler's debug mode reports every read outside an array, on any processor; without it such
a read is luck on one machine and a crash on the next. A library that warns is an error here.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

HOUSE = Path(__file__).parents[2]
SCENES = sorted(HOUSE.glob("scenes/*/*.yaml"))
RUNS = [(scene, "640", "3") for scene in SCENES]
RUNS.append((HOUSE / "scenes" / "bookbinder" / "scene.yaml", "96", "24"))
CHECKED = """
import sys
from previz.render.variants import choose
variant = choose().variant
import drjit
drjit.set_flag(drjit.JitFlag.Debug, True)
from previz.cli import main
sys.argv = ["previz", *sys.argv[1:]]
main()
"""
KNOWN = ("reading ", "Rendered in ", "proving once")


@pytest.mark.parametrize(
    ("scene", "width", "samples"),
    RUNS,
    ids=[f"{r[0].parent.name}-{r[0].stem}-{r[1]}" for r in RUNS],
)
def test_every_shipped_scene_renders_within_its_arrays(
    scene: Path, width: str, samples: str, tmp_path: Path
):
    first = "set" if scene.stem == "set" else "A"
    command = ["render", str(scene), "--quality", "draft", "--width", width, "--samples", samples]
    done = subprocess.run(
        [sys.executable, "-c", CHECKED, *command, "--camera", first, "--out", str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(HOUSE)},
    )
    said = [line for line in done.stderr.splitlines() if line.strip()]
    strange = [line for line in said if not line.startswith(KNOWN)]
    assert done.returncode == 0, done.stderr
    assert not strange, "\n".join(strange[:10])
    with Image.open(tmp_path / f"frame_{first}.png") as picture:
        assert picture.size[0] == int(width)
        low, high = picture.convert("L").getextrema()
    assert high - low > 60, "a flat picture"
