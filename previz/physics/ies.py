"""IES LM-63 files: how a real light spreads, in candela by direction.

Reads LM-63-1986, 1991, 1995, 2002 and 2019 with TILT=NONE or TILT=INCLUDE, photometry of type C
(vertical angle from the axis, horizontal angle round it). Layout by ANSI/IESNA LM-63-02 section 3;
codes and the differences between the years from memory.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_MOST_VALUES = 1_000_000
"""Candela values in one file; the densest measurements in use have a few tens of thousands."""
_VERSION = re.compile(r"^\s*IES(?:NA)?\s*:?\s*(?:LM-?63-)?\s*(\d{2}|\d{4})\s*$", re.IGNORECASE)
_NAMED = re.compile(r"^\s*IES(?:NA)?\s*:?\s*LM-?63", re.IGNORECASE)
_YEARS = {"86": 1986, "91": 1991, "95": 1995, "02": 2002, "19": 2019}
_TYPES = {2: "B", 3: "A"}
_LAST_WITH_LAMP_FACTOR = 1995
_HORIZONTAL_ENDS = ((0.0, 0.0), (0.0, 90.0), (0.0, 180.0), (90.0, 270.0), (0.0, 360.0))


class IesError(ValueError):
    """What is wrong in a file; `line` counts from 1."""

    def __init__(self, line: int, message: str) -> None:
        self.line = line
        super().__init__(f"line {line}: {message}")


@dataclass(frozen=True, eq=False)
class Distribution:
    """Luminous intensity by direction, in candela: all factors of the file are in it.

    vertical_deg    angles off the axis, rising, (n,), from 0 or 90 to 90 or 180
    horizontal_deg  angles round the axis, rising, (m,): 0 alone where it is the same all round,
                    else unfolded by its symmetry to 0 ... 360
    candela         (m, n); nothing outside the angles
    tilt_deg        angles of tilt, rising, and what the light is multiplied by there; empty
    tilt_factor     without TILT=INCLUDE
    power_w         power that the file states
    """

    vertical_deg: Array
    horizontal_deg: Array
    candela: Array
    tilt_deg: Array
    tilt_factor: Array
    power_w: float
    year: int

    def intensity_cd(self, vertical_deg: ArrayLike, horizontal_deg: ArrayLike = 0.0) -> Array:
        """Candela in directions (broadcast), linear between the angles of the file."""
        down, around = np.broadcast_arrays(
            np.asarray(vertical_deg, float), np.asarray(horizontal_deg, float) % 360.0
        )
        planes = np.stack(
            [np.interp(down, self.vertical_deg, row, left=0.0, right=0.0) for row in self.candela]
        )
        if len(planes) == 1:
            return np.asarray(planes[0])
        high = np.searchsorted(self.horizontal_deg, around, side="right")
        high = np.clip(high, 1, len(planes) - 1)
        start, end = self.horizontal_deg[high - 1], self.horizontal_deg[high]
        share = (around - start) / (end - start)
        first = np.take_along_axis(planes, (high - 1)[None], 0)[0]
        second = np.take_along_axis(planes, high[None], 0)[0]
        return np.asarray((1.0 - share) * first + share * second)

    def flux_lm(self, up_to_deg: float = 180.0) -> float:
        """Flux within `up_to_deg` of the axis: the interpolated intensity integrated exactly.

        A sum over zones at the file's angles gives other values where these are far apart
        (3.7 % at 30 degree steps).
        """
        end = min(up_to_deg, float(self.vertical_deg[-1]))
        angles = np.unique(np.append(self.vertical_deg, end))
        angles = angles[angles <= end]
        rows = np.stack([np.interp(angles, self.vertical_deg, row) for row in self.candela])
        planes = np.sum(_sine_integrals(np.radians(angles), rows), axis=1)
        if len(planes) == 1:
            return 2.0 * math.pi * float(planes[0])
        return float(np.trapezoid(planes, np.radians(self.horizontal_deg)))

    def tilt_factor_at(self, tilt_deg: float) -> float:
        """Share of its light that the lamp gives when its axis is `tilt_deg` off straight down."""
        if not len(self.tilt_deg):
            return 1.0
        return float(np.interp(tilt_deg, self.tilt_deg, self.tilt_factor))


def _sine_integrals(angle: Array, rows: Array) -> Array:
    """Integral of (straight line) x sin over each step of `angle` (radians), (m, n - 1)."""
    slope = np.diff(rows, axis=1) / np.diff(angle)
    ends = -rows * np.cos(angle)
    return np.diff(ends, axis=1) + slope * np.diff(np.sin(angle))


# --- reading ---------------------------------------------------------------------------------


def read_ies(text: str) -> Distribution:
    """The distribution that an LM-63 file states. IesError names the line that is wrong.

    Layout by ANSI/IESNA LM-63-02; what else is read and what is not, see the module.
    """
    lines = text.removeprefix("\ufeff").replace("\x1a", "").splitlines()
    year, start, tilt = _header(lines)
    numbers = _Numbers(lines, start)
    tilt_deg, tilt_factor = _tilt(numbers) if tilt == "INCLUDE" else (np.empty(0), np.empty(0))
    return _photometry(numbers, year, tilt_deg, tilt_factor)


def _header(lines: list[str]) -> tuple[int, int, str]:
    """Year of the format, index of the first line after TILT, and what TILT says."""
    first = lines[0] if lines else ""
    found = _VERSION.match(first)
    if found is None and _NAMED.match(first):
        raise IesError(1, f"{first.strip()[:40]!r} is no known edition of LM-63")
    year = 1986  # the first edition has no line that names it
    if found:
        digits = found.group(1)
        year = _YEARS.get(digits[-2:], 0)
        if not year or (len(digits) == 4 and int(digits) != year):
            raise IesError(1, f"LM-63 of {digits} is not known; 1986, 1991, 1995, 2002, 2019 are")
    for index, line in enumerate(lines):
        words = line.strip().upper().replace(" ", "")
        if not words.startswith("TILT="):
            continue
        tilt = words.removeprefix("TILT=")
        if tilt not in ("NONE", "INCLUDE"):
            raise IesError(
                index + 1, "TILT names another file; put its values here, as TILT=INCLUDE"
            )
        return year, index + 1, tilt
    raise IesError(max(len(lines), 1), "no line TILT=NONE or TILT=INCLUDE: no LM-63 file")


class _Numbers:
    """The numbers after the header, each with its line; commas and spaces part them."""

    def __init__(self, lines: list[str], start: int) -> None:
        self._words = [
            (word, number)
            for number, line in enumerate(lines[start:], start + 1)
            for word in line.replace(",", " ").split()
        ]
        self._next = 0
        self._last_line = max(len(lines), 1)

    @property
    def line(self) -> int:
        """Line of the number that was read last."""
        return self._words[self._next - 1][1] if self._next else self._last_line

    def one(self, what: str) -> float:
        """The next number."""
        if self._next == len(self._words):
            raise IesError(self._last_line, f"the file ends before {what}")
        word, line = self._words[self._next]
        self._next += 1
        try:
            value = float(word)
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise IesError(line, f"{what} must be a number, found {word[:20]!r}")
        return value

    def whole(self, what: str, low: int, high: int) -> int:
        """The next number, a whole one within limits."""
        value = self.one(what)
        if value != int(value) or not low <= value <= high:
            raise IesError(self.line, f"{what} must be from {low} to {high}, found {value:g}")
        return int(value)

    def positive(self, what: str) -> float:
        """The next number, above 0."""
        value = self.one(what)
        if not value > 0.0:
            raise IesError(self.line, f"{what} must be above 0, found {value:g}")
        return value

    def rising(self, what: str, count: int) -> Array:
        """`count` numbers, each greater than the one before."""
        values: list[float] = []
        for _ in range(count):
            values.append(self.one(what))
            if len(values) > 1 and not values[-1] > values[-2]:
                raise IesError(self.line, f"{what} must rise, found {values[-1]:g} after "
                               f"{values[-2]:g}")  # fmt: skip
        return np.array(values)

    def end(self) -> None:
        """IesError when anything is left over."""
        if self._next < len(self._words):
            line = self._words[self._next][1]
            left = len(self._words) - self._next
            raise IesError(line, f"{left} numbers more than the counts of angles ask for")


def _tilt(numbers: _Numbers) -> tuple[Array, Array]:
    numbers.whole("the lamp-to-luminaire geometry", 1, 3)
    count = numbers.whole("the number of tilt angles", 1, 1000)
    angles = numbers.rising("tilt angles", count)
    factors = [numbers.one("tilt factors") for _ in range(count)]
    if min(factors) < 0.0:
        raise IesError(numbers.line, "tilt factors must be 0 or more")
    return angles, np.array(factors)


def _photometry(numbers: _Numbers, year: int, tilt_deg: Array, tilt_factor: Array) -> Distribution:
    numbers.whole("the number of lamps", 1, 100_000)
    numbers.one("the lumens per lamp")
    multiplier = numbers.positive("the candela multiplier")
    vertical_count = numbers.whole("the number of vertical angles", 2, 10_000)
    horizontal_count = numbers.whole("the number of horizontal angles", 1, 10_000)
    if vertical_count * horizontal_count > _MOST_VALUES:
        raise IesError(numbers.line, f"more than {_MOST_VALUES} candela values")
    kind = numbers.whole("the photometric type", 1, 3)
    if kind != 1:
        raise IesError(
            numbers.line, f"photometry of type {_TYPES[kind]} is not read; export it as type C (1)"
        )
    numbers.whole("the unit of length", 1, 2)
    for what in ("the width", "the length", "the height"):
        numbers.one(what)
    multiplier *= numbers.positive("the ballast factor")
    lamp_factor = numbers.one("the ballast-lamp factor (since 2002 of other use)")
    if year <= _LAST_WITH_LAMP_FACTOR:
        if not lamp_factor > 0.0:
            raise IesError(numbers.line, f"the ballast-lamp factor is {lamp_factor:g}, not above 0")
        multiplier *= lamp_factor
    power_w = numbers.one("the input watts")
    vertical = _vertical(numbers, vertical_count)
    horizontal = _horizontal(numbers, horizontal_count)
    candela = np.array([_plane(numbers, vertical_count) for _ in range(horizontal_count)])
    numbers.end()
    if not candela.max() > 0.0:
        raise IesError(numbers.line, "no candela value is above 0")
    around, full = _unfolded(horizontal, candela * multiplier)
    return Distribution(vertical, around, full, tilt_deg, tilt_factor, power_w, year)


def _vertical(numbers: _Numbers, count: int) -> Array:
    angles = numbers.rising("vertical angles", count)
    if angles[0] not in (0.0, 90.0) or angles[-1] not in (90.0, 180.0):
        raise IesError(
            numbers.line,
            "vertical angles of type C run from 0 or 90 to 90 or 180, "
            f"found {angles[0]:g} to {angles[-1]:g}",
        )
    return angles


def _horizontal(numbers: _Numbers, count: int) -> Array:
    angles = numbers.rising("horizontal angles", count)
    if (float(angles[0]), float(angles[-1])) not in _HORIZONTAL_ENDS:
        raise IesError(
            numbers.line,
            "horizontal angles of type C are 0 alone, or run from 0 to 90, 180 or 360 or from 90 "
            f"to 270, found {angles[0]:g} to {angles[-1]:g}",
        )
    return angles


def _plane(numbers: _Numbers, count: int) -> list[float]:
    values = []
    for _ in range(count):
        values.append(numbers.one("candela values"))
        if values[-1] < 0.0:
            raise IesError(numbers.line, f"candela values must be 0 or more, found {values[-1]:g}")
    return values


def _unfolded(horizontal: Array, candela: Array) -> tuple[Array, Array]:
    """All planes from 0 to 360 degrees, mirrored as the range of the angles says."""
    angles, rows = horizontal, candela
    if len(angles) == 1 or angles[-1] == 360.0:
        return angles, rows
    if angles[0] == 90.0:  # the same on both sides of the plane through 90 and 270
        angles, first = np.unique(
            np.concatenate([angles, (180.0 - angles) % 360.0]), return_index=True
        )
        rows = np.concatenate([rows, rows])[first]
        seam = _at_zero(angles, rows)
        inner = (angles > 0.0) & (angles < 360.0)
        return (
            np.concatenate([[0.0], angles[inner], [360.0]]),
            np.concatenate([seam, rows[inner], seam]),
        )
    if angles[-1] == 90.0:
        angles, rows = _mirrored(angles, rows)
    return _mirrored(angles, rows)


def _mirrored(angles: Array, rows: Array) -> tuple[Array, Array]:
    """Twice the range: the planes mirrored at the last."""
    more = 2.0 * angles[-1] - angles[-2::-1]
    return np.concatenate([angles, more]), np.concatenate([rows, rows[-2::-1]])


def _at_zero(angles: Array, rows: Array) -> Array:
    """The plane at 0 degrees, between the first and the last, (1, n)."""
    if angles[0] == 0.0:
        return rows[:1]
    gap = angles[0] + 360.0 - angles[-1]
    share = (360.0 - angles[-1]) / gap
    return np.asarray((1.0 - share) * rows[-1:] + share * rows[:1])
