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
from previz.deliver.paper.figure import Box, Figure
from previz.deliver.paper.pages import write_pages
from previz.deliver.paper.svg import write_svg
from previz.deliver.plan.elevation import draw_elevations, elevation_scale
from previz.deliver.plan.floor_plan import draw_plan, plan_scale
from previz.deliver.plan.legend import draw_legend, legend_height_mm
from previz.deliver.plan.setting_out import table_pages
from previz.deliver.plan.sheet import Imprint, Paper, Sheet, title_block
from previz.deliver.plan.view import ScaleError
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
    plan_sheet, drawn_at = _larger(
        imprint, lambda sheet: plan_scale(layout, _over_legend(layout, sheet), units, scale)
    )
    side_sheet, side_scale = _larger(
        imprint, lambda sheet: elevation_scale(layout, sheet.inner.inset(2.0), units, scale)
    )
    plan = _plan(layout, plan_sheet, units, drawn_at)
    sides = draw_elevations(
        layout, side_sheet.page_mm, units, box=side_sheet.inner.inset(2.0), scale=side_scale
    )
    table_sheet = Sheet(imprint, upright=False)
    tables = table_pages(layout, table_sheet)
    count = 2 + len(tables)
    blocks = [
        (plan, plan_sheet, "Floor plan", drawn_at),
        (sides, side_sheet, "Elevations", side_scale),
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
    return PlanPages(pages, drawn_at, side_scale)


def _over_legend(layout: Layout, sheet: Sheet) -> Box:
    """What a page has for the plan."""
    inner = sheet.inner
    return inner._replace(bottom=inner.bottom - legend_height_mm(layout, inner.width) - 1.0)


def _plan(layout: Layout, sheet: Sheet, units: Units, scale: int) -> Figure:
    """The plan over its legend."""
    inner, box = sheet.inner, _over_legend(layout, sheet)
    figure = draw_plan(layout, sheet.page_mm, units, box=box, scale=scale)
    legend = draw_legend(layout, inner._replace(top=box.bottom + 1.0))
    return replace(figure, groups=(*figure.groups, legend))


def _larger(imprint: Imprint, scale_on: Callable[[Sheet], int]) -> tuple[Sheet, int]:
    """Paper laid the way on which a drawing is larger, else upright; and the scale there."""
    found: list[tuple[int, Sheet]] = []
    refused: list[ScaleError] = []
    for upright in (True, False):
        sheet = Sheet(imprint, upright)
        try:
            found.append((scale_on(sheet), sheet))
        except ScaleError as error:
            refused.append(error)
    if not found:
        raise refused[0]
    scale, sheet = min(found, key=lambda one: one[0])
    return sheet, scale


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
