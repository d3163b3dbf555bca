"""What a camera sees and frames: optics, framing, sight."""
