"""The pages: whole in one file, and points are set and handed back by keyboard alone."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from browser.chromium import chromium

from previz.deliver.verify.page import WipePage, write_pointing, write_wipe
from previz.solve.marks import Spot, marks_of

GREY = np.full((90, 160, 3), 118, np.uint8)
WORDS = {"TITLE": "A <b> & @@STILL@@", "CAMERA": "A", "FILE": "points_A.json", "COMMAND": "previz"}


@pytest.fixture
def pointing(tmp_path: Path) -> Path:
    places = {"eye_left": (52.0, 40.0), "window.top_left": (10.0, 20.0)}
    return write_pointing(tmp_path / "pointing.html", GREY, places, None, WORDS)


@pytest.fixture
def wipe(tmp_path: Path) -> Path:
    page = WipePage("A <title>", "still.png", [("tilt", "0.0°", "+1.0°")], ["tilt down 1.0°"],
                    [], ["Weigh down every stand."], "previz")  # fmt: skip
    return write_wipe(tmp_path / "wipe.html", page, GREY, GREY)


def test_nothing_comes_from_elsewhere(pointing: Path, wipe: Path) -> None:
    for path in (pointing, wipe):
        text = path.read_text(encoding="utf-8")
        assert "default-src 'none'" in text
        assert not re.search(r"(src|href)=\"(?!data:)[^\"]", text)
        assert "@@" not in text.replace("A &lt;b&gt; &amp; @@STILL@@", "")
    assert "A &lt;title&gt;" in wipe.read_text(encoding="utf-8")


def test_by_keyboard_alone(pointing: Path, wipe: Path, tmp_path: Path) -> None:
    with chromium(tmp_path / "browser") as tab:
        tab.open(pointing.as_uri())
        tab.until("document.querySelectorAll('#points input').length === 2")
        assert tab.run("document.getElementById('save').disabled")
        tab.run("document.getElementById('still').focus()")
        # The cross begins where the plan has the first point, at 83.2, 36 pixels of 160 x 90.
        for key in ("ArrowRight", "ArrowDown", "Enter", "ArrowLeft", "Enter"):
            tab.press(key)
        assert not tab.run("document.getElementById('save').disabled")
        told = marks_of(json.loads(tab.run("JSON.stringify(marks())")))
        assert told.points["eye_left"] == Spot(52.625, 41.111, in_pct=True)
        assert told.points["window.top_left"] == Spot(52.0, 41.111, in_pct=True)
        tab.press("p")
        tab.click("#clear")
        assert tab.run("Object.keys(marks().points).length") == 1
        tab.open(wipe.as_uri())
        tab.until("document.getElementById('wipe') !== null")
        tab.press("ArrowRight")
        assert tab.run("document.getElementById('wipe').value") == "51"
        tab.press(" ")
        assert tab.run("document.getElementById('stage').className") == "stage plan"
