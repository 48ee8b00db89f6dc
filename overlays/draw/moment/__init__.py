"""All that a screen shows at one moment, as plain values."""
