"""Hair as curves. Import after a variant is set."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from previz.stage.stage import Stage


def hair_shapes(stage: Stage) -> Iterator[tuple[int, Any]]:
    """Curve shapes of all strands with the number of the thing they grow on."""
    yield from ()
