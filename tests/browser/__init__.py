"""A real browser for tests of pages."""
