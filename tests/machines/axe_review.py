"""What axe-core finds on a served review: `PYTHONPATH=tests python tests/machines/axe_review.py`.
Needs npm and a network, once for the
checker; not part of the tests. Ends with 1 where something is serious or worse.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from browser.chromium import Tab
from machines.axe import checking, serious
from review.clients import Client, running
from review.shown_by_hand import decision_file, show_again, showing_in

STATES = {
    "as opened": "0",
    "changing": "document.querySelector('.wrong').click()",
    "marked": "(() => { const where = document.querySelector('select'); where.value = '1,1';"
    " where.dispatchEvent(new Event('change')); })()",
}


def main() -> int:
    """Look at a review of two versions that others have decided about, in every size and scheme."""
    with tempfile.TemporaryDirectory() as work:
        os.environ["XDG_CACHE_HOME"] = str(Path(work) / "cache")
        os.chdir(work)
        folder = Path(work) / "parlour"
        folder.mkdir()
        (folder / "scene.yaml").write_text("previz: 1\n", encoding="utf-8")
        first = show_again(folder)
        with running(folder) as review, checking() as (tab, checker):
            client = Client(review, review.store.invite("Ada", 1.0))
            other = Client(review, review.store.invite("Bo", 1.0))
            told = decision_file(showing_in(folder, first), "change", comment="A little warmer")
            other.send(told)
            show_again(folder, A="d" * 32)
            found = serious(tab, checker, lambda tab: opened(tab, client), STATES)
            return min(found, 1)


def opened(tab: Tab, client: Client) -> None:
    """The review as a reviewer gets it by a link."""
    tab.open(f"{client.review.base}/r/{client.secret}")
    tab.until("document.querySelectorAll('.now img').length === 2")
    tab.until("document.querySelector('.now img').naturalWidth > 0")


if __name__ == "__main__":
    sys.exit(main())
