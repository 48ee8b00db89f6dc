"""The built-in simulated camera, whose truth is known."""
