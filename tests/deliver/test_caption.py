"""A caption says what a frame is and leaves the frame as it is."""

from __future__ import annotations

import numpy as np
import pytest

from previz.deliver.caption import STRIP, captioned
from previz.deliver.surface import text_width

FRAME = np.full((360, 640, 3), 120, np.uint8)
SAID, MADE = "Café at noon · camera A · 50 mm, close-up, T2.9", "2026-11-28 · scene 3f2a9c41"


def test_under_the_frame_every_pixel_of_it_stays() -> None:
    found = captioned(FRAME, SAID, MADE)
    np.testing.assert_array_equal(found[:360], FRAME)
    strip = found[360:]
    assert 16 < len(strip) < 32, "one slim line"
    assert (strip == STRIP).all(axis=2).mean() > 0.6
    ink = np.flatnonzero((strip > 100).any(axis=(0, 2)))
    assert 10 <= ink[0] < 20 and 620 < ink[-1] <= 630, "from margin to margin"


def test_over_the_frame_its_size_stays_and_it_shows_through() -> None:
    found = captioned(FRAME, SAID, MADE, "over")
    assert found.shape == FRAME.shape
    np.testing.assert_array_equal(found[:320], FRAME[:320])
    ground = np.rint(0.3 * 120 + 0.7 * np.array(STRIP))
    np.testing.assert_array_equal(found[-1, 0], ground)


@pytest.mark.parametrize("width", [64, 320])
def test_in_a_small_frame_it_takes_more_lines_and_no_word_is_cut_in_two(width: int) -> None:
    small = FRAME[: width * 9 // 16, :width]
    found = captioned(small, SAID, MADE)
    assert found.shape[1] == width and len(found) > len(small) + 30
    edges = found[len(small) :][:, [0, 1, 2, -3, -2, -1]]
    assert (edges == STRIP).all(), "nothing is set over the edge"


def test_sheets_and_captions_have_letters_with_accents() -> None:
    assert text_width("é", 100) == pytest.approx(text_width("e", 100), rel=0.02)
