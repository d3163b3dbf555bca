"""Takes the README's picture of the page that watches a scene.

`PYTHONPATH=tests python tests/watch/page_picture.py SCENE FILE`
"""

from __future__ import annotations

import re
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

from browser.chromium import chromium

SIZE = (1440, 900)
SAMPLES, WITHIN_S = 24, 600.0
SHARP = f"""
    (() => {{
        const all = [...document.querySelectorAll("canvas[data-samples]")];
        return all.length > 0 && all.every((one) => Number(one.dataset.samples) >= {SAMPLES});
    }})()
"""


def main(scene: str, file: str) -> None:
    """Open the page of `scene`, wait until its pictures are sharp, and take one of it."""
    command = ["previz", "watch", scene, "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as watch:
        assert watch.stdout is not None
        found = re.search(r"http://\S+", watch.stdout.readline())
        try:
            assert found, "the page has no address"
            with tempfile.TemporaryDirectory() as folder, chromium(Path(folder)) as tab:
                tab.size(*SIZE)
                tab.open(found.group())
                tab.until(SHARP, within_s=WITHIN_S)
                tab.shot(Path(file))
        finally:
            watch.send_signal(signal.SIGINT)


if __name__ == "__main__":
    main(*sys.argv[1:])
