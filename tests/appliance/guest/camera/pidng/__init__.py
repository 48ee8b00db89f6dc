"""Names that picamera2 reads at its start, of a library for DNG files that midgrey never writes."""
