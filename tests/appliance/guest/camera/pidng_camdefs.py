"""A name that picamera2 reads at its start, of a library for DNG files: midgrey writes none."""


class Picamera2Camera:
    """A camera's model, in a file."""
