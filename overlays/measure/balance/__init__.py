"""White balance off a neutral card."""
