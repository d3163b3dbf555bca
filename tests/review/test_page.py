"""The page in a browser: by keyboard and by hand, and with hostile words."""

from __future__ import annotations

from pathlib import Path

import pytest
from browser.chromium import Tab, chromium
from review.clients import Client
from review.shown_by_hand import decision_file, settled, show_again, showing_in

HOSTILE = "<img src=x onerror=\"document.title='stolen'\"><script>document.title='stolen'</script>"


def text(tab: Tab, selector: str) -> str:
    return str(tab.run(f"document.querySelector({selector!r}).innerText"))


def test_a_reviewer_decides_in_a_browser(client: Client, shown: Path, tmp_path: Path) -> None:
    other = Client(client.review, client.review.store.invite(HOSTILE[:80], 1.0))
    first = next((shown / "shown").glob("*.json")).stem
    assert other.send(decision_file(showing_in(shown, first), "change", comment=HOSTILE))[0] == 200
    with chromium(tmp_path / "browser") as tab:
        tab.size(390, 844)
        tab.open(f"{client.review.base}/r/{client.secret}")
        tab.until("document.querySelectorAll('.now img').length === 2")
        assert client.secret not in str(tab.run("location.href"))
        assert HOSTILE in text(tab, ".said")
        tab.until("document.querySelector('.now img').naturalWidth > 0")
        wide = tab.run("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0  # nothing sticks out on a telephone
        # By keyboard alone: the first button, and Enter.
        tab.run("document.querySelector('.right').focus()")
        tab.call("Input.dispatchKeyEvent", type="keyDown", key="Enter", code="Enter", text="\r")
        tab.until("document.querySelector('.outcome').textContent.startsWith('Kept')")
        tab.until("document.getElementById('summary').textContent.includes('1 picture of 2')")
        tab.size(1440, 900)
        tab.click("[data-camera=B] .wrong")
        tab.run("document.querySelector('[data-camera=B] textarea').value = 'Warmer, please'")
        box = "[data-camera=B] .now .picture"
        tab.run(f"document.querySelector({box!r}).scrollIntoView({{block: 'center'}})")
        x, y = tab.middle(box)
        tab.drag((x - 60, y - 40), (x + 60, y + 40))
        assert tab.run("document.querySelector('[data-camera=B] select').value") == "drawn"
        tab.click("[data-camera=B] [type=submit]")
        tab.until("document.querySelector('[data-camera=B] .outcome').textContent.startsWith('K')")
        tab.until("document.getElementById('summary').textContent.includes('every picture')")
        show_again(shown, A="d" * 32)
        tab.run("document.dispatchEvent(new Event('visibilitychange'))")
        tab.until("document.querySelector('.before:not([hidden]) img')?.naturalWidth > 0")
        assert "What is different: framing" in text(tab, "[data-camera=A] .difference")
        assert tab.run("document.title") == "Review" and tab.errors == []
    log = {(entry.by, entry.camera): entry for entry in settled(shown, 4)}
    wish = log["Ada", "B"]
    assert (log["Ada", "A"].says, wish.says, wish.comment) == (
        "approved",
        "change",
        "Warmer, please",
    )
    assert wish.mark is not None
    assert wish.mark.x + wish.mark.width / 2 == pytest.approx(0.5, abs=0.02)


def test_a_change_is_asked_for_by_keyboard_alone(
    client: Client, shown: Path, tmp_path: Path
) -> None:
    with chromium(tmp_path / "browser") as tab:
        tab.size(390, 844)
        tab.open(f"{client.review.base}/r/{client.secret}")
        tab.until("document.querySelectorAll('.now img').length === 2")
        tab_to(tab, "[data-camera=A] .wrong")
        tab.press("Enter")
        tab.until("document.activeElement.tagName === 'TEXTAREA'")
        tab.call("Input.insertText", text="Higher")
        tab_to(tab, "[data-camera=A] select")
        tab.press("ArrowDown")
        tab_to(tab, "[data-camera=A] [type=submit]")
        tab.press("Enter")
        tab.until("document.querySelector('.outcome').textContent.startsWith('Kept')")
        tab.until("document.activeElement !== document.body")  # focus goes on
        assert tab.errors == []
    (wish,) = settled(shown, 1)
    assert (wish.says, wish.comment) == ("change", "Higher")
    assert wish.mark is not None and wish.mark.x == wish.mark.y == 0.0


def tab_to(tab: Tab, selector: str, most: int = 30) -> None:
    """Press Tab until an element has the focus, as somebody without a mouse does."""
    for _ in range(most):
        if tab.run(f"document.activeElement === document.querySelector({selector!r})"):
            style = "getComputedStyle(document.activeElement).outlineStyle"
            assert tab.run(style) == "solid", f"{selector}: focus is not seen"
            return
        tab.press("Tab")
    pytest.fail(f"the keyboard does not reach {selector}")


def test_everything_can_be_named_and_reached(client: Client, tmp_path: Path) -> None:
    with chromium(tmp_path / "browser") as tab:
        tab.open(f"{client.review.base}/r/{client.secret}")
        tab.until("document.querySelectorAll('.now img').length === 2")
        tab.click(".wrong")
        nameless = tab.run(
            "[...document.querySelectorAll('img, button, textarea, select')].filter((one) =>"
            " !(one.alt || one.innerText || one.labels?.[0]?.innerText)?.trim()).length"
        )
        assert nameless == 0 and tab.run("document.documentElement.lang") == "en"
        small = tab.run(
            "[...document.querySelectorAll('button')].filter((b) => b.offsetHeight &&"
            " b.offsetHeight < 44).length"
        )
        assert small == 0  # a finger's breadth: WCAG 2.2, 2.5.5
        for scheme in ("light", "dark"):
            tab.size(1200, 800, scheme)
            faint = tab.run(CONTRAST)
            assert faint == [], (scheme, faint)


CONTRAST = """(() => {
  const parts = (c) => c.match(/[\\d.]+/g).map(Number);
  const lum = (c) => { const [r, g, b] = parts(c).map((v) => { v /= 255;
    return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const ground = (one) => { for (; one; one = one.parentElement) {
    const c = getComputedStyle(one).backgroundColor;
    if (parts(c).length === 3 || parts(c)[3] > 0) return c; } return 'rgb(255, 255, 255)'; };
  return [...document.querySelectorAll('h1, h2, p, label, button, textarea, select, figcaption')]
    .filter((one) => one.offsetHeight).map((one) => {
      const [a, b] = [lum(getComputedStyle(one).color), lum(ground(one))].sort((x, y) => y - x);
      return [one.tagName, (a + 0.05) / (b + 0.05)]; }).filter(([, ratio]) => ratio < 4.5);
})()"""
"""What has less contrast than WCAG 2.2, 1.4.3, asks for."""
