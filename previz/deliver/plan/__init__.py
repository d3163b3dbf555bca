"""Floor plan, elevations and setting-out table as a crew holds them."""
