"""Presets: what a unit starts as, in files that any laptop can write."""
