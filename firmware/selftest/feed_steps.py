"""Steps of the checklist that are about what comes in."""

from firmware.selftest.feed_looks import (
    look_at_camera,
    look_at_changes,
    look_at_codes,
    look_at_order,
)
from firmware.selftest.step import CheckRow

FEED_STEPS = (
    CheckRow(
        5,
        "Do codes below black and above peak survive the bridge?",
        "camera's bars with sub-black and super-white, or a generator; `midgrey read "
        "v4l2:/dev/video0 --at …`",
        "codes 1-15 and 236-254 present. If they are not, say so: footroom and headroom at "
        "the ends are then unknown on this bridge",
        "a capture device, a source of such bars",
        look_at_codes,
    ),
    CheckRow(
        6,
        "Is the matrix what the table says?",
        "75 % colour bars from a camera set to BT.709; `midgrey read` on each bar",
        "R', G', B' of 75 % and 0 % within a code when read as BT.601",
        "a capture device, a camera that shows bars",
    ),
    CheckRow(
        7,
        "Byte order of RGB",
        "`midgrey read v4l2:/dev/video0,format=RGB3` on a blue picture",
        "B high. On the Pi 4 the kernel names the order the wrong way round, and our table "
        "turns it",
        "a capture device, a blue picture",
        look_at_order,
    ),
    CheckRow(
        8,
        "Losing and finding the signal",
        "pull the HDMI plug, put it back",
        "reading gone within 0.5 s plus the driver's own second; back within 1 s",
        "an HDMI bridge, a source",
        look_at_changes,
    ),
    CheckRow(
        9,
        "Nothing plugged in and nothing sent told apart",
        "plug in a camera that is off, then on",
        '"nothing plugged in", then "no signal" or a picture',
        "an HDMI bridge, a camera",
        look_at_changes,
    ),
    CheckRow(
        10,
        "Other modes followed",
        "1080p50, 720p60, 1080p25, an interlaced one",
        "picture each time; for the interlaced one the words and its timings",
        "an HDMI bridge, a source of several modes",
        look_at_changes,
    ),
    CheckRow(
        12,
        "Two-lane EDID",
        "camera's list of modes",
        "no 1080p60 with 2 lanes; 1080p60 with `lanes=4` on a four-lane board",
        "a bridge, a camera that lists modes",
    ),
    CheckRow(
        13,
        "USB stick",
        "`midgrey read v4l2:/dev/v4l/by-id/…`; unplug it and plug it in again",
        'a reading with the warning; "device gone", then back',
        "a USB stick",
        look_at_changes,
    ),
    CheckRow(
        18,
        "Camera connector",
        "`midgrey read camera`, `midgrey read camera:raw`",
        "a reading with its warning; grey steps one stop apart read one stop apart in raw",
        "a camera at the connector",
        look_at_camera,
    ),
)
