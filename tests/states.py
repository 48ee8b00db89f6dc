"""Every state that a screen may be in, with the longest true words of each."""

from dataclasses import replace

import numpy as np

from firmware.feeds.camera import PICTURE_WARNING, RAW_WARNINGS
from firmware.instruments.registry import REGISTRY
from firmware.screen.backlight import UNKNOWN
from firmware.system.compiling import ABOUT, Compiling
from overlays.draw.layout.cube import Cube
from overlays.draw.layout.monitor import Monitor, ViewTransform
from overlays.draw.moment.lineup import GUIDE, Lineup
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Face, RailLabel

WIDE = [(480, 320), (800, 480), (1024, 600), (1280, 720), (1920, 1080)]
SIZES = [*WIDE, (320, 480), (480, 800), (720, 1280)]
DEEP = "bench:size=640x360,rate=2,curve=S-Log3,signal=yuv422-10,exposure=-4,kelvin=2800,dial=9000"
BRIGHT = "bench:size=640x360,rate=2,curve=V-Log,signal=nv12,exposure=5,kelvin=9000,dial=2800"
PLAIN = "bench:size=640x360,rate=2"
CHIPS = ((389, 155), (320, 180), (389, 204))
TURNS = 8
"""After so many each row has had its turn, beside the rail, which takes some of the room."""

TROUBLES = (PICTURE_WARNING, *RAW_WARNINGS, "buttons do not work: line 17 of the header is in use")
WEAK = Alert(
    "supply too weak: the board slows down; use its own 27 W supply", Tone.ALARM, "WEAK SUPPLY"
)
SAVED = "saved midgrey-1700000000.png and .cc and .whole.cc in /var/lib/midgrey"
ABSENT = "v4l2:/dev/v4l/by-id/usb-HDMI_Capture-video-index0 is not there yet, looking for it"
PATH = (
    "/media/card/day 12/camera A/a very long name that somebody gave to a take A001_C003_0612.mov"
)


NAMES = tuple(view.name for view in REGISTRY.views())
LONGEST = (
    *(RailLabel("setting −"), RailLabel("setting +")),
    *(RailLabel("next setting", "drop ghost"),) * 2,
)
"""Labels as long as any (`test_rail_pieces` lays each of them)."""


LINING_UP = tuple(map(RailLabel, ("darker", "brighter", "next step", "done")))
FIGURES = dict.fromkeys(NAMES, "too noisy for this tolerance")
"""A figure that is as long as any."""


OTHERWISE = Monitor(
    transform=ViewTransform.CUBE,
    cube=Cube(f"{'W' * 19}.cube", (0.0,) * 3, (1.0,) * 3, np.zeros((2, 3), np.float32)),
    flipped=True,
    mirrored=True,
    factors=(1.333,),
    factor=0,
    frame=0,
    times=4,
)
"""Everything that can be asked of the picture, with a name as long as any."""


def indexed(shown):
    """The index over a moment, with a warning and an alert besides."""
    measured = None if shown.measured is None else replace(shown.measured, figures=FIGURES)
    return replace(shown, index=NAMES, measured=measured, alert=WEAK)


def preparing():
    compiling = Compiling()
    for _ in range(ABOUT):
        compiling.one_more()
    return compiling.words


def states(shown):
    """The moment as it was, and in every state that a screen may be in."""
    named = replace(shown.source, feed=f"{PATH}: 1920x1080 10-bit 4:2:2", name=PATH)
    return {
        "live": shown,
        "resting": replace(shown, rail=()),
        "its own page": replace(shown, rail=LONGEST),
        "held": replace(shown, face=Face.HELD, face_words="frame 1234567 held"),
        "stale": replace(shown, face=Face.STALE, face_words="last frame 1234.5 s ago"),
        "absent": replace(shown, face=Face.LOST, face_words=ABSENT, measured=None, source=named),
        "starting": replace(shown, face=Face.STARTING, face_words=preparing(), measured=None),
        "alert": replace(shown, alert=WEAK, warnings=TROUBLES),
        "lost with an alert": replace(shown, face=Face.LOST, face_words=ABSENT, alert=WEAK),
        "note": replace(shown, note=SAVED),
        "note with an alert": replace(shown, note=SAVED, alert=WEAK),
        "index": indexed(shown),
        "index, stale": replace(indexed(shown), face=Face.STALE, face_words="last frame 9.9 s ago"),
        **{
            f"lining up, {n}": replace(shown, lineup=Lineup(n, UNKNOWN), rail=LINING_UP, alert=WEAK)
            for n in range(len(GUIDE))
        },
        "shown otherwise": replace(shown, monitor=OTHERWISE),
        "long name": replace(shown, source=replace(named, is_simulated=False), warnings=()),
    }
