"""Pictures of a scene's cameras, and of variants of one camera side by side."""

from __future__ import annotations

from dataclasses import replace

from previz.api.approvals import lost_approvals
from previz.api.first_look import set_by_light
from previz.api.opening import OpenScene, Source, default_folder
from previz.api.progress import Progress, Silence
from previz.api.regions import region_of
from previz.api.session import (
    Rendered,
    RenderOptions,
    Session,
    cameras_wanted,
    opened_with_word,
    picture_width,
)
from previz.deliver.comparison import CompareRequest, Comparison, prepare, sheet_of
from previz.errors import CatalogError, InputError, Place, Problem
from previz.measure.measured import Ruler
from previz.measure.rules.darkness import darkness_findings
from previz.solve.variants import Comparing, stage_with, without_gear


def render_scene(
    source: Source, options: RenderOptions | None = None, progress: Progress | None = None
) -> Rendered:
    """Render the frames of a scene's cameras into a folder, with a manifest.

    Raises InterruptedRender when the user stops it: what was rendered has been developed
    and kept, and `resume` goes on from there.
    """
    options, watch = options or RenderOptions(), progress or Silence()
    opened = opened_with_word(source, options, watch)
    names = cameras_wanted(opened, options)
    width_px = picture_width(opened, options)
    for name in names:  # a region that is none is told before anything is loaded
        region_of(opened, opened.stage.cameras[name], options.region_pct, width_px)
    for finding in darkness_findings(opened.stage):
        if finding.about.removeprefix("cameras.") in ("lights", *names):
            watch.say(finding.message)
    opened = set_by_light(opened, options.variant, watch)
    session = Session(opened, options, watch)
    for name in names:
        session.frame(name)
    rendered = session.finish()
    if options.region_pct is not None:
        return rendered
    return replace(rendered, no_longer_approved=lost_approvals(opened, rendered.folder))


def compare_variants(
    source: Source,
    request: CompareRequest,
    options: RenderOptions | None = None,
    progress: Progress | None = None,
) -> Rendered:
    """Render variants of one camera and lay them out on a sheet, PNG and PDF.

    All variants are rendered from one loaded stage; those that would stand outside the room
    from a second one without the wall in their way. InputError when the request means nothing.
    """
    options, watch = options or RenderOptions(), progress or Silence()
    opened = opened_with_word(source, options, watch)
    wanted = (request.camera,) if request.camera else ()
    name = cameras_wanted(opened, replace(options, cameras=wanted))[0]
    opened = set_by_light(opened, options.variant, watch)
    comparison = _comparison(opened, request, name)
    folder = options.out or default_folder(opened.path) / "compare"
    options = replace(options, out=folder, keep_light=False)
    variants = comparison.variants
    session: Session | None = None
    for outside in (False, True):
        some = [v for v in variants if (v.outside_m > 0.0) == outside]
        if some:
            stage = stage_with(opened.stage, name, some)
            session = Session(replace(opened, stage=stage), options, watch, before=session)
            for variant in some:
                session.frame(variant.placed.name)
    assert session is not None
    sheet = sheet_of(
        comparison, session.pictures(), opened.scene.title, session.foot(), session.cautions()
    )
    session.sheet(f"compare_{name}_{request.axis}", sheet)
    return session.finish()


def _comparison(opened: OpenScene, request: CompareRequest, name: str) -> Comparison:
    try:
        comparing = Comparing(opened.stage, opened.catalog, name)
        ruler = Ruler(without_gear(opened.stage, name), opened.scene.rules)
        return prepare(comparing, ruler, request)
    except (ValueError, CatalogError) as error:
        raise InputError([Problem(Place(opened.path), f"compare: {error}")]) from error
