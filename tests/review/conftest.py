"""What the tests of the served review share: a scene that was shown, a server, its clients."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from review.clients import Client, running
from review.shown_by_hand import show_again


@pytest.fixture
def shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A scene's folder with one showing of two cameras; the scene itself is never read."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "parlour"
    folder.mkdir()
    (folder / "scene.yaml").write_text("previz: 1\n", encoding="utf-8")
    show_again(folder)
    return folder


@pytest.fixture
def client(shown: Path) -> Iterator[Client]:
    """Somebody who has a link to the review, which is served on a thread."""
    with running(shown) as review:
        yield Client(review, review.store.invite("Ada", 1.0))
