"""Things of the trade that stand in the room: lights, cameras, sound, grip."""
