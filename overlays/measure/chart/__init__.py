"""A colour chart found, read and compared."""
