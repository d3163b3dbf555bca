"""From light to photograph: exposure, white balance, view."""
