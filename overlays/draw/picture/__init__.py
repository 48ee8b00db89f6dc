"""The feed's picture at screen size, with its stripes."""
