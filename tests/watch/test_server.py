"""Who gets in: the holder of the token from this very page, and nobody else."""

from __future__ import annotations

import http.client
import json
import os
import re
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from stand_ins import Running, own_threads
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import ClientConnection, connect

from previz.watch import standing
from previz.watch.server import page_files
from previz.watch.serving import Watch

REFUSED = b"refused: open the address that previz watch printed\n"


class Client:
    """Asks a watch over its own connection, with whatever headers a test wants."""

    def __init__(self, watch: Watch) -> None:
        self.watch, parts = watch, urlsplit(watch.address)
        assert parts.port is not None
        self.port, self.token = parts.port, parts.query.removeprefix("token=")
        self.cookie = f"previz_watch_{self.port}={self.token}"

    def ask(
        self, path: str, headers: dict[str, str] | None = None, method: str = "GET"
    ) -> tuple[int, dict[str, str], bytes]:
        asking = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        asking.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in {"Host": f"127.0.0.1:{self.port}", **(headers or {})}.items():
            asking.putheader(name, value)
        asking.endheaders()
        answer = asking.getresponse()
        found = answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        asking.close()
        return found

    def socket(self, **headers: str) -> ClientConnection:
        return connect(
            f"ws://127.0.0.1:{self.port}/socket",
            additional_headers=headers,
            proxy=None,
            max_size=None,
        )

    def page(self) -> ClientConnection:
        return self.socket(Cookie=self.cookie, Origin=f"http://127.0.0.1:{self.port}")


@pytest.fixture
def client(room: Path) -> Iterator[Client]:
    watch = Watch(room, Running(room).hands(0.0))
    watch.start()
    try:
        yield Client(watch)
    finally:
        watch.stop()


def test_nothing_without_the_token(client: Client) -> None:
    for path in ("/", "/page/main.js", "/socket", "/nothing", "/?token=", "/?token=x&token=y"):
        status, headers, body = client.ask(path)
        assert (status, body) == (403, REFUSED), path
        assert "set-cookie" not in headers
    wrong = client.token[:-1] + ("A" if client.token[-1] != "A" else "B")
    for token in (wrong, client.token[:-1], client.token + "A", client.token.upper(), "%00", "é"):
        address = "/?token=" + token.encode("utf-8").decode("latin-1")
        assert client.ask(address.replace("Ã©", "%C3%A9"))[0] == 403, token
        cookie = {"Cookie": f"previz_watch_{client.port}={token.replace('é', 'e')}"}
        assert client.ask("/", cookie)[0] == 403, token


def test_the_token_becomes_a_cookie_and_leaves_the_address(client: Client) -> None:
    status, headers, _ = client.ask(f"/?token={client.token}")
    assert (status, headers["location"]) == (303, "/")
    given = headers["set-cookie"]
    assert given.startswith(f"{client.cookie};")
    assert "HttpOnly" in given and "samesite=strict" in given.lower() and "Path=/" in given
    assert "domain" not in given.lower()
    status, headers, body = client.ask("/", {"Cookie": f"other=1; {client.cookie}"})
    assert status == 200 and b"<!doctype html>" in body


def test_the_token_lets_in_at_the_door_alone(client: Client) -> None:
    assert client.ask(f"/page/main.js?token={client.token}")[0] == 403


def test_a_ticket_opens_once(client: Client) -> None:
    ticket = urlsplit(client.watch.address_for_once()).query
    assert client.token not in ticket
    assert client.ask(f"/?{ticket}")[0] == 303
    assert client.ask(f"/?{ticket}")[0] == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "evil.example:{port}"},
        {"Host": "127.0.0.1"},
        {"Host": "127.0.0.1:1"},
        {"Host": "127.0.0.1.evil.example:{port}"},
        {"Host": ""},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "https://127.0.0.1:{port}"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "http://localhost:{port}"},
    ],
)
def test_other_hosts_and_origins_are_refused(client: Client, headers: dict[str, str]) -> None:
    named = {name: value.format(port=client.port) for name, value in headers.items()}
    asked = {"Cookie": client.cookie, **named}
    assert client.ask("/", asked)[::2] in ((403, REFUSED), (400, b"Invalid HTTP request received."))
    for address in ("/", f"/?token={client.token}"):
        assert "set-cookie" not in client.ask(address, asked)[1]


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "PATCH"])
def test_nothing_is_changed_by_a_request(client: Client, method: str) -> None:
    assert client.ask("/", {"Cookie": client.cookie}, method)[0] == 403


def test_a_page_may_load_from_here_alone(client: Client) -> None:
    for name in ("/", *(f"/page/{name}" for name in page_files())):
        status, headers, body = client.ask(name, {"Cookie": client.cookie})
        assert status == 200 and body
        policy = headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'")
        assert "unsafe" not in policy and "frame-ancestors 'none'" in policy
        assert headers["cache-control"] == "no-store"
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert "server" not in headers
        # Names of formats are no addresses to load from.
        text = body.decode().replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?:|(src|href)=\"(?!/page/|#)", text), name


@pytest.mark.parametrize("path", ["/page/../guard.py", "/page/%2e%2e%2fguard.py", "/page/", "/x"])
def test_there_is_nothing_else(client: Client, path: str) -> None:
    assert client.ask(path, {"Cookie": client.cookie})[0] == 404


def test_a_socket_needs_cookie_and_origin(client: Client) -> None:
    here = f"http://127.0.0.1:{client.port}"
    wrong = [
        {},
        {"Origin": here},
        {"Cookie": client.cookie},
        {"Cookie": client.cookie, "Origin": "http://evil.example"},
        {"Cookie": client.cookie, "Origin": "null"},
        {"Cookie": client.cookie[:-1], "Origin": here},
    ]
    for headers in wrong:
        with pytest.raises(InvalidStatus) as refused, client.socket(**headers):
            pass
        assert refused.value.response.status_code == 403
    with client.page() as page:
        page.send(json.dumps({"kind": "view", "cameras": [], "width": 160}))
        kinds = set()
        while {"scene", "state"} - kinds:
            message = page.recv(timeout=60)
            kinds.add(json.loads(message)["kind"] if isinstance(message, str) else "picture")


@pytest.mark.parametrize(
    "message",
    [
        "nonsense", '{"kind": "quit"}', b"\x00", "[" * 20000,
        '{"kind": "turn", "values": {"look.lut": "x"}}', "x" * 70000,
    ],
    ids=["no json", "no kind", "binary", "deep", "no control", "long"],
)  # fmt: skip
def test_who_says_what_no_page_says_is_put_out_alone(client: Client, message: str | bytes) -> None:
    with client.page() as other, client.page() as page:
        page.send(message)
        with pytest.raises(ConnectionClosed):
            while True:
                page.recv(timeout=60)
        other.send(json.dumps({"kind": "settle"}))
        other.send(json.dumps({"kind": "view", "cameras": [], "width": 160}))
        while not isinstance(other.recv(timeout=60), bytes):
            pass


def test_pages_hear_the_end_and_no_thread_is_left(room: Path) -> None:
    watch = Watch(room, Running(room).hands(0.0))
    watch.start()
    with Client(watch).page() as page:
        page.send(json.dumps({"kind": "view", "cameras": [], "width": 160}))
        page.recv(timeout=60)
        watch.stop()
        with pytest.raises(ConnectionClosed):
            while True:
                page.recv(timeout=60)
    assert own_threads() == []


def test_a_restart_stands_where_it_stood_with_the_same_token(room: Path) -> None:
    first = standing.stand(room, None)
    other = standing.stand(room, None)
    assert other.port != first.port and other.token != first.token, "it stands there still"
    other.listening.close()
    again = standing.stand(room, None)
    assert (again.port, again.token) == (other.port, other.token)
    for held in (first, again):
        held.listening.close()
    elsewhere = standing.stand(room.with_name("other.yaml"), None)
    elsewhere.listening.close()
    assert elsewhere.token not in (first.token, other.token)


def test_what_is_kept_is_for_this_user_alone(room: Path, tmp_path: Path) -> None:
    first = standing.stand(room, None)
    first.listening.close()
    (file,) = (tmp_path / "cache" / "watch").iterdir()
    assert file.stat().st_mode & 0o777 == 0o600
    file.chmod(0o644)  # others may have read it
    second = standing.stand(room, first.port)
    second.listening.close()
    assert second.token != first.token
    old = time.time() - standing.KEPT_S - 60
    os.utime(file, (old, old))
    third = standing.stand(room, None)
    third.listening.close()
    assert third.token != second.token


def test_a_port_that_is_taken_is_said(room: Path) -> None:
    held = standing.stand(room, None)
    with pytest.raises(OSError, match="in use"):
        standing.stand(room, held.port)
    held.listening.close()
