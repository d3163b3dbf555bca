"""Hair of the head and the face: where it grows, how it is cut, combed and gathered."""
