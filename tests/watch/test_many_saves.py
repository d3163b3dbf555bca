"""Two hundred saves, good and broken, as fast as an editor can: the page ends right every time."""

from __future__ import annotations

import gc
import random
import time
from pathlib import Path

import psutil
from browser.chromium import Tab, chromium
from stand_ins import ROOM, Running

from previz.watch.serving import Watch

SAVES, BURST = 200, 10
BROKEN = (
    ("previz: 1", "previz: 1: 2"),
    ("panel_60x40", "panel_60x4"),
    ("aim_m: [0, 1, 1.1]", "aim_m: [0, 1"),
    ("width_m: 5,", "width_m: 0.5,"),
    ("sensor: super35_3perf", "senser: super35_3perf"),
    ("lights:", "\tlights:"),
    ("focal_length_mm: 35", "focal_length_mm: 350"),
    ("title: Try room", ""),
)


def good(chance: random.Random) -> tuple[str, list[int]]:
    """A scene that holds, and what camera A must then show."""
    dimmer, focal_mm = chance.randint(1, 99), chance.randint(24, 70)
    x = chance.randint(-5, 15) / 10  # B stands at -1
    text = ROOM
    for old, new in (
        ("dimmer_pct: 40", f"dimmer_pct: {dimmer}"),
        ("at_m: [0.5, -2.0]", f"at_m: [{x}, -2.0]"),
        ("focal_length_mm: 35", f"focal_length_mm: {focal_mm}"),
        ("wall: north, along_m: 1.5", f"wall: north, along_m: {chance.randint(5, 30) / 10}"),
    ):
        assert old in text
        text = text.replace(old, new)
    return text, [2 * dimmer, round(128 + 30 * x), 2 * focal_mm]


def broken(text: str, chance: random.Random) -> str:
    """The same with one fault, or cut off somewhere, as a slow editor leaves it for a moment."""
    if chance.random() < 0.25:
        return text[: chance.randint(0, len(text) // 2)]
    old, new = chance.choice(BROKEN)
    start, _, _ = old.partition(": 35")
    line = next(line for line in text.splitlines() if start in line)
    return text.replace(line, line.replace(old, new) if old in line else f"  {new}")


def until_shown(tab: Tab, wanted: list[int]) -> None:
    """Wait until the page has no problem and camera A shows a colour."""
    tab.until("document.getElementById('problems').hidden")
    canvas = "document.querySelector('figure[data-camera=A] canvas')"
    tab.until(f"{canvas}?.dataset.version")
    pixel = f"{canvas}.getContext('2d').getImageData(5, 5, 1, 1).data"
    tab.until(f"[...{pixel}].slice(0, 3).every((v, i) => Math.abs(v - {wanted}[i]) <= 2)")


def until_told(tab: Tab) -> None:
    """Wait until the page says what is wrong, and where."""
    tab.until("document.getElementById('problems').innerText.includes('scene.yaml')")
    tab.until("!document.getElementById('problems').hidden")


def test_the_page_ends_right_and_nothing_is_left_behind(room: Path, tmp_path: Path) -> None:
    chance = random.Random(12)
    running = Running(room)
    watch = Watch(room, running.hands(0.0))
    own = psutil.Process()
    begun_with = {child.pid for child in own.children(recursive=True)}
    grown = []
    watch.start()
    try:
        with chromium(tmp_path / "chromium") as tab:
            tab.open(watch.address)
            until_shown(tab, [80, 143, 70])
            for save in range(1, SAVES + 1):
                text, colours = good(chance)
                holds = chance.random() < 0.6
                room.write_text(text if holds else broken(text, chance), encoding="utf-8")
                if save % BURST:
                    time.sleep(chance.choice((0.0, 0.02, 0.1, 0.2)))
                elif holds:
                    until_shown(tab, colours)
                else:
                    until_told(tab)
                if save % (SAVES // 4) == 0:
                    gc.collect()
                    grown.append(own.memory_info().rss / 2**20)
            room.write_text(ROOM, encoding="utf-8")
            until_shown(tab, [80, 143, 70])
            assert tab.errors == []
            assert tab.run("document.body.dataset.link") == "found"
    finally:
        watch.stop()
    assert running.failures == []
    assert grown[-1] - grown[0] < 50.0, f"{grown} MiB"
    assert len(running.drawings) == 1, "what draws is opened once"
    left = {child.pid for child in own.children(recursive=True)} - begun_with
    assert left == set()
