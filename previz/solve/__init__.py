"""The inverse of measuring: settings and places that give what is wanted."""
