"""The first start of a card: what only the board can do is done once, step by step, and shown."""
