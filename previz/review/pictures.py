"""Frames in sizes that suit a screen, in the formats that browsers have; made once and kept."""

from __future__ import annotations

import functools
import io
import threading
from pathlib import Path

from PIL import Image, ImageCms, features

from previz import cache
from previz.deliver.files import whole_file
from previz.errors import OutputError

WIDTHS_PX = (640, 960, 1280, 1920, 2560, 3840)
FORMATS = {"avif": "AVIF", "webp": "WEBP", "jpg": "JPEG"}
"""Smallest files first; the last is the one that every browser knows."""
TYPES = {"avif": "image/avif", "webp": "image/webp", "jpg": "image/jpeg"}
QUALITY = {"AVIF": 72, "WEBP": 88, "JPEG": 90}
"""At which a frame cannot be told from its PNG at arm's length: an estimate, by eye."""
_ENCODING = threading.Semaphore(1)
"""One at a time: the processor has other work."""


@functools.cache
def formats() -> tuple[str, ...]:
    """Endings that this machine can write, the smallest files first."""
    can = {"avif": features.check("avif"), "webp": features.check("webp"), "jpg": True}
    return tuple(ending for ending in FORMATS if can[ending])


def widths_of(width_px: int) -> tuple[int, ...]:
    """Widths in which a frame is served: never wider than it is, its own among them."""
    return (*(width for width in WIDTHS_PX if width < width_px), width_px)


def encoded(picture: Path, digest: str, width_px: int, ending: str) -> bytes:
    """A frame in a width and a format, tagged as sRGB. OSError where the picture is gone."""
    kept = cache.folder() / "review" / f"{digest[:32]}_{width_px}.{ending}"
    try:
        return kept.read_bytes()
    except OSError:
        pass
    with _ENCODING:
        content = _encoded(picture, width_px, FORMATS[ending])
    try:
        with whole_file(kept) as fresh:
            fresh.write_bytes(content)
    except OutputError:
        return content  # a cache that cannot be written costs time and nothing else
    return content


def _encoded(picture: Path, width_px: int, name: str) -> bytes:
    out = io.BytesIO()
    with Image.open(picture) as image:
        whole = image.convert("RGB")
    height_px = round(whole.height * width_px / whole.width)
    size = (width_px, height_px)
    fitted = whole if whole.size == size else whole.resize(size, Image.Resampling.LANCZOS)
    more = {"progressive": True, "subsampling": 0} if name == "JPEG" else {}
    fitted.save(out, name, quality=QUALITY[name], icc_profile=_srgb(), **more)
    return out.getvalue()


@functools.cache
def _srgb() -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
