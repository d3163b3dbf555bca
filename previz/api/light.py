"""Reading the light of a scene by meters and small pictures; taken once and kept."""

from __future__ import annotations

from previz.api.opening import OpenScene
from previz.api.progress import Progress
from previz.errors import MissingError
from previz.measure.light.receptors import receptors
from previz.render.backends import open_back_end
from previz.render.contract import Ability, BackEnd
from previz.render.readings import Readings, keep_readings, kept_readings, take_readings


def read_light(opened: OpenScene, variant: str | None, watch: Progress) -> Readings:
    """Light at faces, meters and in small pictures; taken once and kept for other dimmers."""
    held, back_end = receptors(opened.stage), open_back_end(variant, watch.say)
    need_meters(back_end)
    readings = kept_readings(opened.stage, held, back_end.variant)
    if readings is None:
        watch.start("reading the light", 1 + len(opened.stage.cameras))
        renderer = opened.renderer(back_end)
        readings = take_readings(renderer, opened.stage, held, watch.advance)
        watch.finish()
        keep_readings(opened.stage, held, back_end.variant, readings)
    return readings


def need_meters(back_end: BackEnd) -> None:
    """MissingError, in a sentence, for a back end that cannot read light at a point."""
    if Ability.METER not in back_end.abilities:
        raise MissingError(f"{back_end.name} reads no meters: take another back end to read light")
