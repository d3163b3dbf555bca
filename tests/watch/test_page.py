"""The page in a real Chromium: everything a user does with hand and keyboard, as they do it."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser.chromium import Tab, chromium
from browser.contrast import contrast
from stand_ins import ROOM, FlatDrawing, Running, until

from previz.watch.serving import Watch

SHIFT, CONTROL = 8, 2


@pytest.fixture(scope="module")
def tab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Tab]:
    with chromium(tmp_path_factory.mktemp("chromium")) as opened:
        yield opened


class Page:
    """The page of a watch whose pictures are plain colours, in a tab."""

    def __init__(self, tab: Tab, running: Running, watch: Watch) -> None:
        self.tab, self.running, self.watch = tab, running, watch

    def colour(self, camera: str) -> list[int]:
        canvas = f"document.querySelector('figure[data-camera={camera}] canvas')"
        pixel = f"{canvas}.getContext('2d').getImageData(5, 5, 1, 1).data"
        return [int(value) for value in self.tab.run(f"[...{pixel}]")[:3]]

    def until_colour(self, camera: str, *wanted: int) -> None:
        def right() -> bool:
            return self.colour(camera) == pytest.approx(list(wanted), abs=2)

        until(right, lambda: f"wanted {wanted}, seen {self.colour(camera)}")

    def until_text(self, selector: str, text: str) -> None:
        shown = f"(document.querySelector({selector!r})?.innerText ?? '')"
        self.tab.until(f"{shown}.includes({json.dumps(text)})")

    def row(self, path: str, within: str = "") -> str:
        return f'.row[data-path="{path}"] {within}'.strip()

    def file(self) -> str:
        return self.running.path.read_text(encoding="utf-8")

    def mark(self, camera: str) -> tuple[float, float]:
        return self.tab.middle(f'#plan .camera[data-camera="{camera}"] .mark')


@pytest.fixture
def page(tab: Tab, room: Path) -> Iterator[Page]:
    running = Running(room)
    watch = Watch(room, running.hands(0.0))
    watch.start()
    try:
        tab.size(1440, 900)
        tab.errors.clear()
        tab.open(watch.address)
        found = Page(tab, running, watch)
        tab.until("document.title.startsWith('Try room')")
        found.until_colour("A", 80, 143, 70)
        yield found
        assert tab.errors == []
    finally:
        watch.stop()
        tab.open("about:blank")


def test_the_address_loses_its_token_and_nothing_comes_from_elsewhere(page: Page) -> None:
    assert page.tab.run("location.pathname + location.search") == "/"
    assert "token" not in page.tab.run("document.cookie"), "no script can read it"
    loaded = page.tab.run("performance.getEntriesByType('resource').map(one => one.name)")
    assert loaded and all(name.startswith(page.tab.run("location.origin")) for name in loaded)


def test_a_save_is_seen(page: Page) -> None:
    page.running.save(("dimmer_pct: 40", "dimmer_pct: 60"), ("title: Try room", "title: Other"))
    page.until_colour("A", 120, 143, 70)
    page.tab.until("document.getElementById('title').textContent === 'Other'")
    assert page.tab.run(f"document.querySelector('{page.row(DIM, 'input')}').value") == "60"


def test_a_broken_file_shows_its_lines_beside_the_last_good_picture(page: Page) -> None:
    page.running.save(("f_number: 2.8", "f_number: wide"))
    page.until_text("#problem-lines", "scene.yaml:23:15: cameras.B.f_number")
    page.until_text("#urgent", "The file does not hold")
    assert page.colour("A") == pytest.approx([80, 143, 70], abs=2)
    page.running.save(("f_number: wide", "f_number: 2.8"), ("dimmer_pct: 40", "dimmer_pct: 50"))
    page.tab.until("document.getElementById('problems').hidden")
    page.until_colour("A", 100, 143, 70)


DIM = "lights.key.dimmer_pct"
PLACE = "cameras.A.place.at_m"


def test_sliding_a_dimmer(page: Page) -> None:
    slider = page.row(DIM, "input[type=range]")
    page.tab.run(f"document.querySelector('{slider}').scrollIntoView({{block: 'center'}})")
    box = page.tab.run(
        f"(() => {{ const b = document.querySelector('{slider}').getBoundingClientRect();"
        " return [b.x, b.y + b.height / 2, b.width]; })()"
    )
    start = (box[0] + 0.4 * box[2], box[1])
    page.tab.drag(start, (box[0] + box[2] + 5, box[1]))
    page.until_colour("A", 200, 143, 70)
    page.tab.until(f"document.querySelector('{page.row(DIM)}').classList.contains('turned')")
    page.tab.click("#undo")  # the whole slide is one step
    page.until_colour("A", 80, 143, 70)
    page.tab.until("document.getElementById('undo').disabled")
    assert page.file() == ROOM


def test_figures_lists_and_switches(page: Page) -> None:
    page.tab.type(page.row("cameras.A.focal_length_mm", "input[type=number]"), "50")
    page.until_colour("A", 80, 143, 100)
    page.until_text("figure[data-camera=A] .lens", "50 mm, f/4")
    page.tab.run(
        "(() => { const list = document.querySelector("
        f"'{page.row('cameras.B.lens', 'select')}');"
        " list.value = 'prime_85_f1.4';"
        " list.dispatchEvent(new Event('change', {bubbles: true})); })()"
    )
    page.until_colour("B", 80, 98, 170)
    page.tab.click(page.row("lights.key.on", "input"))
    page.until_colour("A", 0, 143, 100)
    page.tab.click(page.row("lights.key.on", ".back"))
    page.until_colour("A", 80, 143, 100)


def test_a_stop_is_stepped_by_the_keyboard(page: Page) -> None:
    page.tab.run(f"document.querySelector('{page.row('cameras.A.f_number', 'input')}').focus()")
    page.tab.press("ArrowRight")
    page.until_text("figure[data-camera=A] .lens", "f/4.5")
    slider = page.row("cameras.A.f_number", "input")
    assert page.tab.run(f"document.querySelector('{slider}').ariaValueText") == "f/4.5"
    assert page.tab.run(f"document.activeElement.matches('{slider}')"), "focus stays where it is"


def test_a_camera_is_dragged_on_the_plan(page: Page) -> None:
    start = page.mark("A")
    metre = page.tab.run("document.getElementById('plan').getScreenCTM().a")
    page.tab.drag(start, (start[0] + metre, start[1]))
    page.until_colour("A", 80, 173, 70)
    value = page.tab.run(f"document.querySelector('{page.row(PLACE, 'input')}').value")
    assert float(value) == pytest.approx(1.5, abs=0.03)
    assert page.mark("A") == pytest.approx((start[0] + metre, start[1]), abs=2)
    page.tab.press("z", CONTROL)
    page.until_colour("A", 80, 143, 70)


def test_a_camera_is_moved_by_the_keyboard(page: Page) -> None:
    page.tab.run("document.querySelector('#plan .camera[data-camera=A]').focus()")
    page.tab.press("ArrowRight", SHIFT)
    page.tab.press("ArrowRight", SHIFT)
    page.until_colour("A", 80, 173, 70)
    page.until_text("#live", "1.50 m east, 2.00 m south")
    page.tab.press("ArrowUp")
    label = "document.activeElement.getAttribute('aria-label')"
    page.tab.until(f"{label} === 'Camera A, 1.50 m east, 1.95 m south'")
    page.tab.press("Enter")
    page.tab.until("document.querySelector('figure[data-camera=B]').hidden")


def test_what_cannot_be_is_said_and_the_picture_stays(page: Page) -> None:
    page.tab.type(page.row(PLACE, "input"), "9")
    page.until_text("#refused-lines", "cameras.A")
    assert page.colour("A") == pytest.approx([80, 143, 70], abs=2)
    page.tab.click("#let-go")
    page.tab.until("document.getElementById('refused').hidden")


def test_writing_into_the_file_undoing_and_doing_again(page: Page) -> None:
    page.tab.type(page.row(DIM, "input[type=number]"), "20")
    page.until_colour("A", 40, 143, 70)
    page.tab.click("#write")
    page.tab.until("document.getElementById('writing').open")
    page.until_text("#writing-lines", "+    dimmer_pct: 20")
    assert page.file() == ROOM, "nothing is written before it was seen"
    page.tab.click("#writing-yes")
    until(lambda: page.file() == ROOM.replace("dimmer_pct: 40", "dimmer_pct: 20"))
    page.tab.until("document.getElementById('write').disabled")
    page.until_text("#live", "Written into scene.yaml.")
    page.tab.click("#undo")
    until(lambda: page.file() == ROOM)
    page.until_colour("A", 40, 143, 70)
    page.tab.click("#redo")
    until(lambda: "dimmer_pct: 20" in page.file())


def test_two_moments_are_kept_and_flicked_between(page: Page) -> None:
    page.tab.click("#keep-first")
    page.tab.type(page.row(DIM, "input[type=number]"), "90")
    page.until_colour("A", 180, 143, 70)
    page.tab.click("#keep-second")
    page.tab.click("input[value=first] + span")
    page.until_colour("A", 80, 143, 70)
    page.until_text("figure[data-camera=A] .how", "First moment, kept")
    page.tab.press("ArrowRight")
    page.until_colour("A", 180, 143, 70)
    page.tab.press("ArrowRight")
    page.until_text("figure[data-camera=A] .how", "drawn")


def test_a_move_is_played_scrubbed_and_ended(page: Page) -> None:
    button, bar = ".move[data-move=slide] .play", ".move[data-move=slide] input"
    position = f"document.querySelector('{bar}').valueAsNumber"
    page.tab.click(button)
    page.until_text("#live", "Move slide plays.")
    page.tab.until(f"{position} > 0.1")
    page.until_text("figure[data-camera=A] .how", "move slide")
    page.tab.until("document.querySelector('#plan circle.now')")
    page.until_text(button, "Pause")
    page.tab.click(button)
    page.until_text("#live", "Move slide stands at")
    page.tab.run(f"document.querySelector('{bar}').focus()")
    page.tab.press("Home")
    page.tab.until(f"{position} === 0")
    page.tab.press("ArrowRight")
    page.tab.until(f"Math.abs({position} - 0.04) < 1e-6")
    page.tab.press("End")
    page.until_colour("A", 80, 172, 70)
    assert page.tab.run("document.querySelector('#plan polyline.way').points.length") > 1
    page.tab.click(".move[data-move=slide] .end")
    page.until_text("#live", "Move slide ended.")
    page.until_colour("A", 80, 143, 70)
    page.tab.until("!document.querySelector('#plan circle.now')")


def test_a_change_ends_a_move_that_plays(page: Page) -> None:
    page.tab.click("#cameras button[data-camera=B]")
    page.tab.click(".move[data-move=slide] .play")
    page.tab.until("!document.querySelector('figure[data-camera=A]').hidden")
    page.until_text("figure[data-camera=A] .how", "move slide")
    page.running.save(("dimmer_pct: 40", "dimmer_pct: 60"))
    page.until_colour("A", 120, 143, 70)
    page.until_text(".move[data-move=slide] .play", "Play")


def test_one_camera_large_is_drawn_larger_and_alone(page: Page) -> None:
    page.tab.click("#cameras button[data-camera=B]")
    page.tab.until("document.querySelector('figure[data-camera=A]').hidden")
    controls = "[...document.querySelectorAll('#camera-controls > *')].filter(one => !one.hidden)"
    assert page.tab.run(f"{controls}.map(one => one.dataset.name)") == ["B"]
    large = "document.querySelector('figure[data-camera=B] canvas').width"
    page.tab.until(f"{large} > 700")
    page.running.save(("dimmer_pct: 40", "dimmer_pct: 60"))
    page.until_colour("B", 120, 98, 100)
    page.tab.click("figure[data-camera=B] canvas")
    page.until_colour("A", 120, 143, 70)


def test_a_page_that_is_not_seen_is_not_drawn_for(page: Page) -> None:
    hide = (
        "Object.defineProperty(document, 'hidden', {{ value: {0}, configurable: true }});"
        " document.dispatchEvent(new Event('visibilitychange'))"
    )
    page.tab.run(hide.format("true"))
    until(lambda: page.watch._hub.view().width_px == 0)
    page.running.save(("dimmer_pct: 40", "dimmer_pct: 60"))
    page.tab.until(f"document.querySelector('{page.row(DIM, 'input')}').value === '60'")
    assert page.colour("A") == pytest.approx([80, 143, 70], abs=2)
    page.until_text("figure[data-camera=A] .how", "drawn, before the last change")
    page.tab.run(hide.format("false"))
    page.until_colour("A", 120, 143, 70)
    page.tab.until("document.querySelector('figure[data-camera=A] .how').innerText === 'drawn'")


def test_a_narrow_window_has_everything_and_scrolls_no_way_but_down(page: Page) -> None:
    for width in (420, 320):
        page.tab.size(width, 900)
        page.tab.until(
            "document.documentElement.clientWidth === document.documentElement.scrollWidth"
        )
        assert page.tab.run(
            "[...document.querySelectorAll('button, input:not(.choice input), select')]"
            ".filter(one => one.checkVisibility() && !one.closest('.frames'))"
            ".every(one => { const b = one.getBoundingClientRect();"
            " return b.left >= 0 && b.right <= innerWidth + 1; })"
        )


def test_everything_has_a_name_for_a_screen_reader(page: Page) -> None:
    tree = page.tab.call("Accessibility.getFullAXTree")["nodes"]
    roles = {"button", "slider", "spinbutton", "checkbox", "combobox", "radio", "image", "img"}
    nameless = [
        node["role"]["value"]
        for node in tree
        if not node.get("ignored")
        and node.get("role", {}).get("value") in roles
        and not node.get("name", {}).get("value")
    ]
    assert nameless == []
    names = {node["name"]["value"] for node in tree if node.get("name", {}).get("value")}
    assert {"Camera A, drawn", "Camera A, 0.50 m east, 2.00 m south", "Undo"} <= names


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_and_what_lies_round_a_picture_is_grey(page: Page, scheme: str) -> None:
    page.tab.size(1440, 900, scheme)
    words = ["--text", "--quiet", "--accent", "--fault", "--warning", "--added"]
    pairs = [(word, ground) for word in words for ground in ("--panel", "--ground")]
    pairs += [("--on-surround", "--surround"), ("--on-accent", "--accent")]
    pairs += [("--on-surround-quiet", "--surround"), ("--text", "--turned")]
    for one, other in pairs:
        assert page.tab.run(contrast(one, other)) >= 4.5, (scheme, one, other)
    colour = "getComputedStyle(document.querySelector('.pictures')).backgroundColor"
    red, green, blue = page.tab.run(f"{colour}.match(/\\d+/g)")
    assert red == green == blue


def test_numbers_and_findings_stand_beside_the_pictures(page: Page, room: Path) -> None:
    page.tab.until("document.querySelector('#findings li')")
    facts: dict[str, Any] = {
        "findings": [
            {"severity": "fault", "message": "the key is in frame", "source": "geometry"},
            {"severity": "note", "message": "<b>mind</b> the step", "source": "estimate"},
        ],
        "cameras": {"A": [["lens", "50 mm"]]},
        "light": {"faces": {"guest": ["229 lx: key 181"]}, "cameras": {"A": ["skin +0.3"]}},
    }
    page.watch._hub.tell("facts", facts)
    page.until_text("#findings", "Fault the key is in frame")
    page.until_text("#findings", "<b>mind</b> the step")
    page.until_text("#finding-count", "1 fault, 1 note")
    page.until_text("#live", "Findings: 1 fault, 1 note.")
    page.until_text("#numbers", "229 lx: key 181")
    page.watch._hub.tell("facts", {**facts, "light": None})
    page.until_text("#numbers", "are of the version before")


def ended(process: subprocess.Popen[str]) -> None:
    process.kill()
    process.wait()
    assert process.stdout is not None
    process.stdout.close()


def test_a_page_finds_a_server_that_was_killed_and_started_again(tab: Tab, room: Path) -> None:
    """As a user starts it: another process, which dies without a word."""
    command = [sys.executable, "-m", "previz", "watch", str(room), "--no-browser"]

    def started() -> tuple[subprocess.Popen[str], str]:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        return process, process.stdout.readline().strip()

    process, address = started()
    try:
        tab.open(address)
        tab.until("document.title.startsWith('Try room')")
        ended(process)
        tab.until("document.body.dataset.link === 'lost'")
        assert not tab.run("document.getElementById('lost').hidden")
        text = room.read_text(encoding="utf-8")
        room.write_text(text.replace("title: Try room", "title: After"), encoding="utf-8")
        process, again = started()
        assert again == address, "it stands where it stood"
        tab.until("document.title.startsWith('After')")
        tab.until("document.body.dataset.link === 'found'")
        process.send_signal(signal.SIGINT)
        assert process.wait(60) == 130
    finally:
        ended(process)
        tab.open("about:blank")


def test_the_stand_in_paints_what_the_tests_look_for(room: Path) -> None:
    """Or no test above would see a change."""
    with Running(room) as running:
        running.until_colour("A", (80, 143, 70))
        assert isinstance(running.drawings[0], FlatDrawing)
