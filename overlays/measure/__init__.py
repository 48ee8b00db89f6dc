"""What a frame says. Imports no pygame: a reading without a screen never loads it."""
