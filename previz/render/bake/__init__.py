"""Light arriving at every surface of a stage, computed once and kept."""
