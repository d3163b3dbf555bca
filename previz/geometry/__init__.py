"""Shapes from nothing: pieces, rooms, people, furniture and gear, in metres."""
