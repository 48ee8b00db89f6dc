"""Levels column by column under the picture, and the strip of a watch."""
