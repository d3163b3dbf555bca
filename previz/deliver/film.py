"""A move as a film: H.264 in an MP4 that starts playing before all of it is there."""

from __future__ import annotations

import errno
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from previz.deliver.behind import Behind
from previz.deliver.files import whole_file
from previz.errors import MissingError

if TYPE_CHECKING:
    import av
    from av.video.stream import VideoStream

Picture = NDArray[np.uint8]

CODEC = "libx264"
QUALITY = {"crf": "16", "preset": "veryfast"}
"""Constant quality at which nobody sees the difference, and little time for it."""
MOVIE_RATES = (24, 30, 48, 60, 120)
NEAR_HZ = 0.005
"""People write 23.98 or 23.976 and mean 24000/1001."""


def exact_rate(fps: float) -> Fraction:
    """Frames a second as a fraction; 23.976, 29.97 and their like are n x 1000 / 1001."""
    for whole in MOVIE_RATES:
        exact = Fraction(whole * 1000, 1001)
        if abs(fps - exact) < NEAR_HZ:
            return exact
    return Fraction(fps).limit_denominator(1000)


def write_film(
    path: Path, frames: Iterable[Picture], rate: Fraction, notes: dict[str, str] | None = None
) -> None:
    """Write frames (height, width, 3) as an MP4 of `rate`, all of them or nothing.

    H.264, 4:2:0, flagged as BT.709 in video range; frames of an odd width or height repeat their
    last column or row, for 4:2:0 has none. While one is encoded on a thread of its own, the next is
    taken out of `frames`: none may be written to afterwards.

    ValueError without a frame, or when sizes differ; OutputError when it cannot be written,
    MissingError when nothing here encodes H.264.
    """
    stream_of = iter(frames)
    first = next(stream_of, None)
    if first is None:
        raise ValueError("a film needs at least one frame")
    with whole_file(path) as fresh, _told_as_os_errors(), _container(fresh) as container:
        container.metadata.update(notes or {})
        stream = _stream(container, first.shape, rate)

        def encode(number: int, picture: Picture) -> None:
            container.mux(stream.encode(_frame(picture, number, rate)))

        with Behind(encode) as encoder:
            for number, picture in enumerate(chain([first], stream_of)):
                if picture.shape != first.shape:
                    raise ValueError(f"frame {number} is {picture.shape}, the first {first.shape}")
                encoder.take(number, picture)
        container.mux(stream.encode())


@contextmanager
def _container(path: Path) -> Iterator[av.container.OutputContainer]:
    import av  # noqa: PLC0415 - who writes no film need not have it

    # The index goes to the front, so that a page can play it while it loads.
    with av.open(str(path), "w", format="mp4", options={"movflags": "faststart"}) as container:
        yield container


def _stream(
    container: av.container.OutputContainer, shape: tuple[int, ...], rate: Fraction
) -> VideoStream:
    from av.codec.codec import Codec, UnknownCodecError  # noqa: PLC0415
    from av.video.reformatter import (  # noqa: PLC0415
        ColorPrimaries,
        ColorRange,
        Colorspace,
        ColorTrc,
    )
    from av.video.stream import VideoStream  # noqa: PLC0415

    try:
        Codec(CODEC, "w")
    except UnknownCodecError as error:
        raise MissingError(
            "nothing here encodes H.264: pip install --force-reinstall av, whose own build does"
        ) from error
    stream = container.add_stream(CODEC, rate=rate, options=dict(QUALITY))
    assert isinstance(stream, VideoStream)
    stream.height, stream.width = (side + side % 2 for side in shape[:2])
    stream.pix_fmt = "yuv420p"
    stream.time_base = 1 / rate
    context = stream.codec_context
    context.color_range = ColorRange.MPEG
    context.colorspace = Colorspace.ITU709
    context.color_primaries = ColorPrimaries.BT709
    context.color_trc = ColorTrc.BT709
    return stream


def _frame(picture: Picture, number: int, rate: Fraction) -> av.VideoFrame:
    import av  # noqa: PLC0415
    from av.video.reformatter import (  # noqa: PLC0415
        ColorRange,
        Colorspace,
        Interpolation,
    )

    height, width = picture.shape[:2]
    if height % 2 or width % 2:
        picture = np.pad(picture, ((0, height % 2), (0, width % 2), (0, 0)), "edge")
    frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(picture), format="rgb24")
    frame = frame.reformat(
        format="yuv420p",
        src_color_range=ColorRange.JPEG,
        dst_colorspace=Colorspace.ITU709,
        dst_color_range=ColorRange.MPEG,
        interpolation=Interpolation.AREA | Interpolation.ACCURATE_RND,
    )
    frame.pts, frame.time_base = number, 1 / rate
    return frame


@contextmanager
def _told_as_os_errors() -> Iterator[None]:
    """The library has errors of its own for a full disk and the like."""
    import av  # noqa: PLC0415

    try:
        yield
    except av.error.FFmpegError as error:
        raise OSError(error.errno or errno.EIO, error.strerror or str(error)) from error
