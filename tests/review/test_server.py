"""What reviewers see and send: frames, what others said, what changed; and what is refused."""

from __future__ import annotations

import io
import socket
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageCms
from review.clients import Client, running
from review.shown_by_hand import decision_file, settled, show_again, showing_in

from previz.errors import InputError, OutputError
from previz.model.decisions import Logged
from previz.review import patience
from previz.review.pictures import formats
from previz.review.store import Store
from previz.scenefile.decisions import read_log


@pytest.fixture
def said(shown: Path) -> dict[str, Any]:
    """An approval of both frames, as the page sends it."""
    return decision_file(showing_in(shown, next((shown / "shown").glob("*.json")).stem))


def test_what_is_sent_is_kept_in_the_name_of_the_link(
    client: Client, said: dict[str, Any], shown: Path
) -> None:
    said["decisions"][0]["by"] = "Somebody else"
    assert client.send(said)[0] == 200
    assert client.send(said)[0] == 200  # sent again, because no answer came
    frames = client.frames()
    assert [one["by"] for one in frames["A"]["decisions"]] == ["Ada"]
    assert not frames["A"]["asks"] and not frames["B"]["asks"]
    log = settled(shown, 2)
    assert {(entry.by, entry.came) for entry in log} == {("Ada", "served")}


def test_two_who_disagree_are_both_kept_and_shown(
    client: Client, said: dict[str, Any], shown: Path
) -> None:
    other = Client(client.review, client.review.store.invite("Bo", 1.0))
    wish = decision_file(
        showing_in(shown, said["showing"]),
        "change",
        comment="<script>alert('x')</script>",
        mark={"x": 0.1, "y": 0.2, "width": 0.3, "height": 0.4},
    )
    assert client.send(said)[0] == other.send(wish)[0] == 200
    for who in (client, other):
        views = {one["by"]: one for one in who.frames()["B"]["decisions"]}
        assert views["Ada"]["says"] == "approved" and views["Bo"]["says"] == "change"
        assert views["Bo"]["comment"] == "<script>alert('x')</script>"
        assert "id" not in views["Bo"]


def test_only_what_changed_asks_again_with_what_it_was(
    client: Client, said: dict[str, Any], shown: Path
) -> None:
    assert client.send(said)[0] == 200
    show_again(shown, B="c" * 32)
    frames = client.frames()
    assert not frames["A"]["asks"] and frames["A"]["before"] is None
    before = frames["B"]["before"]
    assert frames["B"]["asks"] and before["sha256"] == said["decisions"][1]["sha256"]
    assert "3.0 % of the frame lower" in before["words"]
    assert "-0.5 stops" in before["words"] and "dimmer_pct 40 → 28" in before["words"]
    for frame in (before, frames["B"]):
        assert client.ask(f"/frame/{frame['sha256']}/320.jpg")[0] == 200
    newer = decision_file(showing_in(shown, frames["B"]["showing"]))
    assert client.send({**newer, "decisions": newer["decisions"][1:]})[0] == 200
    assert not client.frames()["B"]["asks"]


def test_frames_come_in_every_format_as_srgb(client: Client) -> None:
    frame = client.frames()["A"]
    assert frame["widths_px"] == [320]
    for ending in formats():
        path = f"/frame/{frame['sha256']}/320.{ending}"
        status, headers, body = client.ask(path)
        assert status == 200 and "immutable" in headers["cache-control"]
        with Image.open(io.BytesIO(body)) as image:
            assert image.size == (320, 180)
            profile = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
        assert "sRGB" in ImageCms.getProfileDescription(profile)
        assert client.ask(path)[2] == body


def test_there_is_nothing_else(client: Client, said: dict[str, Any]) -> None:
    digest = said["decisions"][0]["sha256"]
    for path in (
        "/page/../server.py", "/page/%2e%2e%2fserver.py", "/page/..%5cserver.py", "/page/",
        "/frame/../../etc/passwd/320.jpg", f"/frame/{digest}/319.jpg", f"/frame/{digest}/320.png",
        f"/frame/{digest}/..%2f320.jpg", f"/frame/{'0' * 64}/320.jpg", "/shown/review.sqlite",
        "/decisions.jsonl",
    ):  # fmt: skip
        assert client.ask(path)[0] == 404, path


def changed(said: dict[str, Any], **more: object) -> dict[str, Any]:
    return {**said, "decisions": [{**said["decisions"][0], **more}]}


NO_PAGE_SENDS: list[dict[str, object]] = [
    {"says": "maybe"},
    {"comment": "x" * 2001},
    {"comment": "a\x00b"},
    {"comment": "\ud800"},
    {"by": "x" * 81},
    {"by": ""},
    {"by": "two\nlines"},
    {"id": "../../etc"},
    {"at": "yesterday"},
    {"at": "2026-13-40T10:00:00Z"},
    {"mark": {"x": 0.9, "y": 0, "width": 0.2, "height": 0.1}},
    {"mark": {"x": 1e999, "y": 0, "width": 0.2, "height": 0.1}},
    {"another": 1},
]


def test_what_no_page_sends_is_refused(client: Client, said: dict[str, Any], shown: Path) -> None:
    for more in NO_PAGE_SENDS:
        status, text = client.send(changed(said, **more))
        assert status == 422 and b"is no decision" in text and text.count(b"\n") == 1, more
    for body in (b"", b"{", b"[]", b"\xff\xfe", b"[" * 60_000, b"null", b"1e999"):
        assert client.send(body)[0] == 422, body[:9]
    assert read_log(shown) == ()


def test_other_kinds_and_sizes_are_refused(client: Client, said: dict[str, Any]) -> None:
    assert client.send(said, {"Content-Type": "text/plain"})[0] == 415
    assert client.send(b" " * 70_000)[0] == 413
    body = b"%x\r\n%s\r\n" % (70_000, b" " * 70_000) + b"0\r\n\r\n"
    headers = {"Content-Length": "", "Transfer-Encoding": "chunked"}
    assert client.ask("/decisions", headers, "POST", body)[0] == 413


def test_what_was_never_shown_is_refused(client: Client, said: dict[str, Any]) -> None:
    for more in ({"sha256": "0" * 64}, {"shown": "0" * 32}, {"camera": "C"}, {"scene": "other"}):
        assert client.send(changed(said, **more))[0] == 409, more
    assert client.send({**said, "showing": "0" * 16})[0] == 409


def test_who_sends_too_often_waits(client: Client) -> None:
    answers = [client.send(b"{}")[0] for _ in range(63)]
    assert answers[:60] == [422] * 60 and answers[-1] == 429


def test_slow_clients_are_cut_off(shown: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patience, "HEADERS_S", 0.3)
    monkeypatch.setattr(patience, "EXCHANGE_S", 0.6)
    with running(shown) as review:
        client = Client(review, review.store.invite("Ada", 1.0))
        head = f"POST /decisions HTTP/1.1\r\nHost: {client.host}\r\nCookie: {client.cookie}\r\n"
        body = f"Origin: {client.origin}\r\nContent-Type: application/json\r\n"
        starts = ["", "GET / HT", head, head + body + "Content-Length: 500\r\n\r\n{"]
        slow = [
            socket.create_connection(("127.0.0.1", client.port)) for _ in range(4 * len(starts))
        ]
        for number, connection in enumerate(slow):
            connection.sendall(starts[number % len(starts)].encode())
        assert client.ask("/")[0] == 200  # others are served meanwhile
        for connection in slow:
            connection.settimeout(10)
            assert not _rest(connection).startswith(b"HTTP/1.1 200")
            connection.close()


def _rest(connection: socket.socket) -> bytes:
    """All that still comes, until the other side ends it."""
    found = b""
    try:
        while part := connection.recv(4096):
            found += part
    except ConnectionResetError:
        pass
    return found


def test_a_full_disk_is_said_and_survived(
    client: Client, said: dict[str, Any], shown: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = Store.keep

    def full(store: Store, decisions: Sequence[Logged]) -> int:
        store._base.execute("pragma max_page_count = 1")
        try:
            many = [d.model_copy(update={"comment": "x" * 2000}) for d in decisions]
            return sum(
                kept(store, [d.model_copy(update={"id": f"{d.id}{n}"}) for d in many])
                for n in range(50)
            )
        finally:
            store._base.execute("pragma max_page_count = 1000000")

    with monkeypatch.context() as patch:
        patch.setattr(Store, "keep", full)
        status, text = client.send(said)
        assert status == 507 and b"could not be kept" in text
    assert client.send(said)[0] == 200


def test_a_log_that_cannot_be_written_is_written_later(
    client: Client, said: dict[str, Any], shown: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_space(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("previz.deliver.decision_log.os.ftruncate", no_space)
        assert client.send(changed(said))[0] == 200  # the store has it
        assert [one["by"] for one in client.frames()["A"]["decisions"]] == ["Ada"]
    assert client.send({**said, "decisions": said["decisions"][1:]})[0] == 200
    settled(shown, 2)


def test_a_store_on_a_full_disk_is_an_error_in_a_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(OutputError, match="cannot be written"):
        Store(tmp_path / "file" / "review.sqlite")
    (tmp_path / "other.sqlite").write_bytes(b"something else " * 100)
    with pytest.raises(InputError, match="is no file of a review"):
        Store(tmp_path / "other.sqlite")


def test_what_was_never_shown_is_not_served(shown: Path) -> None:
    for file in (shown / "shown").glob("*.json"):
        file.unlink()
    with pytest.raises(InputError, match="nothing has been shown of parlour yet"), running(shown):
        pass
    show_again(shown)
    for file in shown.parent.joinpath("out").rglob("frame_A.png"):
        file.unlink()
    with pytest.raises(InputError, match="the picture of camera A that was shown"), running(shown):
        pass
