"""The live loop: frames taken, measured and shown until somebody quits."""
