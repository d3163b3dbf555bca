"""The table of back ends: what each is called, what it can do, how it is proved, how it opens.

A new back end is a folder of its own and a row here. Nobody else asks for one by name.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from previz.errors import MissingError
from previz.render.compute import in_plain_words
from previz.render.contract import Ability, BackEnd
from previz.render.pathtracer import backend as pathtracer
from previz.render.variants import PREFERENCE, Probe, choose, proved

Say = Callable[[str], None]


@dataclass(frozen=True)
class BackEndRow:
    """One back end.

    variants   what it can compute on, best first
    abilities  what it can do in a variant, known before anything is loaded
    prove      whether a variant gives the right light on this machine; the answer is kept
    choose     the variant to take, or the one asked for; MissingError when none works. The
               second argument hears that a proof is under way
    open       the back end in a variant
    """

    variants: tuple[str, ...]
    abilities: Callable[[str], frozenset[Ability]]
    prove: Callable[[str], Probe]
    choose: Callable[[str | None, Say | None], str]
    open: Callable[[str], BackEnd]


TABLE: dict[str, BackEndRow] = {
    pathtracer.NAME: BackEndRow(
        variants=PREFERENCE,
        abilities=pathtracer.abilities_in,
        prove=proved,
        choose=lambda variant, say: choose(variant, say).variant,
        open=pathtracer.PathTracer,
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
