"""Open Image Denoise: a clean picture from few samples. For looking at, never for metering."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz.errors import MissingError
from previz.render.contract import Light

F32 = NDArray[np.float32]


def denoise(light: Light, quick: bool = False) -> F32:
    """Beauty (height, width, 3) in cd/m2 without noise; its mean stays within about 1 %.

    Behind a wide open lens albedo and normal are noisy too, so they are cleaned first and
    then trusted; `quick` takes them as they are, in a third of the time. Raises MissingError
    when the denoiser is not installed.
    """
    if quick:
        guides = {"albedo": np.clip(light.albedo, 0.0, 1.0), "normal": np.clip(light.normal, -1, 1)}
        return np.maximum(_clean({"color": light.beauty, **guides}, hdr=True), 0.0)
    albedo = _clean({"albedo": np.clip(light.albedo, 0.0, 1.0)})
    normal = _clean({"normal": np.clip(light.normal, -1.0, 1.0)})
    images = {"color": light.beauty, "albedo": albedo, "normal": normal}
    return np.maximum(_clean(images, hdr=True, clean_aux=True), 0.0)


def _clean(images: dict[str, F32], **flags: bool) -> F32:
    """Run the filter on its first image, guided by the others."""
    filter_ = _device().new_filter("RT")
    kept = {name: np.ascontiguousarray(image, np.float32) for name, image in images.items()}
    output = np.empty_like(next(iter(kept.values())))
    for name, image in kept.items():
        filter_.set_image(name, image)
    filter_.set_image("output", output)
    for name, value in flags.items():
        filter_.set_bool("cleanAux" if name == "clean_aux" else name, value)
    filter_.execute()
    return output


def _device() -> Any:
    """A processor device: the same on every machine, and safe where the default one crashes."""
    try:
        import mitsuba_oidn  # noqa: PLC0415 - only who denoises needs it
    except ImportError as error:
        raise MissingError(
            "the denoiser is not installed: pip install mitsuba-oidn, or render with --no-denoise"
        ) from error
    device = mitsuba_oidn.Device(mitsuba_oidn.DeviceType.CPU)
    device.commit()
    return device
