"""What numbers are held against; one file for each family of rules."""
