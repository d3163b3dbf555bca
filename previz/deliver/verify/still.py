"""A still as it came from the camera: upright, in sRGB, with its digest."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageDraw, ImageOps, UnidentifiedImageError

from previz.errors import InputError, Place, Problem
from previz.stage.stage import Array, StageCamera

MOST_MEGAPIXELS = 80.0
"""A larger still is refused: what sixteen times HD needs of memory, an estimate."""
ASPECT_WITHIN = 0.01
"""How near the shape of a still is to the camera's picture, as a share: half a line of rounding at
100 lines, an estimate."""
INSET = 0.8
"""Share of a card that is looked at, so that its edge is not: an estimate."""
TAKEN, TAKEN_ORIGINALLY, DETAILS = 0x0132, 0x9003, 0x8769
"""Tags of Exif, JEITA CP-3451 (from memory)."""


@dataclass(frozen=True, eq=False)
class Still:
    """A still: (height, width, 3) 8 bit sRGB, upright.

    taken  when, as the camera wrote it; None where it did not
    notes  what to know of how it was read
    """

    path: Path
    sha256: str
    picture: NDArray[np.uint8]
    taken: str | None
    notes: tuple[str, ...]

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        height, width = self.picture.shape[:2]
        return width, height

    def patch(self, corners_px: Array) -> Array:
        """Mean code values (3,), 0 to 1, within a card: corners (2, 2) of a box or (4, 2)."""
        corners = np.asarray(corners_px, float)
        if len(corners) == 2:
            (x0, y0), (x1, y1) = corners
            corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
        middle = corners.mean(axis=0)
        around = corners[np.argsort(np.arctan2(*(corners - middle).T[::-1]))]
        inset = middle + INSET * (around - middle)
        mask = Image.new("1", self.size_px)
        ImageDraw.Draw(mask).polygon([(float(x), float(y)) for x, y in inset], fill=1)
        inside = np.asarray(mask)
        if not inside.any():
            raise ValueError("card: its corners enclose no pixel")
        return np.asarray(self.picture[inside].mean(axis=0) / 255.0)


def read_still(path: Path) -> Still:
    """Read a PNG, JPEG or TIFF file. InputError, one line, for anything else."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise _no(path, f"cannot be read: {error.strerror or error}") from error
    try:
        # Its size is judged here, before a pixel is unpacked.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            image = Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "TIFF"))
        _check_size(path, image.width, image.height)
        taken = _taken(image)
        image.load()
        upright = ImageOps.exif_transpose(image)
        picture, notes = _as_srgb(upright)
    except Image.DecompressionBombError as error:
        raise _no(path, f"is too large: up to {MOST_MEGAPIXELS:g} megapixels are read") from error
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, EOFError) as error:
        raise _no(path, "is no picture that can be read: PNG, JPEG or TIFF, whole") from error
    return Still(path, hashlib.sha256(data).hexdigest(), picture, taken, notes)


def check_shape(still: Still, camera: StageCamera) -> None:
    """InputError for a still that is not the whole picture of this camera."""
    width, height = still.size_px
    if abs(width / height / camera.aspect - 1.0) > ASPECT_WITHIN:
        raise _no(
            still.path,
            f"is {width} x {height}, {width / height:.3f} : 1, and camera {camera.name} records "
            f"{camera.aspect:.3f} : 1: grab the whole frame, not cropped, squeezed or with bars",
        )


def _check_size(path: Path, width: int, height: int) -> None:
    megapixels = width * height / 1e6
    if megapixels > MOST_MEGAPIXELS:
        raise _no(
            path,
            f"is {width} x {height}, {megapixels:.0f} megapixels: up to {MOST_MEGAPIXELS:g} are "
            "read, so save it smaller",
        )


def _taken(image: Image.Image) -> str | None:
    exif = image.getexif()
    found = exif.get_ifd(DETAILS).get(TAKEN_ORIGINALLY) or exif.get(TAKEN)
    return str(found).strip("\x00 ") or None if found else None


def _as_srgb(image: Image.Image) -> tuple[NDArray[np.uint8], tuple[str, ...]]:
    """8 bit sRGB, and what to know of it."""
    profile = image.info.get("icc_profile")
    if image.mode.startswith("I"):  # 16 bit of grey
        deep = np.asarray(image, np.float64) / 257.0
        grey = np.asarray(np.clip(deep + 0.5, 0.0, 255.0), np.uint8)
        return np.repeat(grey[..., None], 3, axis=2), ("It has no colour.",)
    if profile:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            plain = image if image.mode in ("RGB", "CMYK", "L") else image.convert("RGB")
            turned = ImageCms.profileToProfile(
                plain, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
            assert turned is not None
            return np.asarray(turned), ()
        except (ImageCms.PyCMSError, OSError):
            note = "Its colour profile cannot be used: it is taken as sRGB."
            return np.asarray(image.convert("RGB")), (note,)
    return np.asarray(image.convert("RGB")), ()


def _no(path: Path, why: str) -> InputError:
    return InputError([Problem(Place(path), why)])
