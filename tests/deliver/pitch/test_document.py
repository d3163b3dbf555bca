"""The pitch as a file, read back by other programs' eyes: pages, words, frames, type, colours."""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from zlib import crc32

import numpy as np
import pypdfium2
import pytest
from PIL import ImageCms

from previz import api
from previz.api.planning import layout_of
from previz.deliver.paper.lacking import lacking, settable
from previz.deliver.pitch.content import Captioned, Chapter, Cover, Place, Shot
from previz.deliver.pitch.document import write_pitch
from previz.deliver.pitch.frames import title_leaf
from previz.deliver.pitch.leaf import MARGIN_MM, Format, PitchPaper, even_lines, fitted_frame

pytestmark = pytest.mark.usefixtures("mannequins")
IMAGE = 3  # the number of image objects in that library
MM_PER_PT = 25.4 / 72.0


def picture(seed: int, wide: int = 64, high: int = 36) -> np.ndarray:
    return np.random.default_rng(seed).integers(0, 255, (high, wide, 3), np.uint8)


def shots(count: int, lines: tuple[str, ...] = ("Why it is there.",)) -> tuple[Shot, ...]:
    return tuple(
        Shot(name, picture(n), lines, "50 mm, close-up, T2.8")
        for n, name in enumerate("ABCDEF"[:count])
    )


def cells(*names: str) -> tuple[Captioned, ...]:
    return tuple(
        Captioned(name, picture(crc32(name.encode())), "what it is", "12 lx on the face")
        for name in names
    )


@pytest.fixture
def chapter(tmp_path: Path, plain: str) -> Chapter:
    """A chapter with all pages."""
    scene = tmp_path / "scene.yaml"
    scene.write_text(plain, encoding="utf-8")
    return Chapter(
        title="A plain room",
        line="One sentence.",
        by="Camera and light",
        cover=Cover(picture(77), 40.0),
        shots=shots(2),
        lights=cells("Key", "Fill", "All together"),
        light_said="It comes from the left.",
        read_on="Camera A, one light at a time.",
        alternatives=cells("As proposed", "Dusk"),
        hours=cells("09:00", "11:00", "13:00", "15:00", "17:00"),
        hours_said="Camera A through the day.",
        layout=layout_of(api.open_scene(scene)),
        place=Place(("A quiet hour.",), (("Power", "Two sockets."),), ("Who has the keys?",)),
        cautions=("Weigh down every stand.", "Local code decides."),
        close="That is all we need.",
        made_from="previz, scene 0123",
    )


Write = Callable[..., list[str]]


@pytest.fixture
def pages(tmp_path: Path) -> Write:
    """The words of each page of a pitch that was written."""

    def write(*chapters: Chapter, paper: PitchPaper = "a4") -> list[str]:
        write_pitch(tmp_path / "pitch.pdf", chapters, paper)
        document = pypdfium2.PdfDocument(tmp_path / "pitch.pdf")
        return [" ".join(page.get_textpage().get_text_range().split()) for page in document]

    return write


def test_every_part_has_its_page_in_order(chapter: Chapter, pages: Write) -> None:
    said = pages(chapter)
    wanted = [
        ("A plain room", "One sentence.", "Camera and light"),
        ("A", "Why it is there.", "50 mm, close-up, T2.8"),
        ("B", "Why it is there."),
        ("A", "B", "50 mm, close-up, T2.8"),
        ("The light", "It comes from the left.", "All together", "12 lx on the face"),
        ("Other looks", "As proposed", "Dusk"),
        ("Over the day", "09:00", "17:00"),
        ("The plan", "plan north up", "guest"),
        ("What the place must provide", "A quiet hour.", "Two sockets.", "Who has the keys?"),
        ("That is all we need.", "Before anyone builds it", "Weigh down", "scene 0123"),
    ]
    assert len(said) == len(wanted)
    for page, words in zip(said, wanted, strict=True):
        assert all(word in page for word in words), page
    assert [page.rsplit(" ", 1)[-1] for page in said[1:3]] != [said[0]]


@pytest.mark.parametrize(
    ("without", "gone"),
    [
        ({"lights": ()}, "The light"),
        ({"alternatives": ()}, "Other looks"),
        ({"hours": ()}, "Over the day"),
    ],
)
def test_a_part_that_is_not_there_has_no_page(
    chapter: Chapter, pages: Write, without: dict[str, tuple[()]], gone: str
) -> None:
    said = pages(replace(chapter, **without))
    assert len(said) == 9
    assert not any(gone in page for page in said)


@pytest.mark.parametrize(("count", "expected"), [(1, 8), (6, 14)])
def test_one_camera_has_nothing_beside_it_and_six_have_all(
    chapter: Chapter, pages: Write, count: int, expected: int
) -> None:
    assert len(pages(replace(chapter, shots=shots(count)))) == expected


def test_every_scene_opens_with_its_own_title(chapter: Chapter, pages: Write, tmp_path) -> None:
    said = pages(chapter, replace(chapter, title="Another room"))
    assert len(said) == 20
    assert "Another room" in said[10] and "Another room" not in said[9]
    document = pypdfium2.PdfDocument(tmp_path / "pitch.pdf")
    marks = [(mark.level, mark.get_title()) for mark in document.get_toc()]
    assert [title for level, title in marks if level == 0] == ["A plain room", "Another room"]
    assert (1, "Over the day") in marks and len(marks) == 20


@pytest.mark.parametrize("paper", ["a4", "letter", "wide"])
def test_pages_lie_and_nothing_leaves_its_page(
    chapter: Chapter, pages: Write, tmp_path: Path, paper: PitchPaper
) -> None:
    pages(chapter, paper=paper)
    wide, high = (mm / MM_PER_PT for mm in Format(paper).size_mm)
    for number, page in enumerate(pypdfium2.PdfDocument(tmp_path / "pitch.pdf")):
        assert page.get_size() == pytest.approx((wide, high), abs=0.1)
        # The title's frame alone runs to the edges.
        least = 0.0 if number == 0 else MARGIN_MM / MM_PER_PT - 0.1
        for thing in page.get_objects([IMAGE]):
            left, bottom, right, top = thing.get_bounds()
            assert (
                left >= least
                and right <= wide - least + 0.01
                and bottom >= 0.0
                and top <= high + 0.01
            )


def test_frames_are_whole_tagged_and_kept_once(
    chapter: Chapter, pages: Write, tmp_path: Path
) -> None:
    pages(chapter)
    file = tmp_path / "pitch.pdf"
    document = pypdfium2.PdfDocument(file)
    shown = [len(list(page.get_objects([IMAGE]))) for page in document]
    assert shown == [1, 1, 1, 2, 3, 2, 5, 0, 0, 0]
    for number, page in enumerate(document):
        for thing in page.get_objects([IMAGE]):
            left, bottom, right, top = thing.get_bounds()
            # Of the cover's 36 rows 29 are shown, all others whole.
            rows = 29 if number == 0 else 36
            assert (right - left) / (top - bottom) == pytest.approx(64 / rows, rel=1e-3)
    raw = file.read_bytes()
    # Frames of cameras stand on two pages and in the file once.
    assert raw.count(b"/Subtype /Image") == 1 + 2 + 3 + 2 + 5
    assert raw.count(b"/ICCBased") == raw.count(b"/Subtype /Image")
    assert b"/Lang" in raw
    stream = re.search(rb"/Length (\d+) /N 3\s*>>\s*stream\r?\n", raw)
    assert stream is not None and raw.count(b"/N 3") == 1
    packed = raw[stream.end() : stream.end() + int(stream[1])]
    profile = ImageCms.ImageCmsProfile(io.BytesIO(zlib.decompress(packed)))
    assert "sRGB" in ImageCms.getProfileDescription(profile)


def test_the_colours_of_a_frame_come_through(chapter: Chapter, pages: Write, tmp_path) -> None:
    flat = np.full((36, 64, 3), (200, 90, 40), np.uint8)
    pages(replace(chapter, cover=Cover(flat, 40.0)))
    page = pypdfium2.PdfDocument(tmp_path / "pitch.pdf")[0].render(scale=0.5).to_numpy()
    assert np.abs(page[40, 200, ::-1].astype(int) - (200, 90, 40)).max() <= 3


@pytest.mark.parametrize(("eyes_pct", "seen"), [(0.0, (0, 28)), (50.0, (6, 34)), (100.0, (7, 35))])
def test_the_cover_keeps_the_eyes_in_its_upper_half(
    eyes_pct: float, seen: tuple[int, int], chapter: Chapter
) -> None:
    """Rows of a 64 x 36 frame that are shown: 29 of them, the eyes at two fifths of that."""
    rows = np.broadcast_to(np.arange(36, dtype=np.uint8)[:, None, None], (36, 64, 3))
    leaf = title_leaf(replace(chapter, cover=Cover(rows, eyes_pct)), Format("a4"))
    [(_, shown)] = leaf.frames
    assert (shown[0, 0, 0], shown[-1, 0, 0]) == seen


def test_type_is_embedded_and_what_was_made_is_said(
    chapter: Chapter, pages: Write, tmp_path: Path
) -> None:
    pages(chapter)
    raw = (tmp_path / "pitch.pdf").read_bytes()
    fonts = set(re.findall(rb"/FontName /([A-Za-z+]+-[A-Za-z]+)", raw))
    assert fonts and all(b"+SourceSansPro" in font for font in fonts)
    assert raw.count(b"/FontFile2") == raw.count(b"/Type /FontDescriptor")
    told = pypdfium2.PdfDocument(tmp_path / "pitch.pdf").get_metadata_dict()
    assert (told["Title"], told["Author"]) == ("A plain room", "Camera and light")
    assert told["Subject"] == "One sentence."


def test_the_same_pitch_is_the_same_bytes(chapter: Chapter, pages: Write, tmp_path: Path) -> None:
    file = tmp_path / "pitch.pdf"
    pages(chapter)
    first = file.read_bytes()
    pages(chapter)
    assert file.read_bytes() == first


def test_long_words_stay_on_their_page(chapter: Chapter, pages: Write, tmp_path: Path) -> None:
    long = " ".join(["A sentence that goes on for much too long"] * 7)
    said = pages(
        replace(
            chapter, title=long, line=long, by=long, light_said=long, close=long,
            shots=shots(1, (long, long, "x" * 300)),
            place=Place((long,) * 8, (("Power", long),) * 8, (long,) * 12),
        )
    )  # fmt: skip
    assert len(said) > 8  # what the place is asked goes on
    document = pypdfium2.PdfDocument(tmp_path / "pitch.pdf")
    for page in document:
        wide, high = page.get_size()
        text = page.get_textpage()
        for number in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(number)
            assert left >= 0.0 and bottom >= 0.0 and right <= wide and top <= high


def test_letters_that_are_lacking_are_known_and_never_boxes(chapter: Chapter, pages: Write) -> None:
    assert lacking(["Łódź, Ωμέγα, Ёлка", "漢字 字"]) == ("漢", "字")
    assert settable("a\n 漢 b") == "a ? b"
    assert "Book ?? room" in pages(replace(chapter, title="Book 漢字 room"))[0]


def test_lines_are_even_and_frames_keep_their_shape() -> None:
    lines = even_lines("one two three four five six seven eight nine", "regular", 3.7, 50.0)
    assert len(lines) == 2 and len(lines[1].split()) > 1
    assert " ".join(lines) == "one two three four five six seven eight nine"
    tall = fitted_frame(picture(0, 30, 60), Format("a4").inner)
    assert tall.height == pytest.approx(Format("a4").inner.height)
    assert tall.width == pytest.approx(tall.height / 2.0)
