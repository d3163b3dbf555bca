"""Fifty reviewers at once, and a server that is killed again and again: nothing acknowledged is
lost, nothing is there twice."""

from __future__ import annotations

import http.client
import json
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path
from typing import Any

from review.shown_by_hand import decision_file

from previz.review.serving import pour_into_logs
from previz.review.store import Store

REVIEWERS, KILLS = 50, 20


class Reviewer:
    """Decides again and again; what gets no answer is sent again as the same decision."""

    def __init__(self, name: str, secret: str, port: int, showing: dict[str, Any]) -> None:
        self.name, self.port, self.showing = name, port, showing
        self.headers = {
            "Host": f"127.0.0.1:{port}",
            "Origin": f"http://127.0.0.1:{port}",
            "Cookie": f"previz_review_{port}={secret}",
            "Content-Type": "application/json",
        }
        self.kept: list[str] = []
        self.refused: list[int] = []

    def run(self, stop: threading.Event) -> None:
        wait = random.Random(self.name)
        while not stop.is_set():
            said = decision_file(self.showing, by=self.name)
            body = json.dumps(said).encode()
            while (status := self._send(body)) is None:
                time.sleep(0.05 + 0.15 * wait.random())
            if status == 200:
                self.kept += [decision["id"] for decision in said["decisions"]]
            else:
                self.refused.append(status)
            stop.wait(0.4 * wait.random())

    def _send(self, body: bytes) -> int | None:
        asking = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        try:
            asking.request("POST", "/decisions", body, self.headers)
            answer = asking.getresponse()
            answer.read()
        except (OSError, http.client.HTTPException):
            return None
        else:
            return answer.status
        finally:
            asking.close()


def served(folder: Path, port: int) -> subprocess.Popen[bytes]:
    code = (
        "import sys; from pathlib import Path\n"
        "from previz.review.serving import ServeOptions, serve_review\n"
        "serve_review([Path(sys.argv[1])], ServeOptions(port=int(sys.argv[2])), print)"
    )
    words = [sys.executable, "-P", "-c", code, str(folder), str(port)]
    # Started twenty times: what is compiled is kept for the next start.
    kept = {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": str(folder.parent / "compiled")}
    return subprocess.Popen(words, stdout=subprocess.DEVNULL, env={**os.environ, **kept})


def until_it_answers(port: int) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            socket.create_connection(("127.0.0.1", port)).close()
        except OSError:
            time.sleep(0.01)
        else:
            return
    raise AssertionError("the review did not start")


def test_nothing_acknowledged_is_lost_and_nothing_is_there_twice(shown: Path) -> None:
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    showing = json.loads(next((shown / "shown").glob("*.json")).read_text(encoding="utf-8"))
    with closing(Store(shown / "shown" / "review.sqlite")) as store:
        people = [
            Reviewer(name, store.invite(name, 1.0), port, showing)
            for name in (f"Reviewer {number}" for number in range(REVIEWERS))
        ]
    stop, chance = threading.Event(), random.Random(1)
    threads = [threading.Thread(target=one.run, args=(stop,)) for one in people]
    for thread in threads:
        thread.start()
    for _ in range(KILLS):
        server = served(shown, port)
        until_it_answers(port)
        time.sleep(0.05 + 0.25 * chance.random())
        os.kill(server.pid, signal.SIGKILL)
        server.wait()
    server = served(shown, port)
    until_it_answers(port)
    stop.set()
    for thread in threads:
        thread.join()
    os.kill(server.pid, signal.SIGKILL)
    server.wait()

    pour_into_logs([shown], None)
    kept = [name for one in people for name in one.kept]
    assert all(one.kept for one in people) and len(kept) > 4 * REVIEWERS
    assert not any(one.refused for one in people)
    lines = (shown / "decisions.jsonl").read_text(encoding="utf-8").splitlines()
    log = [json.loads(line)["id"] for line in lines]
    assert len(log) == len(set(log)) and set(kept) <= set(log)
