"""What the tests of rendering share, and what lies beside them."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from previz.render.raster import Canvas

sys.path.insert(0, str(Path(__file__).parent))  # for the helpers beside the tests


@pytest.fixture(scope="module")
def canvas() -> Iterator[Canvas]:
    """Something to draw with: these tests need OpenGL as they need Python."""
    with Canvas() as made:
        yield made
