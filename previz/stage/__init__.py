"""A scene with everything standing where it belongs, in SI."""
