"""What the four buttons mean now: pages of the rail as plain data, derived from what is shown."""
