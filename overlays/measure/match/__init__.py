"""What brings camera B to camera A."""
