"""Open Image Denoise: a clean picture from few samples. For looking at, never for metering."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz.errors import MissingError
from previz.render.qualities import Quality

F32 = NDArray[np.float32]


@dataclass(frozen=True)
class Care:
    """How a picture is cleaned: `network` is the library's word, `guides_first` cleans them too."""

    network: str
    guides_first: bool


CARE: dict[Quality, Care] = {
    "draft": Care("Fast", guides_first=False),
    "review": Care("Balanced", guides_first=True),
    "final": Care("High", guides_first=True),
}
"""By quality of the picture. Of one frame with 7 samples, against 4,096 samples, the relative RMS
error is 11.8, 11.4 and 11.1 %, in 0.13, 0.67 and 1.61 s at 480 x 270 on two AVX2 cores."""


class Denoiser:
    """Cleans pictures on the processor, or on the graphics card where the light was computed.

    Both give the same picture within a code value or two. Raises MissingError when the denoiser
    is not installed.
    """

    def __init__(self, card: bool = False) -> None:
        found = _card() if card else None
        self.on_card = found is not None
        self._device: Any = found if self.on_card else _processor()

    def clean(self, colour: F32, albedo: F32, normal: F32, quality: Quality = "final") -> F32:
        """Beauty (height, width, 3) in cd/m2 without noise; its mean stays within about 1 %.

        albedo   (height, width, 3) reflectance of what is seen first
        normal   (height, width, 3) its normal
        quality  of the picture, see `CARE`; a card always takes the greatest care, in a blink
        """
        return next(self.clean_each([colour], albedo, normal, quality))

    def clean_each(
        self, colours: Iterable[F32], albedo: F32, normal: F32, quality: Quality = "final"
    ) -> Iterator[F32]:
        """As `clean`, for several lights on what one camera sees: its guides are cleaned once."""
        care = CARE["final" if self.on_card else quality]
        guides = {"albedo": np.clip(albedo, 0.0, 1.0), "normal": np.clip(normal, -1.0, 1.0)}
        if care.guides_first:
            # Behind a wide open lens they are noisy too: cleaned first, then trusted.
            guides = {name: self._filter({name: image}, care) for name, image in guides.items()}
        for colour in colours:
            images = {"color": colour, **guides}
            clean = self._filter(images, care, hdr=True, cleanAux=care.guides_first)
            yield np.maximum(clean, 0.0)

    def _filter(self, images: dict[str, F32], care: Care, **flags: bool) -> F32:
        """Run the filter on its first image, guided by the others."""
        filter_ = self._device.new_filter("RT")
        filter_.quality = getattr(_library().Quality, care.network)
        kept = {name: np.ascontiguousarray(image, np.float32) for name, image in images.items()}
        output = np.empty_like(next(iter(kept.values())))
        bound: dict[str, Any] = {**kept, "output": output}
        if self.on_card:
            bound = {name: self._carried(filter_, name, image) for name, image in bound.items()}
        else:
            for name, image in bound.items():
                filter_.set_image(name, image)
        for name, value in flags.items():
            filter_.set_bool(name, value)
        filter_.execute()
        if self.on_card:
            bound["output"].read(output)
        return output

    def _carried(self, filter_: Any, name: str, image: F32) -> Any:
        """A copy of an image in the card's memory, bound to the filter."""
        import mitsuba_oidn as oidn  # noqa: PLC0415

        buffer = self._device.new_buffer(image.nbytes, oidn.Storage.Device)
        if name != "output":
            buffer.write(image)
        height, width = image.shape[:2]
        filter_.set_image(name, buffer, format=oidn.Format.Float3, width=width, height=height)
        return buffer


def _processor() -> Any:
    """A processor device: the same on every machine, and safe where the default one crashes."""
    oidn = _library()
    device = oidn.Device(oidn.DeviceType.CPU)
    device.commit()
    return device


def _card() -> Any:
    """The graphics card as a device; None where the library cannot use it."""
    oidn = _library()
    try:
        device = oidn.Device(oidn.DeviceType.CUDA)
        device.commit()
    except (oidn.Error, RuntimeError):
        return None
    return device


def _library() -> Any:
    try:
        import mitsuba_oidn  # noqa: PLC0415 - only who denoises needs it
    except ImportError as error:
        raise MissingError(
            "the denoiser is not installed: pip install mitsuba-oidn, or render with --no-denoise"
        ) from error
    return mitsuba_oidn
