"""Which previz this is."""

from __future__ import annotations

import importlib.metadata


def version() -> str:
    """Version of the installed package; words where it runs from a folder."""
    try:
        return importlib.metadata.version("previz")
    except importlib.metadata.PackageNotFoundError:
        return "(run from a folder, not installed)"
