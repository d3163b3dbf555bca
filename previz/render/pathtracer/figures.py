"""All patterns of a stage as one texture. Import after a compiled variant is set.

A compiled kernel holds the code of every surface it may meet, once per instance. Twenty
materials with a bitmap each make it ten times longer than one texture that looks up which
figure it is to draw; so figures lie one after another in a single array, and the two
colours of each come from the table of looks.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import drjit as dr
import mitsuba as mi

from previz.model.records import Material
from previz.render.pathtracer.loading import load
from previz.render.pathtracer.rows import Rows
from previz.render.pathtracer.surfaces import PAINT, Textures
from previz.render.pathtracer.texels import Texels, between
from previz.render.patterns import figure_of
from previz.render.patterns.joined import kept_joined
from previz.render.patterns.packed import STEPS, TONE_RANGE, packed_of

SMOOTHEST = 0.02
"""No smoother is any worn surface: as the catalogue's own least roughness."""


@lru_cache(maxsize=4)
def _register(variant: str) -> None:
    """Make the textures known: their base is a class of the variant's own."""

    class LookColour(mi.Texture):  # type: ignore[misc]  # a class of an untyped package
        """Reflectance from the row of a triangle and the figure that its pattern number names."""

        def __init__(self, props: Any) -> None:
            super().__init__(props)
            self._rows: Rows | None = None
            self._texels: Texels | None = None
            self._painted = bool(props.get("painted", False))

        def draw(self, rows: Rows, texels: Texels | None) -> None:
            """Take the table and the figures in."""
            self._rows, self._texels = rows, texels

        def eval(self, si: Any, active: Any = True) -> Any:
            """Reflectance (3,) at a surface point."""
            assert self._rows is not None
            row = self._rows.at(si, active)
            first, second = self._rows.colours(row, active)
            if self._painted:
                paint = si.shape.eval_attribute_3(PAINT, si, active)
                # Interpolated, so anything may come on a needle of a triangle.
                paint = dr.select(dr.all(dr.isfinite(paint)), dr.clip(paint, 0.0, 1.0), 0.0)
                first, second = first * paint, second * paint
            if self._texels is None:
                return first
            number = dr.gather(mi.UInt32, self._rows.pattern, row, active)
            texels, weight = self._texels.around(number, si.uv, active)
            tone = between([mi.Float(t >> 16) * (TONE_RANGE / STEPS) for t in texels], weight)
            share = between([mi.Float(t & STEPS) * (1.0 / STEPS) for t in texels], weight)
            patterned = dr.clip(tone * dr.lerp(first, second, share), 0.01, 0.95)
            return dr.select(number > 0, patterned, first)

        def mean(self) -> Any:
            """A mean nobody asks for: the surfaces differ."""
            return mi.Float(0.5)

        def is_spatially_varying(self) -> bool:
            """Yes."""
            return True

        def to_string(self) -> str:
            """For messages."""
            return "LookColour[]"

    class LookValue(mi.Texture):  # type: ignore[misc]  # a class of an untyped package
        """Roughness or metal from the row of a triangle; roughness varies as its pattern wears."""

        def __init__(self, props: Any) -> None:
            super().__init__(props)
            self._rows: Rows | None = None
            self._texels: Texels | None = None
            self._value = str(props["value"])

        def draw(self, rows: Rows, texels: Texels | None) -> None:
            """Take the table in, and the figures that roughness varies with."""
            self._rows, self._texels = rows, texels

        def eval_1(self, si: Any, active: Any = True) -> Any:
            """The value at a surface point."""
            assert self._rows is not None
            row = self._rows.at(si, active)
            value = getattr(self._rows, self._value)(row, active)
            if self._texels is None:
                return value
            number = dr.gather(mi.UInt32, self._rows.pattern, row, active)
            # One texel by chance: it hangs on the place alone, so all that is asked at a point
            # of a path has the same.
            texel = self._texels.near(number, si.uv, active)
            share = mi.Float(texel & STEPS) * (2.0 / STEPS) - 1.0
            worn = value * (1.0 + self._rows.wear(row, active) * share)
            return dr.select(number > 0, dr.clip(worn, SMOOTHEST, 1.0), value)

        def eval(self, si: Any, active: Any = True) -> Any:
            """The value as a colour."""
            return mi.Color3f(self.eval_1(si, active))

        def mean(self) -> Any:
            """A mean nobody asks for: the surfaces differ."""
            return mi.Float(0.5)

        def is_spatially_varying(self) -> bool:
            """Yes."""
            return True

        def to_string(self) -> str:
            """For messages."""
            return f"LookValue[{self._value}]"

    mi.register_texture(f"look_colour_{variant}", LookColour)
    mi.register_texture(f"look_value_{variant}", LookValue)


def look_textures(rows: Rows, patterns: Sequence[Material]) -> Textures:
    """The textures of a stage: every surface of one kind shares them."""
    variant = mi.variant()
    _register(variant)
    colour = f"look_colour_{variant}"
    texels = _texels(patterns)
    plain, painted = (load({"type": colour, "painted": flag}) for flag in (False, True))
    plain.draw(rows, texels)
    painted.draw(rows, texels)
    values = {}
    for name in ("roughness", "metallic"):
        values[name] = load({"type": f"look_value_{variant}", "value": name})
        values[name].draw(rows, texels if name == "roughness" else None)
    return Textures(plain, painted, values["roughness"], values["metallic"])


def _texels(patterns: Sequence[Material]) -> Texels | None:
    """The figures of all patterns; number k is the k-th from 1."""
    if not patterns:
        return None
    # Number 0 is plain and looks at the first figure without using it.
    drawn = (patterns[0], *patterns)
    what = ("packed", [(m.pattern, m.pattern_size_m) for m in drawn])
    pictures = kept_joined(what, lambda: [packed_of(material) for material in drawn])
    return Texels(pictures, [figure_of(material).size_m for material in drawn])
