"""Camera moves in numbers: what they run into, what they keep sharp, how fast they are."""
