"""A real Chromium without a window, driven through its own debugging protocol."""

from __future__ import annotations

import base64
import json
import os
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from websockets.sync.client import ClientConnection, connect

PROGRAMS = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = (
    "--headless", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--disable-extensions",
    "--disable-dev-shm-usage", "--force-color-profile=srgb", "--remote-debugging-port=0",
)  # fmt: skip
WAIT_S = 25.0
KEYS = {
    "ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40, "Enter": 13, "Tab": 9,
    "Home": 36, "End": 35, " ": 32, "Escape": 27,
}  # fmt: skip


def program() -> str:
    """Chromium's path; the tests need it as they need Python."""
    found = next((path for name in PROGRAMS if (path := shutil.which(name))), None)
    assert found, "install Chromium for these tests: apt-get install chromium"
    return found


class Tab:
    """One tab: `run` evaluates JavaScript in it, the rest are the hands of a user."""

    def __init__(self, connection: ClientConnection) -> None:
        self._connection, self._number = connection, 0
        self.errors: list[str] = []
        self.asked: list[str] = []
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **given: Any) -> dict[str, Any]:
        self._number += 1
        message = {"id": self._number, "method": method, "params": given}
        self._connection.send(json.dumps(message))
        while True:
            answer = json.loads(self._connection.recv(timeout=WAIT_S))
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                return dict(answer["result"])
            self._hear(answer)

    def _hear(self, event: dict[str, Any]) -> None:
        match event.get("method"):
            case "Runtime.exceptionThrown":
                self.errors.append(json.dumps(event["params"]["exceptionDetails"]))
            case "Network.requestWillBeSent":
                self.asked.append(event["params"]["request"]["url"])
            case "Log.entryAdded" if event["params"]["entry"]["level"] == "error":
                self.errors.append(event["params"]["entry"]["text"])

    def run(self, code: str) -> Any:
        done = self.call("Runtime.evaluate", expression=code, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in done, done["exceptionDetails"]
        return done["result"].get("value")

    def until(self, code: str, within_s: float = WAIT_S) -> Any:
        """Wait until an expression is true; what it gave."""
        until = time.monotonic() + within_s
        while not (found := self.run(f"((v) => v instanceof Node ? true : v)({code})")):
            assert time.monotonic() < until, f"never came true: {code}\n{self.run(STATE)}"
            time.sleep(0.03)
        return found

    def open(self, address: str) -> None:
        self.call("Page.navigate", url=address)
        self.until("document.readyState === 'complete'")

    def size(self, width: int, height: int, scheme: str = "light") -> None:
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=height, deviceScaleFactor=1, mobile=False,
        )  # fmt: skip
        features = [{"name": "prefers-color-scheme", "value": scheme}]
        self.call("Emulation.setEmulatedMedia", features=features)

    def click(self, selector: str) -> None:
        """Click in the middle of what is there, as soon as it can be clicked."""
        self.until(f"((one) => one && one.disabled !== true)(document.querySelector({selector!r}))")
        self.run(f"document.querySelector({selector!r}).scrollIntoView({{block: 'center'}})")
        x, y = self.middle(selector)
        self.mouse("mousePressed", x, y)
        self.mouse("mouseReleased", x, y)

    def middle(self, selector: str) -> tuple[float, float]:
        box = self.run(
            f"(() => {{ const b = document.querySelector({selector!r}).getBoundingClientRect();"
            " return [b.x + b.width / 2, b.y + b.height / 2]; })()"
        )
        return float(box[0]), float(box[1])

    def mouse(self, kind: str, x: float, y: float) -> None:
        count = 0 if kind == "mouseMoved" else 1
        self.call(
            "Input.dispatchMouseEvent",
            type=kind, x=x, y=y, button="left", buttons=1, clickCount=count,
        )  # fmt: skip

    def drag(self, start: tuple[float, float], end: tuple[float, float], steps: int = 8) -> None:
        """Press at the start, move to the end with the button held, let go there."""
        self.mouse("mousePressed", *start)
        for step in range(1, steps + 1):
            share = step / steps
            x, y = (a + share * (b - a) for a, b in zip(start, end, strict=True))
            self.mouse("mouseMoved", x, y)
            time.sleep(0.02)
        self.mouse("mouseReleased", *end)

    def press(self, key: str, modifiers: int = 0) -> None:
        code = KEYS.get(key) or ord(key.upper())
        given: dict[str, Any] = {"key": key, "windowsVirtualKeyCode": code, "modifiers": modifiers}
        # Buttons are pressed by what Enter and the space bar write.
        writes = {"Enter": "\r", " ": " "}.get(key)
        down = {"type": "rawKeyDown"} if writes is None else {"type": "keyDown", "text": writes}
        self.call("Input.dispatchKeyEvent", **down, **given)
        self.call("Input.dispatchKeyEvent", type="keyUp", **given)

    def type(self, selector: str, text: str) -> None:
        """Put a text in place of what a field holds, and leave it with Enter."""
        self.run(
            f"(() => {{ const field = document.querySelector({selector!r});"
            " field.focus(); field.select(); })()"
        )
        self.call("Input.insertText", text=text)
        self.press("Enter")
        self.run(f"document.querySelector({selector!r}).blur()")

    def shot(self, path: Path) -> None:
        data = self.call("Page.captureScreenshot", format="png")["data"]
        path.write_bytes(base64.b64decode(data))


STATE = (
    "JSON.stringify([document.title, document.getElementById('live')?.textContent,"
    " document.getElementById('work-text')?.textContent,"
    " document.getElementById('problems')?.innerText,"
    " document.getElementById('refused')?.innerText])"
)


@contextmanager
def chromium(folder: Path) -> Iterator[Tab]:
    """A tab of a fresh Chromium that lives in `folder`; it is gone at the end with all it began."""
    flags = [*FLAGS, f"--user-data-dir={folder}"]
    if os.name == "posix" and os.geteuid() == 0:
        flags.append("--no-sandbox")
    process = subprocess.Popen(
        [program(), *flags, "about:blank"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
    )  # fmt: skip
    try:
        port = _port(folder, process)
        address = _tab(port)
        with connect(address, max_size=None, proxy=None, ping_interval=None) as connection:
            yield Tab(connection)
    finally:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def _port(folder: Path, process: subprocess.Popen[bytes]) -> int:
    file, until = folder / "DevToolsActivePort", time.monotonic() + WAIT_S
    while not (file.exists() and file.read_text().strip()):
        assert process.poll() is None and time.monotonic() < until, "Chromium did not start"
        time.sleep(0.05)
    return int(file.read_text().splitlines()[0])


def _tab(port: int) -> str:
    import http.client

    until = time.monotonic() + WAIT_S
    while time.monotonic() < until:
        asking = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        asking.request("GET", "/json/list")
        tabs = [tab for tab in json.loads(asking.getresponse().read()) if tab["type"] == "page"]
        asking.close()
        if tabs:
            return str(tabs[0]["webSocketDebuggerUrl"])
        time.sleep(0.05)
    raise AssertionError("Chromium has no tab")
