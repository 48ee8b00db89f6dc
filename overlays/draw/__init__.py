"""How a frame and its readings look, on pygame surfaces; no window, no clock."""
