"""The proof that a way to compute gives the right light: a small stage whose light is known."""
