"""What people hold: frames, notes on them, and files written whole."""
