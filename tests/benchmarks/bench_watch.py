"""How long the page of `previz watch` takes from a hand to a picture, in a real Chromium.

    python tests/benchmarks/bench_watch.py [SCENE] [ROUNDS] [plain]

Median and longest of some rounds, milliseconds, of camera A shown large in a window of 1440 x 900,
from the event in the page, or from the save, to the picture on the page's canvas. With `plain`
pictures are flat colours of the same size: what is left is reading, building, sending and showing.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "watch"))

from browser.chromium import Tab, chromium
from stand_ins import Running

from previz.watch.serving import Watch
from previz.watch.starting import WatchOptions, opened_for

WIDTH_PX = 1280
CALM_S = 0.5
SEEN = (
    "window.seen = new Promise((done) => {"
    " const canvas = document.querySelector('figure[data-camera=A] canvas');"
    " const before = canvas.dataset.version, began = performance.now();"
    " const eye = new MutationObserver(() => { if (canvas.dataset.version !== before) {"
    " eye.disconnect(); done(performance.now() - began); } });"
    " eye.observe(canvas, { attributes: true }); }), 0"
)


@contextmanager
def watched(scene: Path, plain: bool) -> Iterator[Watch]:
    """A watch of the scene that is running."""
    if plain:
        watch = Watch(scene, Running(scene).hands(0.0), width_px=WIDTH_PX)
    else:
        watch = opened_for(scene, WatchOptions(width_px=WIDTH_PX))
    watch.start()
    try:
        yield watch
    finally:
        watch.stop()


def slide(tab: Tab, path: str, value: float) -> float:
    """Milliseconds from a slider's event to the picture."""
    tab.run(
        f"(() => {{ {SEEN}; const range = document.querySelector("
        f"'.row[data-path=\"{path}\"] input[type=range]'); range.value = {value};"
        " range.dispatchEvent(new Event('input')); range.dispatchEvent(new Event('change')); })()"
    )
    return float(tab.run("window.seen"))


def move(tab: Tab, metres: float) -> float:
    """Milliseconds from an arrow key on the plan to the picture."""
    key = "ArrowRight" if metres > 0 else "ArrowLeft"
    tab.run("document.querySelector('#plan .camera[data-camera=A]').focus()")
    tab.run(SEEN)
    tab.press(key)
    return float(tab.run("window.seen"))


def save(tab: Tab, scene: Path, old: str, new: str) -> float:
    """Milliseconds from a save to the picture."""
    text = scene.read_text(encoding="utf-8")
    assert old in text, old
    tab.run(SEEN)
    scene.write_text(text.replace(old, new, 1), encoding="utf-8")
    return float(tab.run("window.seen"))


def report(name: str, rounds: int, act: Callable[[int], float]) -> None:
    """Run an act some times, each from calm, and print what it took."""
    found = []
    for turn in range(rounds):
        time.sleep(CALM_S)
        found.append(act(turn))
    print(f"{name:<28}{statistics.median(found):8.0f} ms, longest {max(found):6.0f} ms")


def main(scene: str = "scenes/bookbinder", rounds: str = "7", plain: str = "") -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        copy = Path(folder) / "scene"
        shutil.copytree(scene, copy)
        file, many = copy / "scene.yaml", int(rounds)
        with watched(file, plain == "plain") as watch, chromium(Path(folder) / "chromium") as tab:
            tab.size(1440, 900)
            tab.open(watch.address)
            tab.until("document.querySelector('canvas[data-samples]')", 300)
            tab.run("document.querySelector('#cameras button[data-camera=A]')?.click()")
            time.sleep(3)
            report("dimmer", many, lambda n: slide(tab, "lights.key.dimmer_pct", 30 + n))
            report("stop", many, lambda n: slide(tab, "cameras.A.f_number", 1 + n % 2))
            report("focal length", many, lambda n: slide(tab, "cameras.A.focal_length_mm", 40 + n))
            report("camera on the plan", many, lambda n: move(tab, 1 - 2 * (n % 2)))
            tab.run("document.getElementById('let-go').click()")
            report("save: a dimmer", many, lambda n: save(tab, file, *dimmers(file, n)))
            report("save: a person moved", many, lambda n: save(tab, file, *steps(n)))


def dimmers(file: Path, turn: int) -> tuple[str, str]:
    """The first dimmer of the file, and another."""
    found = next(part for part in file.read_text().split("\n") if "dimmer_pct:" in part)
    return found, f"{found.partition('dimmer_pct:')[0]}dimmer_pct: {20 + turn}"


def steps(turn: int) -> tuple[str, str]:
    """Where the first person is, and a centimetre beside: nowhere they were before."""
    return f"at_m: [{turn / 100:g}, 0]", f"at_m: [{(turn + 1) / 100:g}, 0]"


if __name__ == "__main__":
    main(*sys.argv[1:])
