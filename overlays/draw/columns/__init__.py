"""Readings and reports as pieces of type."""
