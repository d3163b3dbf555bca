"""A review on a thread, and those who ask it."""

from __future__ import annotations

import http.client
import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from previz.review.serving import ServeOptions, Standing, standing_review

Answer = tuple[int, dict[str, str], bytes]


@contextmanager
def running(*scenes: Path, **options: Any) -> Iterator[Standing]:
    with standing_review(scenes, ServeOptions(port=0, **options)) as review:
        thread = threading.Thread(target=review.serve)
        thread.start()
        try:
            while not review.server.started:
                time.sleep(0.01)
            yield review
        finally:
            review.server.should_exit = True
            thread.join()


class Client:
    """One reviewer with a link, over a new connection each time."""

    def __init__(self, review: Standing, secret: str) -> None:
        self.review, self.secret = review, secret
        self.port = int(review.listening.getsockname()[1])
        self.host = urlsplit(review.base).netloc
        self.origin = review.base
        self.cookie = f"previz_review_{self.port}={secret}"

    def ask(
        self,
        path: str,
        headers: dict[str, str] | None = None,
        method: str = "GET",
        body: bytes | None = None,
    ) -> Answer:
        """With the cookie and from this page, unless the headers say otherwise; "" leaves out."""
        usual = {"Host": self.host, "Cookie": self.cookie}
        if method == "POST":
            usual |= {"Origin": self.origin, "Content-Type": "application/json"}
            usual["Content-Length"] = str(len(body or b""))
        asking = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        try:
            asking.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in {**usual, **(headers or {})}.items():
                if value:
                    asking.putheader(name, value)
            asking.endheaders(body)
            answer = asking.getresponse()
            return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        finally:
            asking.close()

    def told(self) -> dict[str, Any]:
        status, _, body = self.ask("/review.json")
        assert status == 200, body
        return dict(json.loads(body))

    def frames(self) -> dict[str, dict[str, Any]]:
        return {frame["camera"]: frame for frame in self.told()["scenes"][0]["frames"]}

    def send(self, said: object, headers: dict[str, str] | None = None) -> tuple[int, bytes]:
        body = said if isinstance(said, bytes) else json.dumps(said).encode()
        status, _, text = self.ask("/decisions", headers, "POST", body)
        return status, text
