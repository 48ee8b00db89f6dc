"""What is laid over the picture: spot, pins, things, evenness."""
