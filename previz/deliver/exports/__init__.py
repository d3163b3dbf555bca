"""A stage and its numbers as files that other programs open."""
