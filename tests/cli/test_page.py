"""`previz page`: mistakes are told before anything is rendered."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz import api
from previz.cli import main

SCENE = Path(__file__).parents[2] / "scenes" / "first_light"


def test_no_earlier_frames_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("previz.api.paging.pictures_of", None)
    given = ["page", str(SCENE), "--out", str(tmp_path / "o"), "--before", str(tmp_path)]
    monkeypatch.setattr("sys.argv", ["previz", *given])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 2
    assert f"{tmp_path}: --before: no frames in {tmp_path}" in capsys.readouterr().err


def test_settings_belong_to_one_scene() -> None:
    with pytest.raises(ValueError, match="one scene"):
        api.page_of_scenes([SCENE, SCENE], api.PageOptions(settings=("key.dimmer_pct=5",)))
