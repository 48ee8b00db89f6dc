"""Where the picture goes: a window, a panel's memory, turned or not."""
