"""See the package."""


class Picamera2Camera:
    """A camera's model, in a file."""
