"""How much a day's recording weighs. 1 GB is 10^9 bytes, 1 GiB 2^30."""

from __future__ import annotations

from typing import Literal

from previz.physics.checks import not_negative, positive

Sampling = Literal["4:4:4", "4:2:2", "4:2:0", "raw"]
SAMPLES_PER_PIXEL: dict[Sampling, float] = {"4:4:4": 3.0, "4:2:2": 2.0, "4:2:0": 1.5, "raw": 1.0}
"""Of Y, Cb and Cr by pixel: SMPTE ST 274 and ITU-R BT.601, from memory; a raw sensor has one."""


def gb_per_hour(rate_mbit_s: float) -> float:
    """Gigabytes an hour at a bit rate in megabits a second: x 3600 / 8 / 1000."""
    return not_negative("rate_mbit_s", rate_mbit_s) * 3600.0 / 8.0 / 1000.0


def gib_per_hour(rate_mbit_s: float) -> float:
    """The same in binary gigabytes (2^30 bytes), as many systems show it."""
    return gb_per_hour(rate_mbit_s) * 1e9 / 2.0**30


def minutes_on_card(capacity_gb: float, rate_mbit_s: float) -> float:
    """Recording time that a card or drive holds."""
    return (
        60.0
        * not_negative("capacity_gb", capacity_gb)
        / gb_per_hour(positive("rate_mbit_s", rate_mbit_s))
    )


def uncompressed_mb_s(
    width_px: int, height_px: int, fps: float, bit_depth: int, sampling: Sampling = "4:2:2"
) -> float:
    """Megabits a second of the active picture without compression (no audio, no blanking)."""
    if sampling not in SAMPLES_PER_PIXEL:
        raise ValueError(f"sampling must be one of {', '.join(SAMPLES_PER_PIXEL)}")
    pixels = positive("width_px", width_px) * positive("height_px", height_px)
    bits = positive("bit_depth", bit_depth) * SAMPLES_PER_PIXEL[sampling]
    return pixels * bits * positive("fps", fps) / 1e6
