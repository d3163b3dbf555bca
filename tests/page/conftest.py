"""What the tests of the client's page share: a browser without a network, and a made up page."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from browser.chromium import Tab, chromium
from browser.made_up import write


@pytest.fixture(scope="module")
def tab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Tab]:
    folder = tmp_path_factory.mktemp("chromium")
    with chromium(folder) as opened:
        opened.call(
            "Network.emulateNetworkConditions",
            offline=True, latency=0, downloadThroughput=0, uploadThroughput=0,
        )  # fmt: skip
        opened.call("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(folder))
        opened.downloads = folder  # type: ignore[attr-defined]
        yield opened


@pytest.fixture(scope="module")
def made_up(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "page.html"
    write(path)
    return path


@pytest.fixture
def page(tab: Tab, made_up: Path) -> Iterator[Tab]:
    """The page as it is opened for the first time."""
    tab.size(390, 844)
    tab.open(made_up.as_uri())
    tab.run("localStorage.clear()")
    tab.errors.clear()
    tab.asked.clear()
    tab.open(made_up.as_uri())
    tab.until("!document.getElementById('viewer').hidden")
    yield tab
    assert tab.errors == []
    assert [url for url in tab.asked if not url.startswith(("file:", "data:", "blob:"))] == []
