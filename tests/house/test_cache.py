"""The cache: what is kept comes back as it was, and nothing that befalls it is felt."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from previz import cache

ARRAYS = {
    "large": np.arange(600_000, dtype=np.float64).reshape(-1, 3),
    "small": np.array([1.5, -2.0], np.float32),
    "names": np.array(["skin", "hair"]),
    "one": np.array(3.25),
    "none": np.zeros((0, 3)),
    "yes": np.array([True, False]),
    "turned": np.arange(6).reshape(2, 3).T,
}


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path / "previz" / "things"


def kept_file(home: Path) -> Path:
    (file,) = home.iterdir()
    return file


def assert_whole(found: dict[str, np.ndarray] | None) -> None:
    assert found is not None and list(found) == list(ARRAYS)
    for name, array in ARRAYS.items():
        assert found[name].dtype == array.dtype
        np.testing.assert_array_equal(found[name], array)


def test_what_is_kept_comes_back(home: Path) -> None:
    assert cache.load("things", "a") is None
    cache.keep("things", "a", ARRAYS, 3)
    found = cache.load("things", "a")
    assert_whole(found)
    assert found is not None
    with pytest.raises(ValueError, match="read-only"):
        found["large"][0] = 0.0
    with pytest.raises(ValueError, match="read-only"):
        found["small"][0] = 0.0


def test_a_large_file_is_mapped_and_a_small_one_is_read(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mapped, real = [], cache.mmap.mmap
    monkeypatch.setattr(cache.mmap, "mmap", lambda *a, **k: mapped.append(a) or real(*a, **k))
    cache.keep("things", "small", {"small": ARRAYS["small"]}, 3)
    cache.keep("things", "large", ARRAYS, 3)
    assert cache.load("things", "small") is not None and not mapped
    assert_whole(cache.load("things", "large"))
    assert len(mapped) == 1


def test_a_reader_keeps_what_another_process_removes(home: Path) -> None:
    cache.keep("things", "a", ARRAYS, 3)
    found = cache.load("things", "a")
    code = "import pathlib, sys; pathlib.Path(sys.argv[1]).unlink()"
    subprocess.run([sys.executable, "-c", code, str(kept_file(home))], check=False)
    assert_whole(found)
    if not list(home.iterdir()):  # where a mapped file can be removed at all
        assert cache.load("things", "a") is None


def test_many_processes_at_one_key_leave_one_whole_file(home: Path) -> None:
    code = (
        "import sys, numpy as np; from previz import cache\n"
        "for turn in range(30):\n"
        "    cache.keep('things', f'{turn % 3}', {'a': np.full(300_000, 7.0)}, 2)\n"
        "    found = cache.load('things', f'{turn % 3}')\n"
        "    assert found is None or (found['a'] == 7.0).all()\n"
    )
    running = [subprocess.Popen([sys.executable, "-c", code]) for _ in range(3)]
    assert [process.wait() for process in running] == [0, 0, 0]
    left = [path.name for path in home.iterdir()]
    assert left and all(name.endswith(cache.ENDING) for name in left)
    cache.keep("things", "last", {"a": np.zeros(1)}, 2)
    assert len(list(home.iterdir())) == 2


@pytest.mark.parametrize("share", [0.0, 0.00001, 0.5, 0.999999])
def test_half_a_file_is_no_file(home: Path, share: float) -> None:
    cache.keep("things", "a", ARRAYS, 3)
    file = kept_file(home)
    whole = file.read_bytes()
    file.write_bytes(whole[: int(share * len(whole))])
    assert cache.load("things", "a") is None
    cache.keep("things", "a", ARRAYS, 3)
    assert_whole(cache.load("things", "a"))


@pytest.mark.parametrize(
    "head",
    [
        b"not an archive",
        cache.FIRST,
        cache.FIRST + b"[]\n",
        cache.FIRST + b'{"bytes": 0}\n',
        cache.FIRST + b'{"bytes": 0, "arrays": {"a": ["<f8", [3], 0]}}\n',
        cache.FIRST + b'{"bytes": 0, "arrays": {"a": ["<f8", [-1], 0]}}\n',
        cache.FIRST + b'{"bytes": 8, "arrays": {"a": ["|O", [1], 0]}}\n12345678',
        cache.FIRST + b'{"bytes": 0, "arrays": {"a": ["nonsense", [1], 0]}}\n',
        b"\0" * 200,
    ],
)
def test_another_file_is_no_file(home: Path, head: bytes) -> None:
    home.mkdir(parents=True)
    (home / f"a{cache.ENDING}").write_bytes(head)
    assert cache.load("things", "a") is None


def test_objects_are_refused_before_anything_is_written(home: Path) -> None:
    with pytest.raises(TypeError, match="strange"):
        cache.keep("things", "a", {"strange": np.array([object()])}, 3)
    assert not home.exists()


def test_the_least_recently_used_go_first(home: Path) -> None:
    for number, key in enumerate("abc"):
        cache.keep("things", key, {"a": np.array(number)}, 3)
        os.utime(home / f"{key}{cache.ENDING}", (number, number))
    assert cache.load("things", "a") is not None
    cache.keep("things", "d", {"a": np.array(4)}, 3)
    assert sorted(path.stem for path in home.iterdir()) == ["a", "c", "d"]


def test_what_a_process_never_finished_goes_after_a_day(home: Path) -> None:
    home.mkdir(parents=True)
    for name, age_s in ((".old.1", 2 * cache.STALE_S), (".new.2", 0.0)):
        (home / name).write_bytes(b"half")
        os.utime(home / name, (time.time() - age_s,) * 2)
    cache.keep("things", "a", ARRAYS, 3)
    assert sorted(path.name for path in home.iterdir()) == [".new.2", f"a{cache.ENDING}"]


def test_a_home_that_cannot_be_written_is_read(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache.keep("things", "a", ARRAYS, 3)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError("read-only file system")

    monkeypatch.setattr(os, "utime", refuse)
    monkeypatch.setattr(Path, "open", _only_reading(Path.open))
    assert_whole(cache.load("things", "a"))
    cache.keep("things", "b", ARRAYS, 3)
    assert cache.load("things", "b") is None


def _only_reading(real):
    def opened(self: Path, mode: str = "r", *rest: object, **more: object):
        if "w" in mode:
            raise PermissionError("read-only file system")
        return real(self, mode, *rest, **more)

    return opened


def test_a_folder_in_the_way_is_borne(home: Path) -> None:
    home.parent.mkdir(parents=True)
    home.write_text("a file where the folder should be")
    cache.keep("things", "a", ARRAYS, 3)
    assert cache.load("things", "a") is None


def test_no_home_at_all_is_borne(monkeypatch: pytest.MonkeyPatch) -> None:
    def homeless() -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setattr(Path, "home", homeless)
    cache.keep("things", "a", ARRAYS, 3)
    assert cache.load("things", "a") is None


def test_a_key_rests_on_code_and_on_what_is_asked(tmp_path: Path) -> None:
    one, other = tmp_path / "one.py", tmp_path / "other.py"
    one.write_text("a = 1")
    other.write_text("a = 2")
    keys = {
        cache.key_of([one], 1.0),
        cache.key_of([other], 1.0),
        cache.key_of([one, other], 1.0),
        cache.key_of([one], 2.0),
        cache.key_of([one], 1.0, 2.0),
    }
    assert len(keys) == 5
    assert cache.key_of([other, one], 1.0) == cache.key_of([one, other], 1.0)


def test_code_is_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source, reads = tmp_path / "code.py", []
    source.write_text("a = 1")
    real = Path.read_bytes
    monkeypatch.setattr(Path, "read_bytes", lambda self: reads.append(self) or real(self))
    assert [cache.key_of([source], n) for n in (1, 1)] == [cache.key_of([source], 1)] * 2
    assert reads == [source]


def test_the_head_of_a_file_is_one_line_of_json(home: Path) -> None:
    cache.keep("things", "a", ARRAYS, 3)
    first, head, _ = kept_file(home).read_bytes().split(b"\n", 2)
    assert first + b"\n" == cache.FIRST
    places = json.loads(head)["arrays"]
    assert all(offset % cache.ALIGNED == 0 for _, _, offset in places.values())


def test_nothing_is_written_where_nothing_shall_be(home: Path) -> None:
    with cache.nothing_written():
        cache.keep("things", "a", ARRAYS, 3)
    assert not home.exists()
    cache.keep("things", "a", ARRAYS, 3)
    with cache.nothing_written():
        assert_whole(cache.load("things", "a"))
