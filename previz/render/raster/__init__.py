"""Drawing at once what is lit already, by OpenGL on a card or in software.

Importing this loads nothing of OpenGL; a `Canvas` that is made does.
"""

from previz.render.raster.canvas import Canvas, Guides
from previz.render.raster.shot import Shot

__all__ = ["Canvas", "Guides", "Shot"]
