"""The mains at the place."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from previz.model.base import Name, Noun, Text, ranged


class Circuit(Noun):
    """One circuit with its breaker."""

    breaker_a: Annotated[float, ranged(1.0, 125.0)] | None = Field(
        None, description="What the breaker, or the outlet's fuse, is rated for; else as usual."
    )
    other_w: Annotated[float, ranged(0.0, 30000.0)] = Field(
        0.0, description="What else runs on it: kettle, heater, computers."
    )
    where: Text = Field(
        "",
        description="Which sockets it feeds; a wall socket of the furniture by its name has the "
        "plan draw its cables there.",
    )


class Power(Noun):
    """What the lights are plugged into."""

    outlet: Literal["eu_16a", "eu_10a", "uk_13a", "us_15a", "us_20a", "jp_15a"] = Field(
        "eu_16a", description="Usual outlet of the country: voltage, frequency, rating and rule."
    )
    mains_v: Annotated[float, ranged(90.0, 260.0)] | None = Field(
        None,
        description="Voltage as measured, within what the outlet's supply may have; else its "
        "usual one.",
    )
    circuits: dict[Name, Circuit] = Field(
        {}, max_length=24, description="Circuits by name; none given: all lights on one."
    )
