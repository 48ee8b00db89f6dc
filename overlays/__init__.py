"""What a frame says and how that looks: pure measuring and drawing, no device, file or clock.

Not to be confused with device-tree overlays (`.dtbo` files), which live under `hardware/`.
"""
