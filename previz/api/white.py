"""What the cameras call white: by number, or the light on a card before a face."""

from __future__ import annotations

import numpy as np

from previz.physics.colour import xy_from_rgb
from previz.physics.white import white_xy
from previz.render.cards import Card
from previz.stage.stage import Stage

USUAL_WHITE_K = 5600.0


def white_of(stage: Stage, card: Card) -> tuple[float, float]:
    """CIE x, y of what the cameras call white: by number, or the light on the card."""
    total = np.sum(list(card.values()), axis=0) if card else np.zeros(3)
    if stage.white_card_of is None or not np.any(total > 0.0):
        return white_xy(stage.white_cct_k or USUAL_WHITE_K)
    x, y = xy_from_rgb(total)
    return float(x), float(y)
