"""Where things stand, in which colours and type."""
