"""A result that cannot be written: one line with what was wanted, where and what would cure it."""

from __future__ import annotations

import errno
import os
import resource
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from previz.cli.exits import Exit, exit_status
from previz.deliver.files import no_file_there, not_written, writable_folder, write_text
from previz.deliver.film import write_film
from previz.deliver.frames import write_exr, write_png
from previz.deliver.kept import Keeper, UnfinishedPicture
from previz.deliver.layers import write_layers
from previz.errors import OutputError
from previz.render.contract import LightLayers, RenderSettings
from previz.render.relight import LayerStack

NOISE = np.random.default_rng(1).random((160, 160, 3)).astype(np.float32)
LIGHT = LightLayers(
    {"key": NOISE}, NOISE, NOISE, NOISE[..., 0].copy(), np.zeros(NOISE.shape[:2], np.uint16), 1
)
PICTURE = UnfinishedPicture("A", RenderSettings(16, 16, 4, 4, 1), "", "scalar_rgb")
WRITERS: dict[str, Callable[[Path], Any]] = {
    "a.exr": lambda path: write_exr(path, LIGHT, {}),
    "a.png": lambda path: write_png(path, (NOISE * 255).astype(np.uint8), {}),
    "a.npz": lambda path: write_layers(path, LayerStack.of(LIGHT)),
    "a.mp4": lambda path: write_film(path, [(NOISE * 255).astype(np.uint8)] * 9, Fraction(25)),
    "a.json": lambda path: write_text(path, "x" * 90_000),
}


@contextmanager
def files_of_at_most(size: int) -> Iterator[None]:
    """No file of this process may grow larger; the system's own errors, not imitated ones."""
    usual = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, usual[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)


def line_of(call: Callable[[], Any], capsys: pytest.CaptureFixture[str]) -> str:
    """What the command line says, with the status of a wrong input."""
    assert exit_status(call, traceback_wanted=False) == Exit.WRONG
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    return said.rstrip("\n")


@pytest.mark.parametrize("name", WRITERS)
def test_a_file_that_grows_too_large(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def write() -> None:
        with files_of_at_most(20_000):
            WRITERS[name](tmp_path / name)

    assert line_of(write, capsys) == (
        f"{tmp_path / name}: cannot be written, the file grows larger than this disk, or "
        "ulimit -f, allows: name another place with --out, or render smaller"
    )
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_while_an_exr_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The library's own words, as seen on a full file system of one megabyte."""
    import OpenEXR

    class Full:
        def __init__(self, *_: object) -> None: ...

        def write(self, name: str) -> None:
            raise RuntimeError(
                f'Failed to write pixel data to image file "{name}". No space left on device.'
            )

    monkeypatch.setattr(OpenEXR, "File", Full)
    said = line_of(lambda: write_exr(tmp_path / "a.exr", LIGHT, {}), capsys)
    assert said == (
        f"{tmp_path / 'a.exr'}: cannot be written, the disk is full: free some of it, or name "
        "another place with --out"
    )


@pytest.mark.parametrize(
    ("number", "cure"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EDQUOT, "your share of the disk"),
        (errno.EROFS, "this disk can only be read"),
        (errno.EACCES, "no permission"),
        (errno.EIO, f"{os.strerror(errno.EIO)}: name another place"),
    ],
)
def test_every_trouble_of_a_disk_has_its_cure(
    number: int, cure: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def trouble(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", trouble)
    path = tmp_path / "a.txt"
    with pytest.raises(OutputError, match=cure) as caught:
        write_text(path, "text")
    assert str(caught.value).startswith(f"{path}: cannot be written, ")
    assert "--out" in str(caught.value)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", WRITERS)
def test_a_file_where_a_folder_is_wanted(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "light").write_text("in the way")
    path = tmp_path / "light" / name
    assert line_of(lambda: WRITERS[name](path), capsys) == (
        f"{path}: cannot be written, because {tmp_path / 'light'} is a file and a folder is "
        "wanted there: move it away, or name another place with --out"
    )
    assert (tmp_path / "light").read_text() == "in the way"


@pytest.mark.parametrize(
    "number", [errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EACCES, errno.EIO]
)
def test_what_lies_beside_the_scene_has_no_other_place(number: int, tmp_path: Path) -> None:
    path = tmp_path / "decisions.jsonl"
    said = str(not_written(path, OSError(number, os.strerror(number)), beside_scene=True))
    assert said.startswith(f"{path}: cannot be written, ") and "--out" not in said
    (tmp_path / "shown").write_text("in the way")
    with pytest.raises(OutputError, match=r"move it away$"):
        write_text(tmp_path / "shown" / "a.json", "{}", beside_scene=True)


def test_a_folder_where_a_file_is_wanted(tmp_path: Path) -> None:
    (tmp_path / "a.txt").mkdir()
    with pytest.raises(OutputError, match="a folder of that name is there: move it away"):
        write_text(tmp_path / "a.txt", "text")


@pytest.mark.parametrize("call", [writable_folder, no_file_there])
def test_a_folder_below_a_file_is_refused_before_the_work(
    call: Callable[[Path], Path], tmp_path: Path
) -> None:
    (tmp_path / "out").write_text("in the way")
    for folder in (tmp_path / "out", tmp_path / "out" / "frames"):
        with pytest.raises(OutputError) as caught:
            call(folder)
        assert str(caught.value) == (
            f"{folder}: is to be a folder, and {tmp_path / 'out'} is a file: move it away, or "
            "name another place with --out"
        )


def test_what_stands_in_the_way_of_unfinished_pictures_is_told_first(tmp_path: Path) -> None:
    (tmp_path / ".unfinished").write_text("in the way")
    with pytest.raises(OutputError, match=r"\.unfinished: is to be a folder, and .* is a file"):
        Keeper(tmp_path)


def test_what_comes_in_the_way_of_unfinished_pictures_later(tmp_path: Path) -> None:
    keeper = Keeper(tmp_path)
    (tmp_path / ".unfinished").write_text("in the way")
    with pytest.raises(OutputError, match=r"A\.npz: is no longer needed and cannot be deleted"):
        keeper.forget(PICTURE)
