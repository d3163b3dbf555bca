"""Light on faces, in frames, in eyes and spectacles; meters."""
