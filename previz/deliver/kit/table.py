"""The packing list as CSV: one row a line, for other programs."""

from __future__ import annotations

import csv
from pathlib import Path

from previz.deliver.files import whole_file
from previz.measure.kit.day import Day
from previz.telling.kit import Words, head, rows


def write_csv(path: Path, day: Day, words: Words) -> None:
    """Write it whole. OutputError where it cannot be written."""
    with whole_file(path) as fresh, fresh.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(head(day, words))
        table.writerows(rows(day, words))
