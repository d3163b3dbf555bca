"""How much is recorded."""

from __future__ import annotations

from dataclasses import dataclass

from previz.physics import storage
from previz.stage.stage import Stage


@dataclass(frozen=True)
class Storage:
    """Decimal gigabytes of all cameras: in an hour, and over the hours recorded."""

    gb_per_hour: float
    gb_total: float


def storage_of(stage: Stage) -> Storage:
    """What the cameras of a set record."""
    recording = stage.programme.recording
    per_hour = storage.gb_per_hour(recording.rate_mbit_s) * len(stage.cameras)
    return Storage(per_hour, per_hour * recording.hours)
