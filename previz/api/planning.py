"""The plan of a set on paper: nothing is rendered."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from previz.api.opening import OpenScene, Source, default_folder, opened_from
from previz.api.progress import Progress, Silence
from previz.deliver.files import writable_folder
from previz.deliver.plan.document import plan_pages, write_plan
from previz.deliver.plan.sheet import Paper
from previz.deliver.plan.view import ScaleError
from previz.errors import InputError, Place, Problem
from previz.measure.setting_out.layout import Layout, lay_out
from previz.telling.cautions import printed_for
from previz.telling.tape import Units


@dataclass(frozen=True)
class PlanOptions:
    """How a plan is drawn; `scale` is the N of 1:N, None: the largest usual one that fits."""

    out: Path | str | None = None
    paper: Paper = "a4"
    scale: int | None = None
    units: Units = "metres"
    settings: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Planned:
    """A plan that was drawn: its files, its scales, how many pages, and what was laid out."""

    files: tuple[Path, ...]
    scale: int
    elevation_scale: int
    pages: int
    layout: Layout
    cautions: tuple[str, ...]


def layout_of(opened: OpenScene) -> Layout:
    """A scene laid out for drawing, with the way to walk that its rules ask for."""
    return lay_out(opened.stage, opened.scene.rules.aisle_min_m)


def plan_scene(
    source: Source, options: PlanOptions | None = None, progress: Progress | None = None
) -> Planned:
    """Draw plan, elevations and setting-out table of a scene, SVG, PDF and CSV.

    InputError when the scene does not hold or the drawing does not fit its paper; OutputError
    when the folder cannot be written.
    """
    options, watch = options or PlanOptions(), progress or Silence()
    opened = opened_from(source, options.settings)
    folder = writable_folder(Path(options.out or default_folder(opened.path) / "plan"))
    watch.start("drawing the plan", 2)
    layout = layout_of(opened)
    try:
        made = plan_pages(layout, options.paper, options.units, options.scale)
    except ScaleError as error:
        raise InputError([Problem(Place(opened.path), f"plan: {error}")]) from error
    finally:
        watch.advance(1)
    files = write_plan(folder, layout, made)
    watch.finish()
    return Planned(
        files=files,
        scale=made.scale,
        elevation_scale=made.elevation_scale,
        pages=len(made.pages),
        layout=layout,
        cautions=printed_for(opened.stage),
    )
