"""Makes the README's story of an approval: `python tests/page/story_picture.py SCENE FILE`.

Three times the client's page on a phone: what is asked, a wish, and what a later page asks again.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from browser.chromium import Tab, chromium
from PIL import Image

BEFORE = """
    (() => {
        const choice = document.getElementById("with");
        choice.selectedIndex = [...choice.options].findIndex((one) => /before/i.test(one.text));
        choice.dispatchEvent(new Event("change", { bubbles: true }));
    })()
"""
"""Hold the picture beside what it was."""
PHONE, GAP = (390, 844), 24
WISH = "Can her lamp be a little dimmer?"
CHANGE = ("dimmer_pct: 45", "dimmer_pct: 25")
"""What the cinematographer does about it."""


def previz(*words: object) -> None:
    """Run a command as a user would."""
    subprocess.run(["previz", *map(str, words)], check=True)


def opened(tab: Tab, page: Path) -> None:
    """Open a page as a phone does."""
    tab.size(*PHONE)
    tab.open(page.as_uri())
    tab.until("!document.getElementById('viewer').hidden")
    time.sleep(0.5)  # it arrives softly


def answers(tab: Tab, folder: Path) -> Path:
    """The file that is sent."""
    tab.type("#name", "Ada")
    tab.click("#save")
    until = time.monotonic() + 20.0
    while not (found := sorted(folder.glob("decisions_*.json"))):
        assert time.monotonic() < until, "nothing was saved"
        time.sleep(0.1)
    return found[-1]


def main(given: str, file: str) -> None:
    """Let a client decide about the frames of a scene, and take pictures of it."""
    with tempfile.TemporaryDirectory() as name, chromium(Path(name) / "chromium") as tab:
        work = Path(name)
        tab.call("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(work))
        scene = work / "scene" / "scene.yaml"
        shutil.copytree(given, scene.parent)
        page, shots = work / "page.html", [work / f"{n}.png" for n in range(3)]
        previz("page", scene, "--out", page, "--no-light")
        opened(tab, page)
        tab.click("#right")
        tab.run("scrollTo(0, 0)")
        tab.shot(shots[0])
        tab.click("#next")
        tab.click("#change")
        tab.call("Input.insertText", text=WISH)
        tab.run("scrollTo(0, 0)")
        tab.shot(shots[1])
        tab.run("document.querySelector('#changing button[type=submit]').click()")
        previz("review", "import", scene, answers(tab, work))
        text = scene.read_text(encoding="utf-8")
        assert text.count(CHANGE[0]) == 1
        scene.write_text(text.replace(*CHANGE), encoding="utf-8")
        previz("page", scene, "--out", page, "--no-light")
        opened(tab, page)
        tab.run("document.getElementById('comparing').open = true")
        tab.run(BEFORE)
        tab.run("scrollTo(0, 0)")
        tab.shot(shots[2])
        side_by_side(shots, Path(file))


def side_by_side(shots: list[Path], file: Path) -> None:
    """All of them in one picture, with grey between."""
    pictures = [Image.open(shot).convert("RGB") for shot in shots]
    wide, high = pictures[0].size
    sheet = Image.new("RGB", (len(shots) * (wide + GAP) + GAP, high + 2 * GAP), (150, 150, 150))
    for number, picture in enumerate(pictures):
        sheet.paste(picture, (GAP + number * (wide + GAP), GAP))
    sheet.save(file, quality=88, optimize=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
