"""Everything measured as one table: a row a value, as exact as it was measured, with its unit."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path
from typing import Any

from previz.deliver.files import write_text
from previz.measure.report import Report
from previz.telling.quantities import Leaf, leaves
from previz.telling.report_json import report_tree

COLUMNS = ("path", "value", "unit", "meaning", "source")


def write_measured(path: Path, report: Report) -> None:
    """Write the table of a report.

    `path` is where the value stands in `previz measure --json`. Infinity is `inf`; what is not
    there is empty.
    """
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(COLUMNS)
    table.writerows(_row(leaf) for leaf in leaves(report_tree(report)))
    write_text(path, text.getvalue())


def _row(leaf: Leaf) -> tuple[str, ...]:
    meaning, source = (leaf.row.meaning, leaf.row.source) if leaf.row else ("", "")
    return leaf.path, _written(leaf.value), leaf.unit, meaning, source


def _written(value: Any) -> str:
    """As short as it goes without losing anything."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return repr(float(value))
    return str(value)
