"""A camera from a cap, a bracket of a grey card and a clip: its curve, clip, floor and noise."""
