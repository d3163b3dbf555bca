"""A pitch as one PDF: frames as sRGB, type embedded, an outline, the same bytes each time."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image, ImageCms
from reportlab.lib.units import mm  # type: ignore[import-untyped]
from reportlab.pdfbase import pdfdoc  # type: ignore[import-untyped]
from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped]

from previz.deliver.files import whole_file
from previz.deliver.paper.figure import Box, fitted
from previz.deliver.paper.pages import draw_figure
from previz.deliver.pitch.content import Chapter, Picture
from previz.deliver.pitch.frames import grid_leaves, shot_leaf, side_by_side, title_leaf
from previz.deliver.pitch.leaf import FOOT_MM, SMALL_MM, Format, Leaf, PitchPaper
from previz.deliver.pitch.words import closing_leaf, place_leaves, plan_leaf

JPEG_QUALITY = 93
PROFILE = "sRGB"
_MADE_AT, _DIGEST = slice(24, 36), slice(84, 100)
"""Where a profile says when it was made, and its digest: ICC.1:2010, header (from memory)."""
LANGUAGE = "en"


class _Frame(pdfdoc.PDFObject):  # type: ignore[misc]
    """A JPEG as it is, byte for byte, its colours told by an ICC profile."""

    def __init__(self, picture: Picture, jpeg: bytes, profile: Any) -> None:
        self.size, self.jpeg, self.profile = picture.shape[:2], jpeg, profile

    def format(self, document: Any) -> Any:
        """The object as it stands in the file."""
        height, width = self.size
        entries = {
            "Type": pdfdoc.PDFName("XObject"),
            "Subtype": pdfdoc.PDFName("Image"),
            "Width": width,
            "Height": height,
            "BitsPerComponent": 8,
            "ColorSpace": pdfdoc.PDFArray([pdfdoc.PDFName("ICCBased"), self.profile]),
            "Filter": pdfdoc.PDFName("DCTDecode"),
        }
        return pdfdoc.PDFStream(pdfdoc.PDFDictionary(entries), self.jpeg).format(document)


def _profile() -> Any:
    """The sRGB profile as a stream, without the moment at which it was made."""
    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    made[_MADE_AT], made[_DIGEST] = bytes(12), bytes(16)
    stream = pdfdoc.PDFStream(content=bytes(made), filters=[pdfdoc.PDFZCompress])
    stream.dictionary["N"] = 3
    stream.dictionary["Alternate"] = pdfdoc.PDFName("DeviceRGB")
    return stream


def _as_jpeg(picture: Picture) -> bytes:
    """With all its colour: no pixel shares its colour with its neighbours."""
    held = io.BytesIO()
    image = Image.fromarray(picture)
    image.save(held, format="JPEG", quality=JPEG_QUALITY, subsampling=0, optimize=True)
    return held.getvalue()


@dataclass(frozen=True)
class Page:
    """What the document's outline says: the name of a page, and under which title it stands."""

    name: str
    chapter: str


def leaves_of(chapter: Chapter, form: Format) -> Iterator[Leaf]:
    """All pages of one scene in their order. ScaleError when its plan fits no page."""
    yield title_leaf(chapter, form)
    for shot in chapter.shots:
        yield shot_leaf(shot, form)
    if len(chapter.shots) > 1:
        yield side_by_side(chapter.shots, form)
    yield from grid_leaves("The light", chapter.lights, form, chapter.light_said, chapter.read_on)
    yield from grid_leaves("Other looks", chapter.alternatives, form)
    yield from grid_leaves("Over the day", chapter.hours, form, chapter.hours_said)
    yield plan_leaf(chapter.layout, form)
    yield from place_leaves(chapter.place, form)
    yield closing_leaf(chapter, form)


def write_pitch(path: Path, chapters: Sequence[Chapter], paper: PitchPaper) -> tuple[Page, ...]:
    """Write the document and say which pages it has.

    OutputError when it cannot be written; ScaleError when a plan fits no page.
    """
    form = Format(paper)
    bound = [(chapter, leaf) for chapter in chapters for leaf in leaves_of(chapter, form)]
    first = chapters[0]
    with whole_file(path) as fresh:
        canvas = Canvas(str(fresh), invariant=1, lang=LANGUAGE, pageCompression=1)
        canvas.setTitle(" / ".join(chapter.title for chapter in chapters))
        canvas.setAuthor(first.by or "previz")
        canvas.setSubject(first.line or "Pitch of a filmed interview")
        canvas.setCreator(first.made_from)
        printer = _Printer(canvas, form)
        for number, (chapter, leaf) in enumerate(bound, start=1):
            printer.page(leaf, chapter, number)
        canvas.showOutline()
        canvas.save()
    return tuple(Page(leaf.name, chapter.title) for chapter, leaf in bound)


class _Printer:
    """Puts leaves on a canvas."""

    def __init__(self, canvas: Canvas, form: Format) -> None:
        self.canvas, self.form = canvas, form
        self.profile = canvas._doc.Reference(_profile(), PROFILE)

    def page(self, leaf: Leaf, chapter: Chapter, number: int) -> None:
        """One page, and its line in the outline."""
        canvas, (wide, high) = self.canvas, self.form.size_mm
        canvas.setPageSize((wide * mm, high * mm))
        if leaf.tones.page < 1.0:
            self._panel(Box(0.0, 0.0, wide, high), leaf.tones.page)
        for panel in leaf.panels:
            self._panel(panel, 1.0)
        for box, picture in leaf.frames:
            self._picture(box, picture)
        opens = leaf.name == chapter.title
        if not opens:
            self._foot(leaf, chapter, number)
        for figure in (*leaf.drawings, leaf.figure):
            draw_figure(canvas, figure)
        key = f"page-{number}"
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(leaf.name, key, level=0 if opens else 1)
        canvas.showPage()

    def _foot(self, leaf: Leaf, chapter: Chapter, number: int) -> None:
        """Title and number of the page, small."""
        inner, y = self.form.inner, self.form.size_mm[1] - FOOT_MM - SMALL_MM
        title = fitted(" ".join(chapter.title.split()), "regular", SMALL_MM, inner.width - 20.0)
        leaf.line((inner.left, y), title, SMALL_MM, grey=leaf.tones.faint)
        leaf.line((inner.right, y), str(number), SMALL_MM, grey=leaf.tones.faint, anchor="end")

    def _panel(self, box: Box, grey: float) -> None:
        self.canvas.setFillGray(grey)
        self.canvas.rect(*self._at(box), stroke=0, fill=1)

    def _picture(self, box: Box, picture: Picture) -> None:
        """A frame in its box; one that stands on several pages is kept once."""
        canvas, jpeg = self.canvas, _as_jpeg(picture)
        name = f"frame-{hashlib.sha256(jpeg).hexdigest()[:16]}"
        if not canvas.hasForm(name):
            canvas._doc.addForm(name, _Frame(picture, jpeg, self.profile))
        left, bottom, width, height = self._at(box)
        canvas.saveState()
        canvas.translate(left, bottom)
        canvas.scale(width, height)
        canvas.doForm(name)
        canvas.restoreState()

    def _at(self, box: Box) -> tuple[float, float, float, float]:
        bottom = self.form.size_mm[1] - box.bottom
        return box.left * mm, bottom * mm, box.width * mm, box.height * mm
