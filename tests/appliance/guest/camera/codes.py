"""Codes of the virtual camera's five columns."""

LUMA = (16, 64, 118, 180, 235)
BLUE, RED = (128, 90, 128, 170, 128), (128, 128, 160, 128, 128)
