"""The path tracer on Mitsuba 3."""
