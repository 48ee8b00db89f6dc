"""See the package."""


class PICAM2DNG:
    """A writer of files."""
