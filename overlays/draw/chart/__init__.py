"""A chart's patches beside what they should be."""
