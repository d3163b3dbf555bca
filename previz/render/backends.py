"""The table of back ends: what each is called, what it can do, how it is proved, how it opens.

A new back end is a folder of its own and a row here. Nobody else asks for one by name.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from previz.errors import MissingError
from previz.render.compute import in_plain_words
from previz.render.contract import Ability, BackEnd, Renderer
from previz.render.pathtracer import backend as pathtracer
from previz.render.raster import backend as raster
from previz.render.variants import PREFERENCE, Probe, choose, proved
from previz.stage.stage import Stage

Say = Callable[[str], None]


@dataclass(frozen=True)
class BackEndRow:
    """One back end.

    variants     what it can compute on, best first
    abilities    what it can do in a variant, known before anything is loaded
    prove        whether a variant gives the right light on this machine; the answer is kept
    choose       the variant to take, or the one asked for; MissingError when none works. The
                 second argument hears that a proof is under way
    open         the back end in a variant
    approximate  what its pictures lack, for people; nothing where all is as the light goes
    hands_on     abilities that it has from another row, which is held to them
    """

    variants: tuple[str, ...]
    abilities: Callable[[str], frozenset[Ability]]
    prove: Callable[[str], Probe]
    choose: Callable[[str | None, Say | None], str]
    open: Callable[[str], BackEnd]
    approximate: str = ""
    hands_on: frozenset[Ability] = frozenset()


UNBAKED = "the light cannot be baked on the plain processor"


def bakes(variant: str) -> bool:
    """Whether the path tracer reads light at points all over a set in this variant."""
    return Ability.BAKE in pathtracer.abilities_in(variant)


def _drawing_proved(variant: str) -> Probe:
    """Whether light can be baked in a variant, and drawn."""
    baking = proved(variant)
    if not baking.works or not bakes(variant):
        return baking if not baking.works else Probe(variant, False, UNBAKED)
    try:
        return Probe(variant, True, f"{baking.why}, {raster.drawn_by()}".lstrip(", "))
    except MissingError as error:
        return Probe(variant, False, str(error))


def _chosen_for_drawing(variant: str | None, say: Say | None) -> str:
    """What to bake on. Asked first is what is known soonest: whether anything draws here."""
    raster.drawn_by()
    found = choose(variant, say).variant
    if not bakes(found):
        raise MissingError(UNBAKED)
    return found


def _opened_for_drawing(variant: str) -> BackEnd:
    """The one place where what draws meets what bakes, and that meets who reads the light."""
    from previz.render.bake.lighting import LitStage  # noqa: PLC0415 - only who draws needs it

    def loaded(stage: Stage) -> Renderer:
        # Opened as late as this: it takes a second, and a bake that is kept does without.
        renderer: Renderer = pathtracer.PathTracer(variant).load(stage)
        return renderer

    return raster.Raster(variant, lambda stage: LitStage(stage, variant, loaded))


TABLE: dict[str, BackEndRow] = {
    pathtracer.NAME: BackEndRow(
        variants=PREFERENCE,
        abilities=pathtracer.abilities_in,
        prove=proved,
        choose=lambda variant, say: choose(variant, say).variant,
        open=pathtracer.PathTracer,
    ),
    raster.NAME: BackEndRow(
        variants=tuple(variant for variant in PREFERENCE if bakes(variant)),
        abilities=lambda _: raster.ABILITIES,
        prove=_drawing_proved,
        choose=_chosen_for_drawing,
        open=_opened_for_drawing,
        approximate=raster.APPROXIMATE,
        hands_on=frozenset({Ability.METER}),
    ),
}
USUAL = pathtracer.NAME

LEFT_OUT: Mapping[Ability, str] = {
    Ability.SUN: "leaves out the sun: only the sky lights the room",
    Ability.THIN_LENS: "draws everything sharp, whatever the stop",
    Ability.METER: "reads no meters: the white card is taken for the scene's white",
    Ability.LIGHT_LAYERS: "does not hold lights apart: its frames cannot be relit",
}
"""What a frame lacks without an ability, for people. An ability without a line here
changes nothing that people would miss."""


def open_back_end(
    variant: str | None = None, say: Say | None = None, *, name: str | None = None
) -> BackEnd:
    """A back end in the best variant that gives the right light here, or in the one asked for.

    `name` None: the usual one. `say` hears that a proof is under way, which takes a while the
    first time. Raises MissingError when no variant works.
    """
    row = TABLE[name or USUAL]
    try:
        return row.open(row.choose(variant, say))
    except MissingError as error:
        raise MissingError(in_plain_words(str(error))) from error


def working(name: str | None = None) -> tuple[str, ...]:
    """Every variant of a back end that gives the right light on this machine, best first."""
    row = TABLE[name or USUAL]
    return tuple(variant for variant in row.variants if row.prove(variant).works)
