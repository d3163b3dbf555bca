"""The catalogue of real measures that all scenes share, read from `shared/`.

`shared/README.md` says what each file holds and how to add one's own.
"""

from __future__ import annotations

from pathlib import Path

from previz.catalog import folders
from previz.catalog.catalog import KINDS, SINGULAR, Catalog, Hit, RecordKind
from previz.catalog.summary import luminous_reflectance, summary

__all__ = [
    "KINDS",
    "SINGULAR",
    "Catalog",
    "Hit",
    "RecordKind",
    "data_file",
    "luminous_reflectance",
    "summary",
]


def data_file(*parts: str) -> Path:
    """Path of shared data that are no records, such as `data_file("people", "body.npz")`.

    Looks in the folder named by PREVIZ_CATALOG, then in the built-in one. Raises CatalogError
    if there is no such file.
    """
    return folders.find_file(folders.folders(), *parts)
