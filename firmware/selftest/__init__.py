"""The walk through hardware/checklist.md: what only a board shows, written down by one command."""
