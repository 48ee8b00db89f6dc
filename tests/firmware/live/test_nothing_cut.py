"""Every view in every state with the longest true values: nothing is cut, hidden or left out."""

from dataclasses import replace

import pytest

from firmware.controls.keyboard import help_entries
from firmware.feeds.camera import PICTURE_WARNING, RAW_WARNINGS
from firmware.instruments.registry import REGISTRY
from firmware.system.compiling import ABOUT, Compiling
from overlays.draw.layout.lettering import Text
from overlays.draw.layout.theme import TEXT
from overlays.draw.layout.views import Area, Layout, layout
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Face, RailLabel, Shown
from tests.laid import Line, Paper, faults, missing
from tests.moments import every_view

SIZES = [(480, 320), (800, 480), (1024, 600), (1280, 720), (1920, 1080)]
DEEP = "bench:size=640x360,rate=2,curve=S-Log3,signal=yuv422-10,exposure=-4,kelvin=2800,dial=9000"
BRIGHT = "bench:size=640x360,rate=2,curve=V-Log,signal=nv12,exposure=5,kelvin=9000,dial=2800"
PLAIN = "bench:size=640x360,rate=2"
CHIPS = ((389, 155), (320, 180), (389, 204))
TURNS = 8
"""After so many each row has had its turn, beside the rail, which takes some of the room."""

TROUBLES = (PICTURE_WARNING, *RAW_WARNINGS, "buttons do not work: line 17 of the header is in use")
WEAK = Alert("supply too weak: the board slows down; use its own 27 W supply", Tone.ALARM)
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


FIGURES = dict.fromkeys(NAMES, "too noisy for this tolerance")
"""A figure that is as long as any."""


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
        "index": indexed(shown),
        "index, stale": replace(indexed(shown), face=Face.STALE, face_words="last frame 9.9 s ago"),
        "long name": replace(shown, source=replace(named, is_simulated=False), warnings=()),
    }


@pytest.mark.parametrize(
    ("feed", "profile"), [(DEEP, "standard"), (BRIGHT, "standard"), (PLAIN, None)]
)
def test_nothing_is_cut_or_missing_in_any_view_at_any_size(feed, profile):
    papers = [Paper(size) for size in SIZES]
    found: list[str] = []
    views = set()

    def look(shown):
        known, every = shown.view.name in views, states(shown)
        views.add(shown.view.name)
        for paper in papers:
            for name, moment in {"live": shown}.items() if known else every.items():
                left = None
                for turn in range(TURNS):
                    made, lines = paper.lay(replace(moment, turn=turn))
                    where = f"{shown.view.name}, {name}, {made.screen.width}: "
                    found.extend(where + each for each in faults(made, lines))
                    hidden = set(missing(lines, moment))
                    left = hidden if left is None else left & hidden
                    if not left and not any("part " in line.text.words for line in lines):
                        break
                found.extend(f"{where}missing: {each!r}" for each in left)

    every_view(feed, profile, look, pins=CHIPS)
    assert views == {view.name for view in REGISTRY.views()}
    assert found == []


@pytest.mark.parametrize("size", SIZES)
def test_every_key_of_the_help_is_said_whole(size):
    seen: list[Shown] = []
    found: list[str] = []
    paper = Paper(size)
    every_view(PLAIN, None, seen.append, views=["expose"])
    said = ""
    for turn in range(TURNS):
        moment = replace(seen[0], help=help_entries(), turn=turn)
        made, lines = paper.lay(moment)
        laid = lines[-paper.of_help :]
        said += " " + " ".join(line.text.words for line in laid)
        found += faults(made, laid)
    assert found == []
    for label, words in help_entries():
        assert label in said
        assert all(word in said for word in words.split())


def line(words, left, top):
    return Line(Text(words, left, top, 15, TEXT), Area(left, top, 100, 20))


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        ([line("headroo…", 500, 20)], "cut"),
        ([line("one thing ·", 500, 20)], "a dot beside nothing"),
        ([line("far out", 750, 20)], "out of the screen"),
        ([line("one", 600, 20), line("other", 650, 25)], "one over the other"),
    ],
)
def test_what_is_wrong_is_found(lines, fault):
    made: Layout = layout(REGISTRY.view("expose"), (800, 480), (16, 9))
    (said,) = faults(made, lines)
    assert said.startswith(fault)
