"""Whether a feed is what it is taken for: cap, card and clip against everything that is known."""
