"""Proves one variant of the renderer in a process of its own: `python -m previz.render.proof NAME`.

Prints the parts as JSON on standard output. Whatever a library prints on standard error is a
warning of its own that the result may be wrong, and counts against the variant.
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict

from previz.render.pathtracer.backend import PathTracer
from previz.render.proof.checks import examine


def main(variant: str) -> None:
    """Examine `variant` and print what came of it."""
    parts = examine(PathTracer(variant))
    report = [asdict(part) | {"right": part.right, "sentence": part.sentence} for part in parts]
    sys.stdout.write(json.dumps(report) + "\n")


if __name__ == "__main__":
    main(sys.argv[1])
