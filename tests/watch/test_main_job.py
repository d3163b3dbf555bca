"""The page with everything real under it: the command, its engine, a shipped scene, a Chromium.

`python tests/watch/test_main_job.py 200` saves so often, and says what that cost.
"""

from __future__ import annotations

import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import psutil
import pytest
from browser.chromium import Tab, chromium

SCENE = Path(__file__).parents[2] / "scenes" / "first_light"
LIGHT_S = 180.0
"""Until something is seen at all: the set is built and loaded first."""
ALIKE = 3.0
"""Code values: 1.7 lie between edges as they are drawn at once and smoothed; a dimmer makes 39."""
CANVAS = "document.querySelector('figure[data-camera=A] canvas')"
SMALL = f"""(() => {{
    const small = document.createElement("canvas");
    small.width = 64; small.height = 36;
    const pen = small.getContext("2d");
    pen.drawImage({CANVAS}, 0, 0, 64, 36);
    return [...pen.getImageData(0, 0, 64, 36).data];
}})()"""
TOLD = "document.querySelector('figure[data-camera=A] .how').textContent"
BROKEN = (
    ("f_number: 2.8", "f_number: wide"),
    ("fixture: softbox_90", "fixture: softbox_9"),
    ("lights:", "\tlights:"),
    ("width_m: 4.2", "width_m: 0.2"),
)


class Real:
    """A watch as a user starts it, and the page in a tab."""

    def __init__(self, tab: Tab, file: Path, process: subprocess.Popen[str]) -> None:
        self.tab, self.file, self.process = tab, file, process
        self.text = file.read_text(encoding="utf-8")

    def picture(self) -> np.ndarray:
        return np.array(self.tab.run(SMALL), float).reshape(36, 64, 4)[..., :3]

    def save(self, *changes: tuple[str, str]) -> None:
        text = self.text
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        self.file.write_text(text, encoding="utf-8")

    def until(self, holds, what: str, within_s: float = 120.0) -> np.ndarray:
        end = time.monotonic() + within_s
        while not holds(picture := self.picture()):
            assert time.monotonic() < end, f"{what}; {self.tab.run('document.body.innerText')}"
            time.sleep(0.03)
        return picture

    def until_like(self, wanted: np.ndarray, what: str) -> None:
        self.until(lambda seen: np.abs(seen - wanted).mean() < ALIKE, what)

    def until_drawn(self) -> np.ndarray:
        """A drawn picture, in light that was baked before."""
        self.tab.until(f"{TOLD} !== 'no picture yet'", within_s=LIGHT_S)
        # A traced picture may have taken its place by now: a new version is drawn first.
        self.text += "# looked at\n"
        self.save()
        self.tab.until(f"{TOLD} === 'drawn'")
        return self.picture()


@contextmanager
def real(folder: Path) -> Iterator[Real]:
    file = folder / "scene" / "scene.yaml"
    shutil.copytree(SCENE, file.parent)
    # Light that is baked by now is found: what is drawn first is what is drawn in the end.
    drawing = ["render", str(file), "--backend", "raster", "--width", "64", "--out", str(folder)]
    subprocess.run([sys.executable, "-m", "previz", *drawing], check=True, capture_output=True)
    command = [sys.executable, "-m", "previz", "watch", str(file), "--no-browser"]
    with chromium(folder / "chromium") as tab:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        try:
            assert process.stdout is not None
            tab.size(1280, 800)
            tab.open(process.stdout.readline().strip())
            tab.until("document.title.startsWith('First light')")
            yield Real(tab, file, process)
            assert tab.errors == []
            process.send_signal(signal.SIGINT)
            assert process.wait(60) == 130
        finally:
            process.kill()
            process.wait()
            process.stdout.close()


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Real]:
    with real(tmp_path_factory.mktemp("real")) as opened:
        yield opened


def row(path: str, within: str) -> str:
    return f'.row[data-path="{path}"] {within}'


def test_a_session_at_the_page(page: Real) -> None:
    """Type, slide, drag, write, undo, break and mend the file, move the guest: as one works."""
    tab, dimmer = page.tab, "lights.key.dimmer_pct"
    begun = page.until_drawn()
    assert begun.std() > 10.0, "there is something in the picture"

    tab.type(row(dimmer, "input[type=number]"), "40")
    brighter = page.until(lambda seen: seen.mean() > begun.mean() + 4.0, "no brighter")
    tab.click("#write")
    tab.until("document.getElementById('writing').open")
    tab.click("#writing-yes")
    written = page.text.replace("dimmer_pct: 16", "dimmer_pct: 40")
    page.until(lambda _: page.file.read_text(encoding="utf-8") == written, "not written")
    tab.click("#undo")
    page.until(lambda _: page.file.read_text(encoding="utf-8") == page.text, "not undone")
    tab.click("#let-go")  # what was turned stands as it was turned
    page.until_like(begun, "the light is not as it was")

    start = tab.middle('#plan .camera[data-camera="A"] .mark')
    metre = tab.run("document.getElementById('plan').getScreenCTM().a")
    tab.drag(start, (start[0] + 0.6 * metre, start[1]))
    page.until(lambda seen: np.abs(seen - begun).mean() > 2.0 * ALIKE, "the camera did not move")
    tab.press("z", 2)
    page.until_like(begun, "the camera did not come back")

    page.save(("f_number: 2.8", "f_number: wide"))
    tab.until("document.getElementById('problems').innerText.includes('scene.yaml')")
    page.until_like(begun, "the last good picture stays")
    page.save(("dimmer_pct: 16", "dimmer_pct: 40"))
    page.until_like(brighter, "a mended file is not seen")

    page.save(("    at_m: [0, 0]\n    seat", "    at_m: [0.25, 0.1]\n    seat"))
    page.until(lambda seen: np.abs(seen - begun).mean() > 2.0 * ALIKE, "nobody moved")
    page.save()
    page.until_like(begun, "it does not end as it began")


def test_saves_good_and_broken_end_in_the_right_picture(page: Real) -> None:
    begun = page.until_drawn()
    saved_at_random(page, 12, begun)
    process = psutil.Process(page.process.pid)
    assert process.num_threads() < 40 and process.children() == []


def saved_at_random(page: Real, saves: int, begun: np.ndarray) -> list[float]:
    """Save so often; how large the process is on the way, MiB."""
    chance, process = random.Random(7), psutil.Process(page.process.pid)
    sizes = []
    for save in range(1, saves + 1):
        dimmer, x, f_number = chance.randint(2, 60), chance.randint(-3, 3) / 10, chance.choice("24")
        changes = [
            ("dimmer_pct: 16", f"dimmer_pct: {dimmer}"),
            ("at_m: [0, -1.75]", f"at_m: [{x}, -1.75]"),
            ("f_number: 2.8", f"f_number: {f_number}"),
        ]
        broken = chance.random() < 0.3
        if broken:
            bad = chance.choice(BROKEN)
            changes = [bad] + [one for one in changes if one[0] != bad[0]]
        page.save(*changes)
        time.sleep(chance.choice((0.0, 0.05, 0.3, 0.8)))
        if save % 4 == 0:
            problems = "document.getElementById('problems')"
            page.tab.until(f"{problems}.hidden === {str(not broken).lower()}")
        if save % max(saves // 10, 1) == 0:
            sizes.append(process.memory_info().rss / 2**20)
    page.save()
    page.until_like(begun, "it does not end as it began")
    return sizes


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder, real(Path(folder)) as opened:
        pictured = opened.until_drawn()
        threads = psutil.Process(opened.process.pid).num_threads()
        began = time.monotonic()
        sizes = saved_at_random(opened, int(sys.argv[1]), pictured)
        now = psutil.Process(opened.process.pid)
        print(f"{sys.argv[1]} saves in {time.monotonic() - began:.0f} s, MiB on the way:", sizes)
        print(f"threads {threads} -> {now.num_threads()}, children {len(now.children())}")
