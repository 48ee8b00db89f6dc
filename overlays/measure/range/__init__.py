"""Where the brightest and darkest things lie, and where they will."""
