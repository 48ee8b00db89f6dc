"""The profile model, its reader, and the presets that ship."""
