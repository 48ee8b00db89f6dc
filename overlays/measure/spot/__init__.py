"""The mean light of a small area, and its ±."""
