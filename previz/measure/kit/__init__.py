"""What to bring: everything a set needs, counted, weighed and put into cases."""
