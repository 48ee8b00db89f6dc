"""Keys, buttons and touch: each yields the same actions."""
