"""A figure as SVG in real millimetres: every thing a group by its name, its numbers beside it."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from pathlib import Path as File

from previz.deliver.files import write_text
from previz.deliver.paper.faces import FAMILY, width_of
from previz.deliver.paper.figure import Array, Circle, Figure, Group, Item, Path, Pen, Text

FALLBACK = "sans-serif"
WEIGHTS = {"light": 300, "regular": 400, "italic": 400, "semibold": 600, "bold": 700}


def write_svg(path: File, figure: Figure) -> None:
    """Write a figure whole. Raises OutputError when it cannot be written."""
    write_text(path, svg_of(figure))


def svg_of(figure: Figure) -> str:
    """The text of an SVG 1.1 document; the same figure gives the same bytes."""
    wide, high = _number(figure.width_mm), _number(figure.height_mm)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}" role="img" aria-labelledby="title description"'
        f"{_data(figure.data)}>"
    )
    return "\n".join(
        (
            '<?xml version="1.0" encoding="UTF-8"?>',
            head,
            f'<title id="title">{escape(figure.title)}</title>',
            f'<desc id="description">{escape(figure.description)}</desc>',
            f'<rect width="{wide}" height="{high}" fill="#ffffff"/>',
            f'<g font-family="\'{FAMILY}\', {FALLBACK}" stroke-linejoin="round">',
            *(_group(group) for group in figure.groups),
            "</g>",
            "</svg>",
            "",
        )
    )


def _group(group: Group) -> str:
    name = f' id="{escape(group.id)}"' if group.id else ""
    items = "\n".join(_item(item) for item in group.items)
    return f'<g{name} data-kind="{escape(group.kind)}"{_data(group.data)}>\n{items}\n</g>'


def _data(data: Mapping[str, str]) -> str:
    return "".join(f' data-{key}="{escape(value)}"' for key, value in data.items())


def _item(item: Item) -> str:
    if isinstance(item, Text):
        return _text(item)
    style = _style(item.pen, item.fill)
    if isinstance(item, Circle):
        x, y = (_number(value) for value in item.at_mm)
        return f'<circle cx="{x}" cy="{y}" r="{_number(item.radius_mm)}"{style}/>'
    return f'<path d="{_rings(item)}"{style}/>'


def _rings(path: Path) -> str:
    end = "Z" if path.closed else ""
    return " ".join(f"M{_points(ring)}{end}" for ring in path.rings)


def _points(ring: Array) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in ring)


def _style(pen: Pen | None, fill: float | None) -> str:
    inside = "none" if fill is None else _grey(fill)
    rule = "" if fill is None else ' fill-rule="evenodd"'
    if pen is None:
        return f' fill="{inside}"{rule}'
    dash = " ".join(_number(length) for length in pen.dash_mm)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    width = _number(pen.width_mm)
    return f' fill="{inside}"{rule} stroke="{_grey(pen.grey)}" stroke-width="{width}"{dashed}'


def _text(text: Text) -> str:
    x, y = (_number(value) for value in text.at_mm)
    # Whatever face stands in where ours is not installed is set as wide as was measured.
    wide = _number(width_of(text.text, text.face, text.size_mm))
    slant = ' font-style="italic"' if text.face == "italic" else ""
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    return (
        f'<text x="{x}" y="{y}" font-size="{_number(text.size_mm)}" '
        f'textLength="{wide}" lengthAdjust="spacingAndGlyphs" '
        f'font-weight="{WEIGHTS[text.face]}"{slant}{anchor} fill="{_grey(text.grey)}">'
        f"{escape(text.text)}</text>"
    )


def _grey(value: float) -> str:
    return "#" + f"{round(255 * value):02x}" * 3


def _number(value: float) -> str:
    """A ten-thousandth of a millimetre: at 1:200 a fiftieth of one on the set."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
