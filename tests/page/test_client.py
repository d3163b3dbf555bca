"""The client's page in a real Chromium, opened as a file, with the network cut off."""

from __future__ import annotations

import json
import re
import time
from pathlib import Path
from typing import Any

import pytest
from browser.chromium import Tab
from browser.contrast import contrast
from browser.made_up import HOSTILE

SHIFT = 8
DESK, PHONE = (1440, 900), (390, 844)


def text(page: Tab, selector: str) -> str:
    return str(page.run(f"document.querySelector({selector!r}).innerText"))


def tab_to(page: Tab, element: str, most: int = 60) -> None:
    """Press Tab until an element has the focus, as somebody without a mouse does."""
    for _ in range(most):
        if page.run(f"document.activeElement.id === {element!r}"):
            style = "getComputedStyle(document.activeElement)"
            assert page.run(f"{style}.outlineStyle") == "solid", f"{element}: focus is not seen"
            return
        page.press("Tab")
    pytest.fail(f"the keyboard does not reach {element}")


def downloaded(page: Tab) -> tuple[str, dict[str, Any]]:
    folder: Path = page.downloads  # type: ignore[attr-defined]
    until = time.monotonic() + 10
    while not (found := sorted(folder.glob("decisions_*.json"))):
        assert time.monotonic() < until, "nothing was saved"
        time.sleep(0.05)
    told = json.loads(found[0].read_text(encoding="utf-8"))
    found[0].unlink()
    return found[0].name, told


def test_the_whole_job_by_keyboard_alone(page: Tab) -> None:
    page.size(*DESK)
    tab_to(page, "next")
    page.press("ArrowRight")
    page.press("ArrowLeft")
    assert text(page, "#place") == "1 of 3"
    tab_to(page, "right")
    page.press("Enter")
    assert text(page, "#said") == "You said: this is right."
    assert page.run("document.activeElement.id") == "take_back", "focus goes on"
    page.press("ArrowRight")
    tab_to(page, "change")
    page.press(" ")
    page.call("Input.insertText", text="Warmer, please ♥ <b>")
    tab_to(page, "marking")
    page.press("Enter")
    assert "35 %" in page.run("document.activeElement.getAttribute('aria-label')")
    page.press("ArrowRight")
    page.press("ArrowDown", SHIFT)
    page.press("Enter")
    assert page.run("document.activeElement.id") == "comment"
    page.run("document.querySelector('#changing button[type=submit]').id = 'keep'")
    tab_to(page, "keep")
    page.press("Enter")
    assert text(page, "#said_comment") == "Warmer, please ♥ <b>"
    tab_to(page, "name")
    page.call("Input.insertText", text="Ana Ördög")
    tab_to(page, "save")
    page.press("Enter")
    name, told = downloaded(page)
    showing = page.run("SHOWING.id")
    assert re.fullmatch(rf"decisions_{showing}_Ana_O.?rdo.?g\.json", name)
    assert {key: told[key] for key in ("form", "showing", "by")} == {
        "form": 1, "showing": showing, "by": "Ana Ördög",
    }  # fmt: skip
    assert set(told) == {"form", "showing", "by", "sent_at", "decisions"}
    right, change = told["decisions"]
    for one in (right, change):
        assert set(one) == {
            "id", "scene", "camera", "shown", "sha256", "says", "comment", "mark", "by", "at",
        }  # fmt: skip
        assert re.fullmatch(
            r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-.{12}", one["id"]
        )
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", one["at"])
        assert (one["scene"], one["sha256"], one["by"]) == ("try", "5" * 64, "Ana Ördög")
    assert (right["camera"], right["says"], right["comment"], right["mark"]) == (
        "A", "approved", "", None,
    )  # fmt: skip
    assert (change["camera"], change["shown"], change["says"]) == ("B", "Bt" * 8, "change")
    assert change["comment"] == "Warmer, please ♥ <b>"
    assert change["mark"] == {"x": 0.37, "y": 0.25, "width": 0.3, "height": 0.42}
    assert "Saved as" in text(page, "#sent") and "mailto:" in page.run("byId('mail').href")


def test_answers_outlive_the_page_and_can_be_taken_back(page: Tab, made_up: Path) -> None:
    page.click("#right")
    page.run("turn(1)")
    page.click("#change")
    page.run("byId('comment').value = 'Higher'")
    page.click("#changing button[type=submit]")
    page.run("byId('name').value = 'Bo'; byId('name').dispatchEvent(new Event('input'))")
    page.open(made_up.as_uri())
    page.until("byId('said').textContent === 'You said: this is right.'")
    assert text(page, "#answered") == "2 of 3 answered"
    assert page.run("byId('name').value") == "Bo"
    page.click("#take_back")
    assert text(page, "#answered") == "1 of 3 answered"
    assert page.run("!byId('choose').hidden")


def test_a_change_that_is_begun_waits_for_who_wrote_it(page: Tab, made_up: Path) -> None:
    page.click("#change")
    page.run("byId('comment').focus()")
    page.call("Input.insertText", text="A little warm")
    page.run("turn(1)")
    assert page.run("byId('changing').hidden") and page.run("byId('comment').value") == ""
    page.run("turn(-1)")
    assert page.run("!byId('changing').hidden && byId('choose').hidden")
    assert page.run("byId('comment').value") == "A little warm"
    page.click("#marking")
    page.press("Enter")
    page.open(made_up.as_uri())
    page.until("byId('comment').value === 'A little warm' && !byId('mark').hidden")
    page.run("turn(1)")
    page.click("#right")
    page.click("#save")
    assert text(page, "#place") == "1 of 3", "the picture that waits is shown"
    assert "You began a change" in text(page, "#send_fault")
    page.click("#changing button[type=submit]")
    page.run("turn(1); turn(-1)")
    assert text(page, "#said_comment") == "A little warm" and page.run("byId('changing').hidden")
    page.click("#edit")
    page.run("byId('comment').focus()")
    page.call("Input.insertText", text="er")
    page.click("#cancel")
    page.run("turn(1); turn(-1)")
    assert text(page, "#said_comment") == "A little warm" and page.run("byId('changing').hidden")


def test_what_lacks_is_said_where_it_lacks(page: Tab) -> None:
    page.click("#save")
    assert text(page, "#send_fault") == "Answer at least one picture first."
    page.click("#change")
    page.click("#changing button[type=submit]")
    assert "few words" in text(page, "#change_fault")
    page.click("#cancel")
    page.click("#right")
    page.click("#save")
    assert text(page, "#send_fault") == "Please write your name first."
    assert page.run("document.activeElement.id") == "name"


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_mark_is_dragged_and_a_swipe_turns(page: Tab, size: tuple[int, int]) -> None:
    page.size(*size)
    page.click("#change")
    page.click("#marking")
    x, y, width, height = page.run(
        "(() => { const b = byId('stage').getBoundingClientRect();"
        " return [b.x, b.y, b.width, b.height]; })()"
    )
    assert width > 0.6 * size[0], "the picture is large"
    page.drag((x + 0.2 * width, y + 0.3 * height), (x + 0.6 * width, y + 0.8 * height))
    found = page.run("mark")
    assert found == pytest.approx({"x": 0.2, "y": 0.3, "width": 0.4, "height": 0.5}, abs=0.02)
    page.click("#changing button[type=submit]")
    assert page.run("decisionOn(current()).mark") == found
    page.run("byId('stage').scrollIntoView({block: 'center'})")
    x, y = page.middle("#stage")
    page.drag((x + 80, y), (x - 80, y))
    assert text(page, "#place") == "2 of 3"


def test_nothing_in_a_text_is_run_or_ends_its_element(page: Tab) -> None:
    assert page.run("document.title") == HOSTILE
    assert text(page, "h1") == HOSTILE
    assert HOSTILE in text(page, "#lines")
    assert page.run("document.querySelectorAll('img[src=x]').length") == 0
    assert page.run("[...document.scripts].length") == 3


def test_wipe_flick_guides_and_numbers(page: Tab) -> None:
    page.click("#comparing summary")
    names = page.run("[...byId('with').options].map((one) => one.text)")
    assert names[0] == "nothing" and names[1].startswith("before: ") and len(names) == 4
    assert names[3] == "At dusk: Camera A"
    page.run("byId('with').value = '1'; byId('with').dispatchEvent(new Event('change'))")
    page.run("byId('wipe').value = 30; byId('wipe').dispatchEvent(new Event('input'))")
    assert "70%" in page.run("byId('other').style.clipPath")
    page.click("#flick")
    assert page.run("byId('other').style.clipPath") == "none"
    page.click("#guiding summary")
    page.run("document.querySelectorAll('#groups input')[1].click()")
    assert page.run("document.querySelector('#guides line').getAttribute('y1')") == "14"
    page.run("turn(1)")
    assert page.run("document.querySelectorAll('#guides line').length") == 2, "they stay on"
    page.click("#counting summary")
    assert "50 mm" in text(page, "#numbers") and "Close-up" in text(page, "#alt")


def test_asking_for_a_light_writes_it_into_the_comment(page: Tab) -> None:
    page.click("#lighting summary")
    assert page.run("byId('ask_light').disabled")
    page.run(
        "(() => { const one = document.querySelector('#sliders input');"
        " one.value = 55; one.dispatchEvent(new Event('input')); })()"
    )
    page.until("!byId('relit').hidden")
    assert page.run("document.querySelector('#sliders input').ariaValueText") == "55 %"
    page.click("#ask_light")
    assert page.run("byId('comment').value") == "Light: key 55 %."
    page.click("#as_proposed")
    page.until("byId('relit').hidden")


TREE = """[...document.querySelectorAll(
        'button, a[href], input, select, textarea, summary, img, canvas')]
    .filter((one) => one.checkVisibility?.({checkVisibilityCSS: true}) ?? true)
    .map((one) => [one.tagName, one.id, one.getAttribute('aria-label') || one.labels?.[0]?.innerText
        || one.alt || one.innerText || ''])"""


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_everything_has_a_name_is_large_enough_and_fits(page: Tab, size: tuple[int, int]) -> None:
    page.size(*size)
    for place in ("#comparing", "#lighting", "#guiding", "#counting"):
        page.run(f"document.querySelector('{place}').open = true")
    assert [one for one in page.run(TREE) if not one[2].strip()] == []
    assert page.run("document.documentElement.scrollWidth <= innerWidth"), "nothing sticks out"
    small = page.run(
        "[...document.querySelectorAll('main button, main summary, #name')].map((one) =>"
        " one.getBoundingClientRect())"
        ".filter((b) => b.width && (b.height < 40 || b.width < 40)).length"
    )
    assert small == 0, "fingers need room"
    assert page.run("document.documentElement.lang") == "en"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_and_what_lies_round_a_picture_is_grey(page: Tab, scheme: str) -> None:
    page.size(*DESK, scheme)
    words = ["--text", "--quiet", "--fault"]
    pairs = [(word, ground) for word in words for ground in ("--panel", "--ground")]
    for one, other in [*pairs, ("--on-surround", "--surround"), ("--on-strong", "--strong")]:
        assert page.run(contrast(one, other)) >= 4.5, (scheme, one, other)
    for one in ("--focus", "--line", "--right", "--asked"):
        assert page.run(contrast(one, "--panel")) >= 3.0, (scheme, one)
    colour = "getComputedStyle(byId('surround')).backgroundColor"
    red, green, blue = page.run(f"{colour}.match(/\\d+/g)")
    assert red == green == blue


def test_print_has_all_frames_with_what_was_said(page: Tab) -> None:
    page.click("#right")
    page.call("Emulation.setEmulatedMedia", media="print")
    try:
        assert page.run("getComputedStyle(byId('viewer')).display") == "none"
        shown = page.run("[...document.querySelectorAll('.frame')].map((one) => one.innerText)")
        assert len(shown) == 3
        assert "You said: this is right." in shown[0] and "Not answered yet" in shown[2]
    finally:
        page.call("Emulation.setEmulatedMedia", media="")
