"""How measured numbers are told: sentences, tables, JSON, rounding."""
