"""Frames as files: PNG for people, OpenEXR with every light apart for those who grade."""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from previz.deliver.files import whole_file
from previz.render.contract import LightLayers
from previz.telling.numbers import plain

BT709_CHROMATICITIES = (0.64, 0.33, 0.30, 0.60, 0.15, 0.06, 0.3127, 0.3290)
RGB = "RGB"


def write_png(path: Path, picture: NDArray[np.uint8], notes: dict[str, str]) -> None:
    """An 8 bit sRGB picture, with or without alpha; `notes` go into its text fields."""
    info = PngInfo()
    for key, value in notes.items():
        info.add_text(key, value)
    with whole_file(path) as fresh:
        Image.fromarray(picture).save(fresh, pnginfo=info, optimize=False)


def read_png(path: Path) -> NDArray[np.uint8]:
    """A picture as (height, width, 3)."""
    with Image.open(path) as image:
        return np.asarray(image.convert("RGB"))


def write_exr(path: Path, light: LightLayers, things: dict[str, int]) -> None:
    """One multi-layer OpenEXR file of un-denoised light, 32 bit float.

    R, G, B hold the beauty; each light has a layer of its name; `albedo`, `normal`; Z is
    depth in metres along the lens axis; `objects.id` the number of the thing seen, whose
    names (`things`, name to number) stand in the header as `previz:object:NUMBER`.
    """
    channels: dict[str, NDArray[np.float32]] = {RGB: np.ascontiguousarray(light.beauty)}
    for name, image in light.layers.items():
        channels |= _rgb(f"light.{name}", image)
    channels |= _rgb("albedo", light.albedo)
    for axis, letter in enumerate("XYZ"):
        channels[f"normal.{letter}"] = np.ascontiguousarray(light.normal[..., axis])
    channels["Z"] = np.ascontiguousarray(light.depth)
    channels["objects.id"] = np.ascontiguousarray(light.objects.astype(np.float32))
    named = {f"previz:object:{number}": name for name, number in things.items()}
    _write_channels(path, channels, named)


PANORAMA_UNIT_CD_M2 = 1000.0
"""What 1 means in the file of a panorama: half floats end at 65504, which a bright sky passes."""


def write_panorama(path: Path, panorama: NDArray[np.float32]) -> None:
    """Surroundings (height, width, 3) in cd/m2 as an OpenEXR file of linear BT.709, half float.

    Its columns run as that format has them: mirrored to a panorama of a stage, from plan south
    through west, north and east. Its unit is `PANORAMA_UNIT_CD_M2`.
    """
    picture = panorama[:, ::-1] / np.float32(PANORAMA_UNIT_CD_M2)
    unit = f"linear BT.709, {plain(PANORAMA_UNIT_CD_M2)} cd/m2"
    _write_channels(path, {RGB: np.ascontiguousarray(picture, np.float16)}, {"comments": unit})


def _write_channels(
    path: Path, channels: Mapping[str, NDArray[np.floating]], more: Mapping[str, str]
) -> None:
    """One OpenEXR file; `more` goes into its header."""
    import OpenEXR  # noqa: PLC0415 - 0.1 s that only this needs

    header = {
        "compression": OpenEXR.ZIP_COMPRESSION,
        "type": OpenEXR.scanlineimage,
        "chromaticities": BT709_CHROMATICITIES,
        "comments": "linear BT.709, cd/m2",
        **more,
    }
    with whole_file(path) as fresh:
        try:
            OpenEXR.File(header, channels).write(str(fresh))
        except RuntimeError as error:
            raise _as_os_error(error) from error


def _as_os_error(error: RuntimeError) -> OSError:
    """As an OSError: the library says only in a text of its own that a disk is full, such as
    `... No space left on device.`"""
    said = str(error)
    known = (errno.ENOSPC, errno.EFBIG, errno.EDQUOT, errno.EROFS, errno.EACCES, errno.EIO)
    number = next((n for n in known if os.strerror(n) in said), errno.EIO)
    return OSError(number, os.strerror(number))


def _rgb(name: str, image: NDArray[np.float32]) -> dict[str, NDArray[np.float32]]:
    return {f"{name}.{c}": np.ascontiguousarray(image[..., i]) for i, c in enumerate(RGB)}
