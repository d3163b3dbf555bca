"""What all models share: frozen, nothing unknown accepted, numbers that are numbers.

YAML gladly reads `yes` as True and `"3"` as text; strict numbers refuse both, so that a
slip in a scene file is a message and never a silent 1.0.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints


class Noun(BaseModel):
    """Base of every model: immutable and closed to unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Count = Annotated[int, Field(strict=True)]
Flag = Annotated[bool, Field(strict=True)]
Text = Annotated[str, StringConstraints(strict=True, max_length=2000)]

Name = Annotated[
    str,
    StringConstraints(strict=True, pattern=r"^[A-Za-z][A-Za-z0-9_]{0,39}$"),
]
"""A name the scene's author gives: letters, digits, underscore; starts with a letter."""

CatalogName = Annotated[
    str,
    StringConstraints(strict=True, pattern=r"^[a-z0-9][a-z0-9_.]{0,59}$"),
]
"""The name of a catalogue record."""

Moment = Annotated[
    str,
    StringConstraints(
        strict=True,
        pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?(Z|[+-]\d{2}:\d{2})$",
    ),
]
"""A date and time with its offset from UTC, as RFC 3339 writes it."""

HexColour = Annotated[
    str,
    StringConstraints(strict=True, pattern=r"^#[0-9a-fA-F]{6}$"),
]
"""A surface colour as sRGB, `#rrggbb`."""

Coordinate = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=-100, le=100)]
Point2 = tuple[Coordinate, Coordinate]
Point3 = tuple[Coordinate, Coordinate, Coordinate]
Bearing = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=-360, le=360)]
Percent = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=100)]


def ranged(low: float, high: float) -> object:
    """Constraint for a finite number from `low` to `high`, both included."""
    return Field(strict=True, allow_inf_nan=False, ge=low, le=high)
