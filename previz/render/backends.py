"""The table of back ends: which can render on this machine. Heavy imports happen on choice."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from previz.errors import MissingError
from previz.render.compute import in_plain_words
from previz.render.contract import Ability, BackEnd
from previz.render.variants import PREFERENCE, choose, proved

PASS_PATHS, CARD_PASS_PATHS = 4_000_000, 32_000_000

_COMMON = frozenset(
    {Ability.LIGHT_LAYERS, Ability.BOUNCES, Ability.THIN_LENS, Ability.HAIR, Ability.METER}
)
_COMPILED = frozenset(
    {
        Ability.ONE_PASS,
        Ability.BEAMS,
        Ability.OUTSIDE,
        Ability.SUN,
        Ability.CLEAR_GLASS,
        Ability.RELIEF,
    }
)


class PathTracer:
    """Mitsuba 3 in one of its variants."""

    name = "path tracer"

    def __init__(self, variant: str) -> None:
        """Take `variant` for the whole process: Mitsuba holds one at a time."""
        import mitsuba  # noqa: PLC0415

        mitsuba.set_variant(variant)
        mitsuba.set_log_level(mitsuba.LogLevel.Error)
        self.variant = variant

    @staticmethod
    def compiles(variant: str) -> bool:
        """Whether a variant compiles kernels, which light layers in one pass need."""
        return "_ad_" in variant

    @property
    def compiled(self) -> bool:
        """Whether this one does."""
        return self.compiles(self.variant)

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
        if not self.compiled:
            return _COMMON
        return _COMMON | _COMPILED

    def load(self, stage: Any) -> Any:
        """Take a stage in."""
        if self.compiled:
            from previz.render.pathtracer.compiled import CompiledRenderer  # noqa: PLC0415

            return CompiledRenderer(stage)
        from previz.render.pathtracer.scalar import ScalarRenderer  # noqa: PLC0415

        return ScalarRenderer(stage)


def path_tracer(variant: str | None = None, say: Callable[[str], None] | None = None) -> BackEnd:
    """The path tracer in the best variant that gives the right light here, or in the one asked for.

    `say` hears that a proof is under way, which takes a while the first time. Raises
    MissingError when no variant works.
    """
    try:
        return PathTracer(choose(variant, say).variant)
    except MissingError as error:
        raise MissingError(in_plain_words(str(error))) from error


def working() -> tuple[str, ...]:
    """Every variant that gives the right light on this machine, best first."""
    return tuple(variant for variant in PREFERENCE if proved(variant).works)
