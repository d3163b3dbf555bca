"""`previz watch` from the terminal: what it prints, what it refuses, how it ends."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import psutil
import pytest

SCENE = """\
previz: 1
title: Empty room
room: {width_m: 4, depth_m: 4, height_m: 2.6}
cameras:
  A: {sensor: full_frame, lens: prime_35_f1.8, f_number: 4, aim_m: [0, 1, 1], focus_distance_m: 2,
      place: {at_m: [0, -1], height_m: 1.2}}
"""


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE, encoding="utf-8")
    return path


@contextmanager
def watching(*words: str | Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A watch in a process of its own, and the address that it prints."""
    folder = str(next(word for word in words if isinstance(word, Path)).parent)
    command = [sys.executable, "-P", "-m", "previz", "watch", *map(str, words)]
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
        env={**os.environ, "XDG_CACHE_HOME": folder},
    ) as process:  # fmt: skip
        try:
            assert process.stdout is not None
            yield process, process.stdout.readline().strip()
        finally:
            process.kill()


def answers(address: str) -> bool:
    parts = urlsplit(address)
    asking = http.client.HTTPConnection("127.0.0.1", parts.port or 0, timeout=10)
    try:
        asking.request("GET", f"/?{parts.query}")
        return asking.getresponse().status == 303
    except OSError:
        return False
    finally:
        asking.close()


@pytest.mark.parametrize(
    ("number", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 0), (signal.SIGHUP, 0)]
)
def test_it_serves_until_it_is_told_to_end(
    scene: Path, number: signal.Signals, status: int
) -> None:
    with watching(scene, "--no-browser") as (process, address):
        assert address.startswith("http://127.0.0.1:") and answers(address)
        begun = psutil.Process(process.pid).children(recursive=True)
        process.send_signal(number)
        assert process.wait(60) == status
        assert process.stderr is not None and "Traceback" not in process.stderr.read()
        assert not answers(address)
        assert not any(child.is_running() for child in begun)


def test_the_terminal_may_be_gone_before_the_address_is_printed(scene: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-P", "-m", "previz", "watch", str(scene), "--no-browser"]
    done = subprocess.run(command, stdout=writing, stderr=subprocess.PIPE, timeout=60, check=False)
    os.close(writing)
    assert done.returncode == 141 and b"Traceback" not in done.stderr


def test_a_port_that_is_taken_is_a_wrong_input(scene: Path) -> None:
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        held.listen()
        port = held.getsockname()[1]
        with watching(scene, "--no-browser", "--port", str(port)) as (process, printed):
            assert process.wait(60) == 2 and printed == ""
            assert process.stderr is not None
            said = process.stderr.read()
    assert said.startswith(f"{scene}: --port {port}: ") and "leave it out" in said


def test_a_scene_that_is_not_there_is_a_wrong_input(tmp_path: Path) -> None:
    with watching(tmp_path / "none.yaml", "--no-browser") as (process, printed):
        assert process.wait(60) == 2 and printed == ""
        assert process.stderr is not None
        assert process.stderr.read() == f"{tmp_path}/none.yaml: there is no such file\n"
