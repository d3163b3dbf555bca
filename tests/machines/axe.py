"""What axe-core finds on a page in Chromium, in every size and colour scheme. Needs npm and a
network, once for the checker.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from browser.chromium import Tab, chromium

SIZES = ((390, 844, "light"), (390, 844, "dark"), (1440, 900, "light"), (1440, 900, "dark"))
RUN = "axe.run().then((found) => found.violations.map((one) => [one.id, one.impact, one.help,"
RUN += " one.nodes.map((node) => node.target.join(' '))]))"
WORST = ("serious", "critical")


@contextmanager
def checking() -> Iterator[tuple[Tab, str]]:
    """A tab that runs what no page allows, and the checker's script."""
    with tempfile.TemporaryDirectory() as work, chromium(Path(work) / "browser") as tab:
        tab.call("Page.setBypassCSP", enabled=True)
        yield tab, _checker(Path(work))


def serious(
    tab: Tab, checker: str, opened: Callable[[Tab], None], states: Mapping[str, str]
) -> int:
    """How many findings are serious or worse; all are printed.

    opened  opens the page as for the first time
    states  scripts that lead the page from one state to the next, by its name
    """
    worst = 0
    for width, height, scheme in SIZES:
        tab.size(width, height, scheme)
        opened(tab)
        tab.run(checker)
        for state, code in states.items():
            tab.run(code)
            found = list(tab.run(RUN))
            print(f"{width} x {height}, {scheme}, {state}: {len(found)} findings")
            for rule, impact, said, where in found:
                print(f"  {impact} {rule}: {said}: {', '.join(where)}")
                worst += impact in WORST
    return worst


def _checker(work: Path) -> str:
    install = ["npm", "install", "--silent", "--no-audit", "--no-fund", "--prefix", str(work)]
    subprocess.run([*install, "axe-core"], check=True, stdout=subprocess.DEVNULL)
    return (work / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")
