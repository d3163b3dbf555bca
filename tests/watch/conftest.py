"""What the tests of the page share: a scene file, and that no thread outlives its test."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # for the helpers beside the tests

from stand_ins import ROOM, own_threads


@pytest.fixture(autouse=True)
def no_thread_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Every thread that a test began has ended; what is kept of a port is the test's own."""
    monkeypatch.setattr("previz.watch.standing.folder", lambda: tmp_path / "cache")
    yield
    assert own_threads() == []


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """A scene file with two cameras, a light and a window."""
    path = tmp_path / "scene" / "scene.yaml"
    path.parent.mkdir()
    path.write_text(ROOM, encoding="utf-8")
    return path
