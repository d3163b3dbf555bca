"""From scene-linear values to a picture, through OpenColorIO's built-in configuration."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz.errors import Place, Problem

F32 = NDArray[np.float32]

CONFIGURATION = "ocio://cg-config-v2.2.0_aces-v1.3_ocio-v2.4"
SCENE_LINEAR = "Linear Rec.709 (sRGB)"
DISPLAY = "sRGB - Display"
PRINTED_UP = {"film": 1.47, "video": 1.0}
"""What scene-linear is multiplied by before a view. The film view is made for a dark hall and
shows mid grey at a tenth of white; so much more puts a grey card that the meter calls right at
18 %, where a screen in a lit room is expected to have it, as the straight view has it."""
VIEWS = {"film": "ACES 1.0 - SDR Video", "video": "Un-tone-mapped"}


def view_problem(lut: Path, place: Place) -> Problem | None:
    """What is wrong with a .cube file, or None if it can be used."""
    try:
        _lut_of(lut)
    except Exception as error:  # OpenColorIO raises its own, unexported types
        reason = " ".join(str(error).split())[:160]
        return Problem(place, f"look.lut: {lut.name} cannot be read as a .cube file ({reason})")
    return None


def develop(linear: NDArray[np.float32], view: str, lut: Path | None = None) -> NDArray[np.uint8]:
    """Picture (height, width, 3), 8 bit sRGB, of scene-linear BT.709.

    `view` is a key of VIEWS; `lut` a .cube file laid over the finished picture.
    """
    return np.asarray(developed(linear, view, lut) * 255.0 + 0.5, np.uint8)


def developed(linear: NDArray[np.float32], view: str, lut: Path | None = None) -> F32:
    """`develop` before it is rounded: sRGB from 0 to 1, (height, width, 3)."""
    lifted = np.maximum(linear, 0.0) * np.float32(PRINTED_UP[view])
    picture = np.ascontiguousarray(lifted, np.float32)
    height, width = picture.shape[:2]
    for processor in (_view(view), *((_lut_of(lut),) if lut else ())):
        processor.apply(_ocio().PackedImageDesc(picture, width, height, 3))
    return np.asarray(np.clip(picture, 0.0, 1.0), np.float32)


def _ocio() -> Any:
    import PyOpenColorIO  # noqa: PLC0415 - only who develops needs it

    return PyOpenColorIO


@lru_cache
def _view(view: str) -> Any:
    ocio = _ocio()
    configuration = ocio.Config.CreateFromBuiltinConfig(CONFIGURATION.removeprefix("ocio://"))
    transform = ocio.DisplayViewTransform(src=SCENE_LINEAR, display=DISPLAY, view=VIEWS[view])
    return configuration.getProcessor(transform).getDefaultCPUProcessor()


def _lut_of(path: Path) -> Any:
    stamp = path.stat()
    return _lut(str(path), stamp.st_mtime_ns, stamp.st_size)


@lru_cache(maxsize=8)
def _lut(path: str, mtime_ns: int, size: int) -> Any:
    """The table in a file; `mtime_ns` and `size` make an edited file another one."""
    del mtime_ns, size
    ocio = _ocio()
    # It keeps what it read by name, whatever the file has become.
    ocio.ClearAllCaches()
    transform = ocio.FileTransform(src=path, interpolation=ocio.INTERP_TETRAHEDRAL)
    return ocio.Config.CreateRaw().getProcessor(transform).getDefaultCPUProcessor()
