"""Lighting ratios between spots, and how even an area is lit."""
