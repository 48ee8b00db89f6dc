"""A few video timings in the kernel's form, for the fake capture board."""

from firmware.v4l2 import structs

# CTA-861 timings as the kernel lists them (include/uapi/linux/v4l2-dv-timings.h): pixel clock,
# total columns less active, total rows less active.
KNOWN = {
    "480p60": (640, 480, 25_175_000, 160, 45),
    "576p50": (720, 576, 27_000_000, 144, 49),
    "1080p60": (1920, 1080, 148_500_000, 280, 45),
    "1080p50": (1920, 1080, 148_500_000, 720, 45),
    "1080p25": (1920, 1080, 74_250_000, 720, 45),
    "720p60": (1280, 720, 74_250_000, 370, 30),
    "1080i50": (1920, 1080, 74_250_000, 720, 45),
}


def timing(name: str) -> structs.DvTimings:
    """One of the `KNOWN` timings in the kernel's form."""
    columns, rows, clock, blank_columns, blank_rows = KNOWN[name]
    raw = structs.DvTimings()
    raw.u.bt.width, raw.u.bt.height, raw.u.bt.pixelclock = columns, rows, clock
    raw.u.bt.hsync, raw.u.bt.vsync = blank_columns, blank_rows
    raw.u.bt.interlaced = int("i" in name)
    return raw
