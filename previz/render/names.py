"""What back ends are called: in manifests, and on the command line. Loads nothing."""

from __future__ import annotations

PATH_TRACER, RASTER = "path tracer", "raster"
WORDS = {name.replace(" ", "-"): name for name in (PATH_TRACER, RASTER)}
"""Names by the words that people type; the usual one first."""
