"""What a room does to a voice, and where the microphones are to it."""
