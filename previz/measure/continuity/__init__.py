"""Between cameras: the line, pairs, settings."""
