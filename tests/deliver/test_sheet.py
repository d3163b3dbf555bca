"""The comparison sheet: frames of one size, only what differs, both files sound."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from previz.deliver.pdf import PdfSurface, new_canvas
from previz.deliver.sheet import (
    A4_LANDSCAPE_PT,
    WIDTH_PX,
    Cell,
    Group,
    Sheet,
    _draw,
    differing,
    draw_sheet,
    write_pdf,
    write_png,
)


def sheet(cells: int, groups: int = 1) -> Sheet:
    rows = (("distance", "2.25 m"), ("depth of field", "0.21 m"))
    colours = [(200, 30, 30), (30, 200, 30), (30, 30, 200), (200, 200, 30)]
    made = tuple(
        Cell(f"{n} mm", np.full((180, 320, 3), colours[n % 4], np.uint8), rows, "A remark. " * n)
        for n in range(cells)
    )
    title = "A very " + "long " * 60 + "title"
    return Sheet(title, "Camera A", (Group("Heading", made),) * groups, "foot")


def extent(page: np.ndarray, colour: tuple[int, int, int]) -> tuple[int, int]:
    rows, columns = np.nonzero((page == colour).all(axis=2))
    return int(columns.max() - columns.min() + 1), int(rows.max() - rows.min() + 1)


def test_frames_are_side_by_side_at_the_same_size() -> None:
    page = np.asarray(draw_sheet(sheet(3)))
    sizes = {extent(page, c) for c in [(200, 30, 30), (30, 200, 30), (30, 30, 200)]}
    assert len(sizes) == 1
    width, height = sizes.pop()
    assert width > 700 and abs(width / height - 16 / 9) < 0.01


def test_nothing_is_drawn_over_the_edge() -> None:
    page = np.asarray(draw_sheet(sheet(4)))
    margin = np.concatenate([page[:, :40].ravel(), page[:, -40:].ravel(), page[-40:].ravel()])
    assert (margin == 255).all()


def test_only_numbers_that_differ_are_shown() -> None:
    rows = differing([{"a": "1", "b": "2", "c": "3"}, {"a": "1", "b": "4"}])
    assert rows == [(("b", "2"), ("c", "3")), (("b", "4"),)]


def test_both_files_are_whole_and_the_pdf_repeats_to_the_byte(tmp_path: Path) -> None:
    write_png(tmp_path / "s.png", sheet(2, groups=2))
    with Image.open(tmp_path / "s.png") as image:
        image.verify()
    write_pdf(tmp_path / "a.pdf", sheet(2, groups=2))
    write_pdf(tmp_path / "b.pdf", sheet(2, groups=2))
    data = (tmp_path / "a.pdf").read_bytes()
    assert data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF")
    assert data.count(b"/Type /Page\n") == 2
    assert data == (tmp_path / "b.pdf").read_bytes()


def test_cautions_stand_on_the_sheet_in_full_and_take_their_own_room() -> None:
    plain = sheet(2)
    warned = replace(plain, cautions=("Weigh down every stand. " * 12, "Local code decides."))
    bare, told = (np.asarray(draw_sheet(one)) for one in (plain, warned))
    more = told.shape[0] - bare.shape[0]
    assert more > 60
    written = told[bare.shape[0] - 130 : -100]
    assert (written < 128).any(), "words where the bare sheet ends"
    # What stands above and the margins are as before.
    assert (told[: bare.shape[0] - 200] == bare[: bare.shape[0] - 200]).all()
    assert (told[:, -40:] == 255).all() and (told[-40:] == 255).all()


class Written:
    """A surface that keeps what is written on it, and where."""

    def __init__(self) -> None:
        self.lines: list[tuple[str, float, float]] = []

    def line(self, at: tuple[float, float], text: str, *_: object) -> None:
        self.lines.append((text, *at))

    def rule(self, *_: object) -> None: ...

    def picture(self, at: tuple[float, float], image: Image.Image) -> None:
        self.lines.append((f"{image.width} x {image.height}", *at))


def test_all_words_of_a_sheet_are_written_each_frame_over_its_own() -> None:
    surface = Written()
    _draw(sheet(2), surface)
    texts = [text for text, _, _ in surface.lines]
    for said in ("Camera A", "Heading", "0 mm", "1 mm", "A remark.", "foot"):
        assert texts.count(said) == 1, said
    for said in ("distance", "2.25 m", "depth of field", "0.21 m"):
        assert texts.count(said) == 2, said
    columns: dict[bool, list[tuple[str, float]]] = {True: [], False: []}
    for text, x, y in surface.lines[3:-1]:
        columns[x < WIDTH_PX / 2].append((text, y))
    for column in columns.values():
        assert [y for _, y in column] == sorted(y for _, y in column)
    assert [text.endswith(" mm") for text, _ in columns[True]].index(True) == 1


def test_a_page_of_the_pdf_is_upright_and_fills_the_width(tmp_path: Path) -> None:
    canvas = new_canvas(tmp_path / "a.pdf", "upright", A4_LANDSCAPE_PT)
    drawn: list[tuple[float, float, str]] = []
    canvas.drawString = lambda x, y, text: drawn.append((x, y, text))
    size_px = (WIDTH_PX, 1000)
    surface = PdfSurface(canvas, A4_LANDSCAPE_PT, size_px)
    for place, text in (((0, 0), "top"), ((WIDTH_PX, 900), "low")):
        surface.line(place, text, 10, (0, 0, 0))
    (left, top, _), (right, low, _) = drawn
    assert (left, right) == pytest.approx((0.0, A4_LANDSCAPE_PT[0]))
    point = A4_LANDSCAPE_PT[0] / WIDTH_PX
    assert top == pytest.approx(A4_LANDSCAPE_PT[1] - 0.984 * 10 * point)
    assert top - low == pytest.approx(900 * point)
