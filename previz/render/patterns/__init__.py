"""Procedural patterns at true scale, as tiles that repeat without a seam."""

from previz.render.patterns.figure import PatternFigure
from previz.render.patterns.tile import Tile, figure_of, tile_of, two_colours

__all__ = ["PatternFigure", "Tile", "figure_of", "tile_of", "two_colours"]
