"""A film as it comes out of the file again: every frame, when, how large, in which colours."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from previz.deliver.film import exact_rate, write_film
from previz.errors import OutputError

PATCHES = ((235, 235, 235), (16, 16, 16), (200, 60, 50), (60, 160, 70), (50, 70, 190),
           (118, 118, 118), (214, 172, 148))  # fmt: skip


def patches(height: int = 96, width: int = 168) -> np.ndarray:
    """Upright bars of even colours, skin among them."""
    picture = np.zeros((height, width, 3), np.uint8)
    for number, colour in enumerate(PATCHES):
        picture[:, number * width // 7 : (number + 1) * width // 7] = colour
    return picture


def ramp(count: int) -> Iterator[np.ndarray]:
    """Frames each brighter than the one before."""
    for number in range(count):
        yield np.full((64, 96, 3), 20 + 4 * number, np.uint8)


@dataclass(frozen=True)
class Film:
    """What a player finds."""

    frames: list[np.ndarray]
    times: list[Fraction]
    stream: dict[str, object]
    title: str


def read(path: Path) -> Film:
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        decoded = list(container.decode(stream))
        context = stream.codec_context
        found = {
            "codec": context.name,
            "pixels": context.pix_fmt,
            "rate": stream.average_rate,
            "size": (context.width, context.height),
            "colour": (context.colorspace, context.color_primaries, context.color_trc),
            "range": context.color_range,
        }
        return Film(
            [frame.to_ndarray(format="rgb24") for frame in decoded],
            [frame.pts * frame.time_base for frame in decoded],
            found,
            container.metadata.get("title", ""),
        )


@pytest.mark.parametrize(
    ("fps", "rate"),
    [
        (25.0, Fraction(25)),
        (24.0, Fraction(24)),
        (23.976, Fraction(24000, 1001)),
        (23.98, Fraction(24000, 1001)),
        (29.97, Fraction(30000, 1001)),
        (59.94, Fraction(60000, 1001)),
        (12.5, Fraction(25, 2)),
    ],
)
def test_every_frame_is_there_and_on_time(tmp_path: Path, fps: float, rate: Fraction) -> None:
    assert exact_rate(fps) == rate
    write_film(tmp_path / "a.mp4", ramp(31), rate)
    film = read(tmp_path / "a.mp4")
    assert film.stream["rate"] == rate
    assert film.times == [number / rate for number in range(31)]
    levels = [float(frame.mean()) for frame in film.frames]
    assert levels == pytest.approx([20 + 4 * n for n in range(31)], abs=2.0)


def test_it_is_what_players_play(tmp_path: Path) -> None:
    path = tmp_path / "a.mp4"
    write_film(path, ramp(5), Fraction(25), {"title": "Workshop, move slide"})
    film = read(path)
    assert film.stream["codec"] == "h264"
    assert film.stream["pixels"] == "yuv420p"
    assert film.stream["colour"] == (1, 1, 1), "BT.709 by number in ITU-T H.273"
    assert film.stream["range"] == 1, "video range"
    assert film.title == "Workshop, move slide"
    content = path.read_bytes()
    assert 0 < content.find(b"moov") < content.find(b"mdat"), "the index comes first"


def test_colours_come_back_within_a_few_code_values(tmp_path: Path) -> None:
    write_film(tmp_path / "a.mp4", (patches() for _ in range(4)), Fraction(25))
    for frame in read(tmp_path / "a.mp4").frames:
        for number, colour in enumerate(PATCHES):
            middle = frame[20:76, number * 24 + 8 : number * 24 + 16].reshape(-1, 3)
            assert middle.mean(axis=0) == pytest.approx(colour, abs=3.0)


@pytest.mark.parametrize("size", [(97, 168), (96, 167), (97, 167)])
def test_an_odd_size_repeats_its_last_row_or_column(tmp_path: Path, size: tuple[int, int]) -> None:
    height, width = size
    write_film(tmp_path / "a.mp4", [patches(*size)] * 2, Fraction(25))
    film = read(tmp_path / "a.mp4")
    assert film.stream["size"] == (width + width % 2, height + height % 2)
    assert film.frames[0][-1, -4].astype(int) == pytest.approx(PATCHES[-1], abs=6)
    assert film.frames[0][-1, -1].astype(int) == pytest.approx(PATCHES[-1], abs=6)


def stopped(frames: Iterator[np.ndarray], error: BaseException) -> Iterator[np.ndarray]:
    yield from frames
    raise error


def test_a_stop_leaves_no_half_film_and_an_older_one_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.mp4"
    with pytest.raises(KeyboardInterrupt):
        write_film(path, stopped(ramp(40), KeyboardInterrupt()), Fraction(25))
    assert list(tmp_path.iterdir()) == []
    write_film(path, ramp(3), Fraction(25))
    whole = path.read_bytes()
    with pytest.raises(KeyboardInterrupt):
        write_film(path, stopped(ramp(40), KeyboardInterrupt()), Fraction(25))
    assert path.read_bytes() == whole
    assert list(tmp_path.iterdir()) == [path]


def test_what_is_no_film_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="at least one frame"):
        write_film(tmp_path / "a.mp4", [], Fraction(25))
    with pytest.raises(ValueError, match="frame 1 is"):
        write_film(tmp_path / "a.mp4", [patches(), patches(64)], Fraction(25))
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_way_of_its_folder_is_said(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("here")
    with pytest.raises(OutputError, match="is a file and a folder is wanted"):
        write_film(tmp_path / "out" / "a.mp4", ramp(2), Fraction(25))
