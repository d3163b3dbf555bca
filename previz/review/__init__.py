"""Reserved for the served review; nothing is here yet."""
