"""Cb against Cr on a round graticule."""
