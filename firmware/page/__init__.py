"""The page that a phone opens: picture, numbers and presses of a running unit, once paired."""
