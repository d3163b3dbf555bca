"""Cameras in motion: from the keys of a move to a camera at every moment."""
