"""Where everything stands, as a tape measure finds it and as a plan draws it."""
