"""The page's file: one file, no address in it, nothing in a text that could become markup."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from browser.made_up import HOSTILE, write

from previz.deliver.page.document import HERE, SCRIPTS, read_words


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("page") / "page.html"
    write(path)
    return path.read_text(encoding="utf-8")


def test_it_names_no_other_place(page: str) -> None:
    found = re.findall(r"(?:src|href)=\"([^\"]{1,24})", page)
    assert found and all(one.startswith(("data:", "#")) for one in found)
    assert "connect-src" not in page and "default-src 'none'" in page
    outside = set(re.findall(r"https?://[^\s\"'`]+", page))
    assert outside == {"http://www.w3.org/2000/svg"}, "the name of a language, not an address"


def test_texts_stay_texts(page: str) -> None:
    assert HOSTILE not in page and "&lt;/script&gt;" in page
    told = re.search(r'id="showing">(.*?)</script>', page, re.DOTALL)
    assert told and json.loads(told[1])["title"] == HOSTILE


def test_every_word_is_used_and_every_word_used_is_there() -> None:
    words = set(read_words())
    html = (HERE / "page.html").read_text(encoding="utf-8")
    scripts = "".join((HERE / name).read_text(encoding="utf-8") for name in SCRIPTS)
    python = (HERE / "document.py").read_text(encoding="utf-8")
    used = set(re.findall(r"\$w_(\w+)", html)) | set(re.findall(r'words\["(\w+)"\]', python))
    quoted = set(re.findall(r'"(\w+)"', scripts))
    asked = set(re.findall(r'say\("(\w+)"', scripts))
    families = {"dimmer", "colour", "nd", "said_approved", "said_change"}
    groups = {word for word in words if word.startswith("group_")}
    assert words - used - quoted - families - groups == set()
    assert (used | asked) - words == set()
    assert {path.name for path in Path(HERE).glob("*.js")} == set(SCRIPTS)
