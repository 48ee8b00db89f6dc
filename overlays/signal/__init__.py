"""How codes are to be read: frames, levels, curves."""
