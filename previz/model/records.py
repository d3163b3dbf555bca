"""Records of the catalogue: what a sensor, a lens, a fixture, a material is known to be.

Every record says where its values come from (`source`) and how sure they are (`kind`):
`standard` printed in a standard that the source gives by number, `generic` a typical value of its
class, `measured` from a measurement, `memory` from memory and not confirmed.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from previz.model.base import CatalogName, Count, Flag, Noun, Number, Text, ranged
from previz.physics.optics import transmittance_from
from previz.physics.temperature import mired_shift

SMALLEST = 1e-6
Positive = Annotated[float, ranged(SMALLEST, 1e9)]
Reflectance = Annotated[float, ranged(0.0, 0.98)]
Kelvin = Annotated[float, ranged(1000.0, 25000.0)]
Rgb = tuple[Reflectance, Reflectance, Reflectance]
Share = Annotated[float, ranged(0.0, 1.0)]
SixBands = tuple[Share, Share, Share, Share, Share, Share]


class Record(Noun):
    """What every record has."""

    label: Text = Field(description="What it is, in plain words.")
    kind: Literal["standard", "generic", "measured", "memory"] = Field(
        description="How the values are known."
    )
    source: Text = Field(min_length=3, description="Where the values come from.")


class SensorMode(Noun):
    """One recording mode: the part of the sensor it reads and the picture it writes."""

    width_mm: Positive = Field(description="Width of the part read.")
    height_mm: Positive = Field(description="Height of the part read.")
    width_px: Annotated[int, Field(strict=True, ge=16, le=20000)] = Field(
        description="Picture width."
    )
    height_px: Annotated[int, Field(strict=True, ge=16, le=20000)] = Field(
        description="Picture height."
    )
    max_fps: Positive = Field(description="Highest frame rate.")
    note: Text = Field("", description="What is special about it.")


class Sensor(Record):
    """An image sensor or film gate."""

    width_mm: Positive = Field(description="Full width.")
    height_mm: Positive = Field(description="Full height.")
    base_iso: Positive = Field(description="Base ISO of a camera of this class.")
    dynamic_range_stops: Positive = Field(description="Usable range, noise floor to clip.")
    stops_over_grey: Positive = Field(description="Clip above 18 % grey at base ISO.")
    weight_kg: Positive | None = Field(
        None, description="Weight of a camera of this class, without lens and battery."
    )
    power_w: Positive | None = Field(
        None, description="What such a camera draws while it runs, with its lens."
    )
    modes: Annotated[dict[CatalogName, SensorMode], Field(min_length=1)] = Field(
        description="Recording modes by name."
    )

    @model_validator(mode="after")
    def _modes_fit(self) -> Self:
        for name, mode in self.modes.items():
            if mode.width_mm > self.width_mm + 0.01 or mode.height_mm > self.height_mm + 0.01:
                raise ValueError(f"mode {name} reads more than the sensor has")
        return self


class Lens(Record):
    """A lens: focal range, stops, light transmission, close focus."""

    focal_length_mm: tuple[Positive, Positive] = Field(description="Shortest and longest.")
    f_number: tuple[Positive, Positive] = Field(
        description="Widest stop at the shortest and at the longest focal length."
    )
    t_number: tuple[Positive, Positive] = Field(
        description="T-number of the widest stop at both ends."
    )
    min_iris_f_number: Positive = Field(description="Smallest stop.")
    close_focus_m: Positive = Field(description="Nearest focus, from the sensor plane.")
    image_circle_mm: Positive = Field(description="Diameter of the picture it covers.")
    length_mm: Positive = Field(description="Length of the barrel.")
    diameter_mm: Positive = Field(description="Diameter of the barrel at the front.")
    weight_kg: Positive = Field(description="Weight.")

    @property
    def is_zoom(self) -> bool:
        """Whether the focal length can be changed."""
        return self.focal_length_mm[0] != self.focal_length_mm[1]

    def widest_f_number(self, focal_length_mm: float) -> float:
        """Widest stop at a focal length; between the ends it is interpolated in stops."""
        return _between_ends(self.focal_length_mm, self.f_number, focal_length_mm)

    def transmittance(self, focal_length_mm: float) -> float:
        """Share of the light that passes, from T = N / sqrt(transmittance)."""
        f_number = self.widest_f_number(focal_length_mm)
        t_number = _between_ends(self.focal_length_mm, self.t_number, focal_length_mm)
        return transmittance_from(f_number, t_number)


def _between_ends(
    focal: tuple[float, float], ends: tuple[float, float], focal_length_mm: float
) -> float:
    if focal[0] == focal[1]:
        return ends[0]
    share = (focal_length_mm - focal[0]) / (focal[1] - focal[0])
    return float(ends[0] ** (1.0 - share) * ends[1] ** share)


class Adapter(Record):
    """A focal reducer (factor below 1) or an extender (above 1) behind the lens.

    It multiplies focal length and f-number by `factor`; its glass keeps back some light.
    """

    factor: Annotated[float, ranged(0.3, 4.0)] = Field(description="Magnification.")
    transmittance_pct: Annotated[float, ranged(10.0, 100.0)] = Field(
        description="Light its glass lets through."
    )
    image_circle_factor: Positive = Field(description="What it does to the image circle.")
    weight_kg: Positive = Field(description="Weight.")


class LuxAt(Noun):
    """Illuminance on the axis at one end of the focus."""

    distance_m: Positive = Field(description="Distance from the face of the fixture.")
    illuminance_lx: Positive = Field(description="Illuminance there, at full output.")
    beam_deg: Annotated[float, ranged(1.0, 180.0)] = Field(
        description="Beam angle (half value, full angle) it holds for."
    )


class Fixture(Record):
    """A light, or a board, frame or flag that shapes light.

    `form` says how it is built. Lights give their output either as `flux_lm` or as
    `lux_at`, one entry per end of the focus range.
    """

    form: Literal[
        "panel", "softbox", "lantern", "tube", "fresnel", "practical",
        "bounce_board", "diffusion_frame", "flag",
    ] = Field(description="How it is built.")  # fmt: skip
    width_m: Positive | None = Field(None, description="Width of the emitting face.")
    height_m: Positive | None = Field(None, description="Height of the emitting face.")
    diameter_m: Positive | None = Field(None, description="Diameter of a round face.")
    length_m: Positive | None = Field(None, description="Length of a tube.")
    flux_lm: Positive | None = Field(None, description="Luminous flux at full output.")
    lux_at: tuple[LuxAt, ...] = Field(
        (), max_length=2, description="Output at spot, then at flood."
    )
    beam_deg: Annotated[float, ranged(1.0, 180.0)] | None = Field(
        None, description="Beam angle, half value, full angle; none: as a matt surface."
    )
    field_deg: Annotated[float, ranged(1.0, 180.0)] | None = Field(
        None, description="Field angle, one tenth value, full angle."
    )
    cct_k: tuple[Positive, Positive] | None = Field(
        None, description="Lowest and highest colour temperature; equal when fixed."
    )
    default_cct_k: Positive | None = Field(None, description="Setting if the scene says none.")
    power_w: Annotated[float, ranged(0.0, 20000.0)] = Field(0.0, description="Power draw.")
    weight_kg: Positive = Field(description="Weight without the stand.")
    stand_footprint_m: Annotated[float, ranged(0.0, 3.0)] = Field(
        0.0, description="Diameter of the circle its stand's legs cover; 0 for none."
    )
    stand_height_m: tuple[Number, Number] | None = Field(
        None, description="Lowest and highest working height on that stand."
    )
    material: CatalogName | None = Field(
        None, description="Surface of a board, frame, flag or lamp shade."
    )
    body: CatalogName | None = Field(
        None, description="Furniture shape that carries a practical; none: a bare bulb."
    )
    dimmer_curve: Literal["even", "fine_when_dim", "fine_at_both_ends", "fine_when_bright"] = Field(
        "even", description="How its light follows the dimmer's setting."
    )
    filament: Flag = Field(False, description="A filament: dimmed, it gets warmer.")
    lamp_v: Annotated[tuple[Positive, ...], Field(max_length=8)] = Field(
        (),
        description="Mains that a filament's lamps are made for, within a tenth; the values hold "
        "with the one that suits. None: an electronic supply takes any mains.",
    )
    power_factor: Annotated[float, ranged(0.1, 1.0)] = Field(
        1.0, description="Real over apparent power."
    )
    hot: Flag = Field(False, description="Gets hot enough to burn: cautions apply.")
    stand_off_m: Positive | None = Field(
        None, description="Least distance from a hot lamp's face to what can burn."
    )
    noise: Text = Field(
        "", description="What is heard of it, and what to do about it, as a half sentence."
    )

    @property
    def emits(self) -> bool:
        """Whether it makes light itself."""
        return self.flux_lm is not None or bool(self.lux_at)

    @model_validator(mode="after")
    def _whole(self) -> Self:
        passive = self.form in ("bounce_board", "diffusion_frame", "flag")
        if passive == self.emits:
            raise ValueError(
                "a light needs flux_lm or lux_at" if not passive else "a board gives no light"
            )
        if self.flux_lm is not None and self.lux_at:
            raise ValueError("give flux_lm or lux_at, not both")
        if self.emits and (self.cct_k is None or self.default_cct_k is None):
            raise ValueError("a light needs cct_k and default_cct_k")
        if self.filament != bool(self.lamp_v):
            raise ValueError("a filament needs lamp_v, and nothing else has it")
        lacking = [key for key in self._sizes if getattr(self, key) is None]
        if lacking:
            raise ValueError(f"a {self.form} lacks a size: {', '.join(lacking)}")
        if self.stand_footprint_m > 0.0 and self.stand_height_m is None:
            raise ValueError("a stand needs stand_height_m")
        idle = self._without_effect()
        if idle:
            raise ValueError(f"{', '.join(idle)} would do nothing here; delete it")
        return self

    @property
    def _sizes(self) -> tuple[str, ...]:
        """The measures that a fixture of this form is built by."""
        if self.form == "practical" and self.body is None:
            return ("diameter_m",)
        return _SIZES.get(self.form, ("width_m", "height_m"))

    def _without_effect(self) -> list[str]:
        """What is given and would change nothing about such a fixture."""
        usable = {*self._sizes, *(_OF_ANY_LIGHT if self.emits else ())}
        usable |= {key for key, forms in _OF_SOME.items() if self.form in forms}
        if self.form == "practical" and self.body is None:
            usable -= {"material"}
        if self.hot:
            usable |= {"stand_off_m"}
        fields = type(self).model_fields
        return [
            key
            for key in (*_EVERY_SIZE, *_OF_ANY_LIGHT, *_OF_SOME, "stand_off_m")
            if getattr(self, key) != fields[key].default and key not in usable
        ]


_SIZES = {
    "lantern": ("diameter_m",), "fresnel": ("diameter_m",),
    "practical": ("diameter_m", "height_m"), "tube": ("diameter_m", "length_m"),
}  # fmt: skip
_EVERY_SIZE = ("width_m", "height_m", "diameter_m", "length_m")
_OF_ANY_LIGHT = (
    "flux_lm", "lux_at", "cct_k", "default_cct_k", "power_w", "dimmer_curve", "filament",
    "power_factor", "hot", "noise",
)  # fmt: skip
_ON_STANDS = (
    "panel", "softbox", "lantern", "tube", "fresnel", "bounce_board", "diffusion_frame", "flag",
)  # fmt: skip
_OF_SOME = {
    "beam_deg": ("panel", "softbox", "fresnel"),
    "field_deg": ("fresnel",),
    "body": ("practical",),
    "stand_footprint_m": _ON_STANDS,
    "stand_height_m": _ON_STANDS,
    "material": ("practical", "bounce_board", "diffusion_frame", "flag"),
}
"""What only some forms of fixtures have."""


class Gel(Record):
    """A sheet before a light or a window.

    A correction gel turns light of one colour temperature into another. What it shifts by is the
    difference of both in mired, and it shifts any other light by as much. A diffusion spreads the
    beam; `spread_deg` is the full angle (half value) that a parallel beam leaves it with.
    """

    form: Literal["correction", "nd", "diffusion"] = Field(description="What it is for.")
    transmittance_pct: Annotated[float, ranged(0.1, 100.0)] = Field(
        description="Light that passes (luminous, Y), of the light it is made for."
    )
    converts_k: tuple[Kelvin, Kelvin] | None = Field(
        None, description="Correction: the colour temperature before it and behind it."
    )
    measured_shift_mired: Annotated[float, ranged(-300.0, 300.0)] | None = Field(
        None, description="Correction, in place of `converts_k`: the shift read behind the sheet."
    )
    spread_deg: Annotated[float, ranged(0.0, 120.0)] = Field(
        0.0, description="Spread of a parallel beam; 0 for a clear gel."
    )

    @property
    def shift_mired(self) -> float:
        """Shift of colour temperature: above 0 warmer, below 0 cooler; 0 of other gels."""
        if self.measured_shift_mired is not None:
            return self.measured_shift_mired
        if self.converts_k is None:
            return 0.0
        before_k, behind_k = self.converts_k
        return mired_shift(before_k, behind_k)

    @model_validator(mode="after")
    def _one_shift(self) -> Self:
        given = sum(v is not None for v in (self.converts_k, self.measured_shift_mired))
        if given != (1 if self.form == "correction" else 0):
            raise ValueError(
                "a correction needs converts_k or measured_shift_mired, and one of the two"
                if self.form == "correction"
                else "only a correction has converts_k or measured_shift_mired"
            )
        return self


class Material(Record):
    """A surface: reflectance, shine, pattern.

    `reflectance` is linear BT.709 diffuse albedo. Shine is said in the terms of Khronos Group,
    "glTF 2.0 Specification", 2021, and of its extension for the index of refraction:
    roughness squared is the width of the microfacets' slopes, and the refractive
    index gives the reflectance at straight incidence, ((n - 1) / (n + 1))^2.
    """

    reflectance: Rgb = Field(description="Diffuse reflectance, linear BT.709.")
    roughness: Annotated[float, ranged(0.02, 1.0)] = Field(0.6, description="0.02 polished.")
    refractive_index: Annotated[float, ranged(1.0, 1.79)] = Field(
        1.5, description="What the skin of the surface mirrors by; 1 for none."
    )
    metallic: Annotated[float, ranged(0.0, 1.0)] = Field(0.0, description="1 for bare metal.")
    diffuse_transmittance: Annotated[float, ranged(0.0, 0.98)] = Field(
        0.0, description="Share of light a thin sheet lets through, scattered."
    )
    clear: Flag = Field(False, description="Clear glass: seen through, reflects.")
    pattern: Literal[
        "none", "wood", "boards", "parquet", "plaster", "brick", "concrete", "tiles",
        "weave", "carpet", "leather", "stone", "leaf", "speckle", "painted_brick",
        "fine_weave", "knit", "handled",
    ] = Field("none", description="Procedural pattern at true scale.")  # fmt: skip
    pattern_size_m: Positive | None = Field(
        None, description="Size of the pattern's unit: width of a board, length of a brick."
    )
    second: Rgb | None = Field(None, description="The pattern's other colour: grain, mortar.")
    relief_mm: Annotated[float, ranged(0.0, 20.0)] = Field(
        0.0, description="Depth of the pattern's relief."
    )
    wear: Share = Field(
        0.0,
        description="How far its roughness varies with the pattern: 0.4 for 40 % to either side.",
    )
    absorption: SixBands | None = Field(
        None,
        description="Share of sound it swallows at 125, 250, 500, 1000, 2000 and 4000 Hz; none: "
        "not known.",
    )

    @model_validator(mode="after")
    def _worn_by_a_pattern(self) -> Self:
        if self.wear and self.pattern == "none":
            raise ValueError("wear follows a pattern: give one, such as handled")
        return self

    @property
    def specular(self) -> float:
        """Reflectance at straight incidence over 0.08, for the renderer: 0.5 of index 1.5."""
        return ((self.refractive_index - 1.0) / (self.refractive_index + 1.0)) ** 2 / 0.08


class FurnitureRecord(Record):
    """A piece of furniture or a prop: a shape and its measures."""

    shape: CatalogName = Field(description="Shape that builds it.")
    width_m: Positive | None = Field(None, description="Width.")
    depth_m: Positive | None = Field(None, description="Depth.")
    height_m: Positive | None = Field(None, description="Height.")
    seat_height_m: Positive | None = Field(None, description="Height of the seat, sat on.")
    materials: dict[CatalogName, CatalogName] = Field(
        {}, description="Material by role: the shape's own parameter names."
    )
    options: dict[CatalogName, Number | Count | Text | Flag | Rgb] = Field(
        {}, description="Further parameters of the shape; a colour is linear BT.709."
    )
    resizable: Flag = Field(True, description="Whether a scene may change its measures.")
    on_stands: Flag = Field(
        False, description="A background that two stands carry: it is brought, and cautions apply."
    )
    noise: Text = Field(
        "", description="What is heard of it, and what to do about it, as a half sentence."
    )
