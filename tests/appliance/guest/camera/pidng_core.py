"""A name that picamera2 reads at its start, of a library for DNG files: midgrey writes none."""


class PICAM2DNG:
    """A writer of files."""
