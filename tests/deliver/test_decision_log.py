"""The log of decisions: appended only, whole lines, each decision once, whatever happens."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import uuid
from pathlib import Path

import pytest

from previz.deliver.decision_log import append_to_log
from previz.errors import InputError, OutputError
from previz.model.decisions import Logged
from previz.scenefile.decisions import LOG, read_log


def entry(**more: object) -> Logged:
    told = {
        "id": str(uuid.uuid4()), "scene": "parlour", "camera": "A", "shown": "a" * 32,
        "sha256": "b" * 64, "says": "approved", "by": "Zoë", "at": "2026-11-28T10:00:00Z",
        "showing": "c" * 16, "came": "page",
    }  # fmt: skip
    return Logged.model_validate({**told, **more})


def test_what_went_in_comes_out_in_its_order(tmp_path: Path) -> None:
    assert read_log(tmp_path) == ()
    first, second = entry(comment="a\nb\u2028c\u00a0\U0001f469\u200d\U0001f3a8"), entry()
    assert append_to_log(tmp_path, [first]) == (first,)
    assert append_to_log(tmp_path, [second, first, second]) == (second,)
    assert read_log(tmp_path) == (first, second)
    assert (tmp_path / LOG).read_bytes().count(b"\n") == 2


@pytest.mark.parametrize("torn", [b'{"id": "5', b"{", '{"by": "Zo\u00eb'.encode()[:-1]])
def test_a_torn_line_counts_as_not_written(tmp_path: Path, torn: bytes) -> None:
    first, second = entry(), entry()
    append_to_log(tmp_path, [first])
    with (tmp_path / LOG).open("ab") as file:
        file.write(torn)
    assert read_log(tmp_path) == (first,)
    append_to_log(tmp_path, [second])
    assert read_log(tmp_path) == (first, second)


def test_a_last_line_without_its_end_is_kept(tmp_path: Path) -> None:
    first, second = entry(), entry()
    append_to_log(tmp_path, [first])
    path = tmp_path / LOG
    path.write_bytes(path.read_bytes().rstrip(b"\n"))
    append_to_log(tmp_path, [second])
    assert read_log(tmp_path) == (first, second)


def test_a_line_that_somebody_broke_is_named(tmp_path: Path) -> None:
    append_to_log(tmp_path, [entry(), entry()])
    path = tmp_path / LOG
    lines = path.read_text(encoding="utf-8").splitlines()
    lines[1] = json.dumps({**json.loads(lines[1]), "says": "maybe"})
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"decisions\.jsonl:2:1: is no decision: says: "):
        read_log(tmp_path)


def test_on_a_full_disk_the_log_stays_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = entry(), entry()
    append_to_log(tmp_path, [first])
    write = os.write

    def half(handle: int, lines: bytes) -> int:
        write(handle, lines[: len(lines) // 2])
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("previz.deliver.decision_log.os.write", half)
        with pytest.raises(OutputError, match="the disk is full"):
            append_to_log(tmp_path, [second])
    assert read_log(tmp_path) == (first,)
    append_to_log(tmp_path, [second])
    assert read_log(tmp_path) == (first, second)


WRITER = """
import sys
from pathlib import Path
from previz.deliver.decision_log import append_to_log
from previz.model.decisions import Logged
for line in sys.stdin:
    append_to_log(Path(sys.argv[1]), [Logged.model_validate_json(line)])
"""


def test_several_processes_write_into_one_log(tmp_path: Path) -> None:
    entries = [entry() for _ in range(30)]
    told = "\n".join(one.model_dump_json() for one in entries)
    command = [sys.executable, "-c", WRITER, str(tmp_path)]
    writers = [subprocess.Popen(command, stdin=subprocess.PIPE, text=True) for _ in range(3)]
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write(told)
        writer.stdin.close()
    assert [writer.wait() for writer in writers] == [0, 0, 0]
    lines = (tmp_path / LOG).read_text(encoding="utf-8").splitlines()
    assert sorted(json.loads(line)["id"] for line in lines) == sorted(one.id for one in entries)
