"""The crew's paper of a set: plan, elevations and setting-out table as whole pages.

`plan_pages` gives the pages, for a document of their own or as part of another; `plan.draw_plan`
gives the bare drawing for a page of any size.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from previz.deliver.files import write_text
from previz.deliver.paper.elevation import draw_elevations
from previz.deliver.paper.figure import Box, Figure
from previz.deliver.paper.legend import draw_legend, legend_height_mm
from previz.deliver.paper.pages import write_pages
from previz.deliver.paper.plan import draw_plan
from previz.deliver.paper.setting_out import table_pages
from previz.deliver.paper.sheet import Imprint, Paper, Sheet, title_block
from previz.deliver.paper.svg import write_svg
from previz.deliver.paper.view import ScaleError
from previz.measure.setting_out.layout import Layout
from previz.telling.setting_out import table_rows
from previz.telling.tape import Units
from previz.version import version

DIGEST_LETTERS = 12
PLAN_SVG, ELEVATIONS_SVG = "plan.svg", "elevations.svg"
PLAN_PDF, TABLE = "plan.pdf", "setting_out.csv"


@dataclass(frozen=True, eq=False)
class PlanPages:
    """Pages in their order: the plan, the elevations, then the table; scales of the first two."""

    pages: tuple[Figure, ...]
    scale: int
    elevation_scale: int


def plan_pages(
    layout: Layout, paper: Paper = "a4", units: Units = "metres", scale: int | None = None
) -> PlanPages:
    """All pages of a plan. ScaleError when the drawing does not fit the paper."""
    made_from = f"previz {version()}, scene {layout.digest[:DIGEST_LETTERS]}"
    imprint = Imprint(layout.title, made_from, paper, units)
    plan, plan_sheet = _largest(imprint, lambda sheet: _plan(layout, sheet, units, scale))
    # An elevation is less crowded: it takes the scale it can have, unless one is asked for.
    sides, side_sheet = _largest(
        imprint, lambda sheet: draw_elevations(
            layout, sheet.page_mm, units, box=sheet.inner.inset(2.0), scale=scale
        ),
    )  # fmt: skip
    table_sheet = Sheet(imprint, upright=False)
    tables = table_pages(layout, table_sheet)
    scales = int(plan.data["scale"]), int(sides.data["north-scale"])
    count = 2 + len(tables)
    blocks = [
        (plan, plan_sheet, "Floor plan", scales[0]),
        (sides, side_sheet, "Elevations", scales[1]),
        *((table, table_sheet, "Setting out", None) for table in tables),
    ]
    pages = tuple(
        replace(
            page,
            groups=(
                *page.groups,
                title_block(sheet, heading, (n, count), shown, north=page is plan),
            ),
        )
        for n, (page, sheet, heading, shown) in enumerate(blocks, start=1)
    )
    return PlanPages(pages, *scales)


def _plan(layout: Layout, sheet: Sheet, units: Units, scale: int | None) -> Figure:
    """The plan over its legend."""
    inner = sheet.inner
    foot = inner.bottom - legend_height_mm(layout, inner.width)
    box = Box(inner.left, inner.top, inner.right, foot - 1.0)
    figure = draw_plan(layout, sheet.page_mm, units, box=box, scale=scale)
    legend = draw_legend(layout, Box(inner.left, foot, inner.right, inner.bottom))
    return replace(figure, groups=(*figure.groups, legend))


def _largest(imprint: Imprint, draw: Callable[[Sheet], Figure]) -> tuple[Figure, Sheet]:
    """A drawing on paper laid the way on which it is larger; upright where that is the same."""
    found: list[tuple[int, Figure, Sheet]] = []
    refused: list[ScaleError] = []
    for upright in (True, False):
        sheet = Sheet(imprint, upright)
        try:
            figure = draw(sheet)
        except ScaleError as error:
            refused.append(error)
            continue
        scale = figure.data.get("scale") or figure.data["north-scale"]
        found.append((int(scale), figure, sheet))
    if not found:
        raise refused[0]
    _, figure, sheet = min(found, key=lambda one: one[0])
    return figure, sheet


def write_plan(folder: Path, layout: Layout, made: PlanPages) -> tuple[Path, ...]:
    """Write plan and elevations as SVG, all pages as PDF, the table as CSV, each whole.

    The same set gives the same bytes. Raises OutputError when the folder cannot be written.
    """
    plan, sides = made.pages[:2]
    files = tuple(folder / name for name in (PLAN_PDF, PLAN_SVG, ELEVATIONS_SVG, TABLE))
    write_pages(files[0], f"{layout.title}: plan", made.pages)
    write_svg(files[1], plan)
    write_svg(files[2], sides)
    write_text(files[3], table_text(layout))
    return files


def table_text(layout: Layout) -> str:
    """The table file: comma-separated, heads first, metres and degrees."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(table_rows(layout))
    return text.getvalue()
