"""Numbers and states as people read them, the same on every outlet."""
