"""Procedural patterns at true scale, as tiles that repeat without a seam."""

from previz.render.patterns.tile import Tile, tile_of

__all__ = ["Tile", "tile_of"]
