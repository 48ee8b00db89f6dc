"""Every pixel counted once, and the ruler it is counted with."""
