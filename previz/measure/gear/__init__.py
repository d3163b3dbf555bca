"""What stands in the room: floor, stands, heat, power."""
