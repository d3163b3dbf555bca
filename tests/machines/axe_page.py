"""What axe-core finds on a page for a client: `PYTHONPATH=tests python tests/machines/axe_page.py
PAGE.html`. Needs npm and a network, once for the checker; not part of the tests. Ends with 1 where
something is serious or worse.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from browser.chromium import Tab, chromium

SIZES = ((390, 844, "light"), (390, 844, "dark"), (1440, 900, "light"), (1440, 900, "dark"))
STATES = {
    "as opened": "0",
    "all open": "for (const one of document.querySelectorAll('details')) one.open = true",
    "changing": "byId('change').click(); byId('marking').click()",
    "answered": "byId('cancel').click(); byId('right').click()",
}
RUN = "axe.run().then((found) => found.violations.map((one) => [one.id, one.impact, one.help,"
RUN += " one.nodes.map((node) => node.target.join(' '))]))"


def main(page: Path) -> int:
    """Look at a page in every size, colour scheme and state."""
    worst = 0
    with tempfile.TemporaryDirectory() as work:
        checker = checked_with(Path(work))
        with chromium(Path(work) / "browser") as tab:
            tab.call("Page.setBypassCSP", enabled=True)
            for width, height, scheme in SIZES:
                tab.size(width, height, scheme)
                tab.open(page.resolve().as_uri())
                tab.run("localStorage.clear()")
                tab.open(page.resolve().as_uri())
                tab.run(checker)
                for state, code in STATES.items():
                    tab.run(code)
                    found = violations(tab)
                    print(f"{width} x {height}, {scheme}, {state}: {len(found)} findings")
                    for rule, impact, said, where in found:
                        print(f"  {impact} {rule}: {said}: {', '.join(where)}")
                        worst = max(worst, int(impact in ("serious", "critical")))
    return worst


def checked_with(work: Path) -> str:
    """The checker's script."""
    install = ["npm", "install", "--silent", "--no-audit", "--no-fund", "--prefix", str(work)]
    subprocess.run([*install, "axe-core"], check=True, stdout=subprocess.DEVNULL)
    return (work / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


def violations(tab: Tab) -> list[Any]:
    """What it finds now."""
    return list(tab.run(RUN))


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
