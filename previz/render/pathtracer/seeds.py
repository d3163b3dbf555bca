"""One seed per pass, so that a picture can be stopped and continued and still repeat."""

from __future__ import annotations

import zlib


def pass_seed(seed: int, done: int) -> int:
    """Seed (32 bit) for the pass that begins after `done` samples."""
    return zlib.crc32(f"{seed}:{done}".encode())
