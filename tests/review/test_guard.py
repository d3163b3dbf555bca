"""Who gets in: the holder of an open link, from this page; what is refused learns nothing."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from review.clients import Client, running

from previz.review.guard import REFUSED
from previz.review.limits import Limit
from previz.review.serving import base_of
from previz.review.store import Store

OUTSIDE = re.compile(rb"https?://|innerHTML|insertAdjacent|document\.write|eval")
PLACES = ("/", "/review.json", "/page/review.js", "/frame/x/640.jpg", "/r/", "/r/x", "/nothing")


def test_nothing_without_a_link(client: Client) -> None:
    wrong = client.secret[:-1] + ("A" if client.secret[-1] != "A" else "B")
    for path in PLACES:
        status, headers, body = client.ask(path, {"Cookie": ""})
        assert (status, body.decode()) == (403, REFUSED), path
        assert "set-cookie" not in headers
    for secret in (wrong, client.secret[:-1], client.secret + "A", "", "%00", "' or 1=1 --"):
        cookie = {"Cookie": client.cookie.replace(client.secret, secret)}
        assert client.ask("/", cookie)[0] == 403, secret
        assert client.ask(f"/r/{secret.replace(' ', '%20')}")[0] == 403, secret


def test_a_link_becomes_a_cookie_and_leaves_the_address(client: Client) -> None:
    status, headers, _ = client.ask(f"/r/{client.secret}", {"Cookie": ""})
    assert (status, headers["location"]) == (303, "/")
    given = headers["set-cookie"]
    assert given.startswith(f"{client.cookie};")
    assert "HttpOnly" in given and "samesite=lax" in given.lower() and "Max-Age=" in given
    assert client.ask("/")[0] == 200


def test_expired_and_withdrawn_links_open_nothing(client: Client, shown: Path) -> None:
    store = client.review.store
    expired = Client(client.review, store.invite("Late", 1e-9))
    assert expired.ask("/")[0] == expired.ask(f"/r/{expired.secret}")[0] == 403
    other = Store(store.path)  # another process withdraws it
    assert other.withdraw("Ada") == 1 and other.withdraw("Ada") == 0
    other.close()
    assert client.ask("/review.json")[::2] == (403, REFUSED.encode())


def test_a_link_ends_on_its_day(shown: Path, tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    store.invite("Ada", 2.0)
    link, now = store.invitations()[0], datetime.now(UTC)
    assert link.open_at(now + timedelta(days=1.99))
    assert not link.open_at(now + timedelta(days=2.01))
    store.close()


def test_the_file_holds_no_secret(client: Client) -> None:
    store = client.review.store.path
    kept = b"".join(file.read_bytes() for file in store.parent.glob(f"{store.name}*"))
    assert b"Ada" in kept and client.secret.encode() not in kept


def test_other_hosts_and_origins_are_refused(client: Client) -> None:
    for headers in (
        {"Host": "evil.example"},
        {"Host": "127.0.0.1"},
        {"Host": "127.0.0.1.evil.example"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
    ):
        assert client.ask("/", headers)[0] == 403, headers
        assert client.ask("/decisions", headers, "POST", b"{}")[0] == 403, headers
    assert client.ask("/decisions", {"Origin": ""}, "POST", b"{}")[0] == 403


def test_only_decisions_are_sent(client: Client) -> None:
    for method in ("PUT", "DELETE", "OPTIONS", "PATCH"):
        assert client.ask("/", None, method)[0] == 403, method
    assert client.ask("/", None, "POST", b"{}")[0] == 405


def test_a_page_may_load_from_here_alone(client: Client) -> None:
    for path in ("/", "/page/review.js", "/page/review.css", "/page/picture.js", "/review.json"):
        status, headers, body = client.ask(path)
        assert status == 200 and body
        policy = headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'")
        assert "unsafe" not in policy and "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cache-control"] == "no-store"
        assert "server" not in headers
        assert not re.search(rb"https?://|innerHTML|insertAdjacent|document\.write|eval", body), (
            path
        )


def test_who_guesses_is_slowed_down_and_nobody_else(client: Client) -> None:
    answers = [client.ask("/r/guess", {"Cookie": ""})[0] for _ in range(40)]
    assert answers[:30] == [403] * 30 and answers[-1] == 429
    assert client.ask("/")[0] == 200


def test_a_limit_fills_again() -> None:
    now = 0.0
    limit = Limit(2, 60, clock=lambda: now)
    assert [limit.takes("a") for _ in range(3)] == [True, True, False]
    assert limit.takes("b")
    now = 1.0
    assert [limit.takes("a") for _ in range(2)] == [True, False]


def test_behind_a_proxy_with_https(shown: Path) -> None:
    with running(shown, behind=base_of("https://Review.example/")) as review:
        client = Client(review, review.store.invite("Ada", 1.0))
        assert client.host == "review.example"
        _, headers, _ = client.ask(f"/r/{client.secret}")
        assert "Secure" in headers["set-cookie"] and "strict-transport-security" in headers
        assert client.ask("/", {"Host": f"127.0.0.1:{client.port}"})[0] == 403
        # Whom the proxy names is who is slowed down.
        guess = {"Cookie": "", "X-Forwarded-For": "203.0.113.7"}
        assert [client.ask("/r/x", guess)[0] for _ in range(31)][-1] == 429
        assert client.ask("/r/x", {**guess, "X-Forwarded-For": "203.0.113.8"})[0] == 403


def test_without_a_proxy_nobody_is_believed(client: Client) -> None:
    for number in range(30):
        client.ask("/r/x", {"Cookie": "", "X-Forwarded-For": f"203.0.113.{number}"})
    assert client.ask("/r/x", {"Cookie": "", "X-Forwarded-For": "203.0.113.99"})[0] == 429


@pytest.mark.parametrize("address", ["http://a.example", "https://a.example/x", "https://", "a"])
def test_links_begin_with_https_and_a_name(address: str) -> None:
    with pytest.raises(ValueError, match=r"links begin|name of its own"):
        base_of(address)
