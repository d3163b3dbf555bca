"""The faces of type that all paper is set in, embedded into every document.

One sans serif family under the SIL Open Font License 1.1, from the package font-source-sans-pro.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import Literal

Face = Literal["regular", "italic", "semibold", "bold", "light"]
FAMILY = "Source Sans Pro"
"""The family's name, as other programs know it."""
ASCENT, DESCENT, CAP_HEIGHT = 0.750, 0.250, 0.660
"""Shares of the size: of the tallest letters, of what hangs below the line, of capitals."""
_FILES: dict[Face, str] = {
    "regular": "Regular",
    "italic": "It",
    "semibold": "Semibold",
    "bold": "Bold",
    "light": "Light",
}


def font_file(face: Face) -> Path:
    """The TrueType file of a face."""
    package = find_spec("font_source_sans_pro")
    if package is None or package.origin is None:
        raise RuntimeError("font-source-sans-pro is not installed, or without its files")
    return Path(package.origin).parent / "files" / f"SourceSansPro-{_FILES[face]}.ttf"


def pdf_font(face: Face) -> str:
    """The name under which PDF documents of this process know a face."""
    from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped]  # noqa: PLC0415
    from reportlab.pdfbase.ttfonts import TTFont  # type: ignore[import-untyped]  # noqa: PLC0415

    name = f"previz-{face}"
    if name not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(name, str(font_file(face))))
    return name


def width_of(text: str, face: Face, size: float) -> float:
    """How wide a line of text is set, in the unit of its size."""
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415 - a caption sets type without it

    return float(pdfmetrics.stringWidth(text, pdf_font(face), size))
