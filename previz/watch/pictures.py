"""Pictures as a page takes them: JPEG behind a short head."""

from __future__ import annotations

import io
import json

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from previz.watch.jobs import Job, Picture

QUALITY_PCT = 90
"""Of JPEG: what it takes away is not seen beside the picture itself; an estimate."""


def picture_of(
    camera: str, job: Job, pixels: NDArray[np.uint8], samples: int = 0, move: str = ""
) -> Picture:
    """A developed picture (height, width, 3), 8 bit sRGB, ready to be sent.

    Colour is kept at every pixel: thinned out, as JPEG usually does it, edges of red cloth smear.
    """
    height_px, width_px = pixels.shape[:2]
    held = io.BytesIO()
    Image.fromarray(pixels).save(held, "JPEG", quality=QUALITY_PCT, subsampling=0)
    return Picture(camera, job.version, samples, width_px, height_px, held.getvalue(), move)


def message_of(picture: Picture, number: int) -> bytes:
    """A picture as one binary message: length of the head (4 bytes), the head as JSON, JPEG.

    number  what the page says when it has shown it
    """
    head = json.dumps(
        {
            "number": number,
            "camera": picture.camera,
            "move": picture.move,
            "version": picture.version,
            "samples": picture.samples,
            "sureness": picture.sureness,
            "width": picture.width_px,
            "height": picture.height_px,
        },
        allow_nan=False,
    ).encode()
    return len(head).to_bytes(4, "big") + head + picture.jpeg
