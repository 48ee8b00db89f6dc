"""Colorimetry that several measurements share."""
