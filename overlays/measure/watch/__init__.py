"""When the light moved during a take."""
