"""What the tests of the served review share: a scene that was shown, a server, its clients."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # for the helpers beside the tests

from clients import Client, running
from shown_by_hand import frame_of, write_picture, write_showing

DIGESTS = {"A": "a" * 32, "B": "b" * 32}


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


def show_again(folder: Path, **digests: str) -> str:
    """Show the cameras of the parlour, some of them as other frames than before."""
    frames = []
    for number, (camera, usual) in enumerate(DIGESTS.items()):
        digest = digests.get(camera, usual)
        picture = folder.parent / "out" / "parlour" / digest[:4] / f"frame_{camera}.png"
        write_picture(picture, number + int(digest[:4], 16))
        facts: dict[str, Any] = {
            "framing": {"head_top_pct": 8.0 if digest == usual else 11.0},
            "light": {"grid": [[0.0 if digest == usual else -0.5] * 16] * 9},
            "settings": {"lights.key.dimmer_pct": 40 if digest == usual else 28},
        }
        frames.append(frame_of(camera, digest, picture, facts))
    scene = {"name": "parlour", "title": "A parlour", "digest": "0" * 64, "frames": frames}
    return write_showing(folder, "A parlour", [scene])


@pytest.fixture
def client(shown: Path) -> Iterator[Client]:
    """Somebody who has a link to the review, which is served on a thread."""
    with running(shown) as review:
        yield Client(review, review.store.invite("Ada", 1.0))
