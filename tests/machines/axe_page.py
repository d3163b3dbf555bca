"""What axe-core finds on a page for a client: `PYTHONPATH=tests python tests/machines/axe_page.py
PAGE.html`. Needs npm and a network, once for the checker; not part of the tests. Ends with 1 where
something is serious or worse.
"""

from __future__ import annotations

import sys
from pathlib import Path

from browser.chromium import Tab
from machines.axe import checking, serious

STATES = {
    "as opened": "0",
    "all open": "for (const one of document.querySelectorAll('details')) one.open = true",
    "changing": "byId('change').click(); byId('marking').click()",
    "answered": "byId('cancel').click(); byId('right').click()",
}


def main(page: Path) -> int:
    """Look at a page in every size, colour scheme and state."""
    address = page.resolve().as_uri()

    def opened(tab: Tab) -> None:
        tab.open(address)
        tab.run("localStorage.clear()")
        tab.open(address)

    with checking() as (tab, checker):
        return min(serious(tab, checker, opened, STATES), 1)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
