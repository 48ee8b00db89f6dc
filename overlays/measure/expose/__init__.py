"""Which move of the camera puts an exposure right."""
