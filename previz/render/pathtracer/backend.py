"""The path tracer as a back end: what it can do in each of Mitsuba's variants, and how it opens.

Importing this loads nothing of the renderer; opening it does.
"""

from __future__ import annotations

from typing import Any

from previz.render.contract import Ability
from previz.render.names import PATH_TRACER

NAME = PATH_TRACER
PASS_PATHS, CARD_PASS_PATHS = 4_000_000, 32_000_000

_COMMON = frozenset(
    {
        Ability.LIGHT_LAYERS,
        Ability.BOUNCES,
        Ability.LIT_LAMPS,
        Ability.THIN_LENS,
        Ability.HAIR,
        Ability.METER,
    }
)
_COMPILED = frozenset(
    {
        Ability.ONE_PASS,
        Ability.BEAMS,
        Ability.ENVIRONMENT,
        Ability.SUN,
        Ability.CLEAR_GLASS,
        Ability.RELIEF,
        Ability.BAKE,
    }
)


def compiles(variant: str) -> bool:
    """Whether a variant compiles kernels, which light layers in one pass need."""
    return "_ad_" in variant


def abilities_in(variant: str) -> frozenset[Ability]:
    """What it can do in a variant."""
    return _COMMON | _COMPILED if compiles(variant) else _COMMON


class PathTracer:
    """Mitsuba 3 in one of its variants."""

    name = NAME

    def __init__(self, variant: str) -> None:
        """Take `variant` for the whole process: Mitsuba holds one at a time."""
        import mitsuba  # noqa: PLC0415

        mitsuba.set_variant(variant)
        mitsuba.set_log_level(mitsuba.LogLevel.Error)
        self.variant = variant

    @property
    def compiled(self) -> bool:
        """Whether this variant compiles kernels."""
        return compiles(self.variant)

    @property
    def on_card(self) -> bool:
        """Whether it computes on an NVIDIA graphics card."""
        return self.variant.startswith("cuda")

    @property
    def pass_paths(self) -> int:
        """Paths to trace between two looks at the clock; few do not fill a card."""
        return CARD_PASS_PATHS if self.on_card else PASS_PATHS

    @property
    def abilities(self) -> frozenset[Ability]:
        """What it can do."""
        return abilities_in(self.variant)

    def load(self, stage: Any) -> Any:
        """Take a stage in."""
        if self.compiled:
            from previz.render.pathtracer.compiled import CompiledRenderer  # noqa: PLC0415

            return CompiledRenderer(stage)
        from previz.render.pathtracer.scalar import ScalarRenderer  # noqa: PLC0415

        return ScalarRenderer(stage)
