"""Framing, focus, light, continuity: numbers and findings, never a render."""
