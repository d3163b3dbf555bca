"""Memory does not grow with samples, nor with cameras."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

SCRIPT = """
import resource, sys
from pathlib import Path
from previz import api
out, samples, cameras = Path(sys.argv[2]), int(sys.argv[3]), tuple(sys.argv[4:])
options = api.RenderOptions(out=out, samples=samples, width_px=320, cameras=cameras, denoise=False)
api.render_scene(Path(sys.argv[1]), options)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""

CAMERA = (
    "  {name}: {{sensor: full_frame, lens: prime_35_f1.8, f_number: 4, support: tripod,\n"
    "    place: {{at_m: [{x}, -1.5], height_m: 1.3}}, aim_m: [0, 0.4, 0.6], focus_distance_m: 2}}\n"
)


def peak_kib(scene: Path, out: Path, samples: int, *cameras: str) -> int:
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(scene), str(out), str(samples), *cameras],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return int(done.stdout.split()[-1])


def test_peak_memory_is_that_of_one_pass_of_one_camera(tmp_path: Path) -> None:
    from previz.catalog import Catalog

    lens = next(name for name in Catalog.load().names("lenses") if name.startswith("prime_35"))
    names = ["A", "B", "C", "D", "E", "F"]
    cameras = "".join(
        CAMERA.format(name=name, x=round(-1 + 0.4 * i, 1)).replace("prime_35_f1.8", lens)
        for i, name in enumerate(names)
    )
    scene = tmp_path / "scene.yaml"
    scene.write_text(
        "previz: 1\ntitle: Memory\nroom: {width_m: 4, depth_m: 4, height_m: 2.6}\n"
        "furniture:\n  shelf: {piece: shelves_tall, wall: north, along_m: 2}\n"
        "lights:\n  key: {fixture: panel_60x40, place: {at_m: [-1, -1], height_m: 2},"
        " aim_m: [0, 0.4, 0.5]}\n"
        f"cameras:\n{cameras}"
    )
    out = tmp_path / "out"
    one = peak_kib(scene, out, 1, "A")
    many_samples = peak_kib(scene, out, 40, "A")
    many_cameras = peak_kib(scene, out, 1, *names)
    assert many_samples < 1.08 * one
    assert many_cameras < 1.08 * one
