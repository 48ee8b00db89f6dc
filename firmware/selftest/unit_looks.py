"""What midgrey finds out by itself of the unit: its screen, its start, its pace, how it is."""

import json
import sys
import tempfile
from pathlib import Path
from typing import Any

from firmware.errors import FirmwareError
from firmware.feeds.address import shown
from firmware.health.asked_once import conditions
from firmware.health.board import model, temperature_c
from firmware.health.condition import Severity, Subject
from firmware.screen.find_display import Driver, find_display
from firmware.selftest.feed_looks import NO_FEED, frame_of, opened
from firmware.selftest.found import Figure, RowFound, RowOutcome, left_open, missing
from firmware.selftest.step import AtHand
from overlays.errors import OverlayError
from overlays.wording.read_number import whole

UNIT = "midgrey"
START_GOAL_S = 3.0
"""From the service's start to its first reading: the checklist's goal."""
ASK_S = 10.0
"""Longest for a program that answers at once."""
FRAMES = 250
"""Looked at for pace and age: ten seconds at 25 a second."""
FRAMES_S = 120.0
"""Longest for them, with a first start that compiles."""
AGE_FRAMES = 2.0
"""How old a frame on the screen may be, in frames: the checklist's bound."""


def look_at_driver(around: AtHand) -> RowFound:
    """What draws, and whether the unit's log says that nothing seen is drawn."""
    display = find_display(around.environ, around.root)
    if not display.shows:
        return missing(f"no screen: {display.reason}")
    figures = [Figure("drawn by", display.driver.value), Figure("screen", display.reason)]
    log = around.run(["journalctl", "-b", "-q", "--no-pager", "-o", "cat", "-u", UNIT], ASK_S)
    if log.status != 0 or not log.said.strip():
        return left_open("the unit has no log here that could be looked at", *figures)
    unseen = [word for word in ("offscreen", "dummy") if word in log.said]
    if unseen:
        return RowFound(
            RowOutcome.OTHERWISE, f"the log mentions {' and '.join(unseen)}", tuple(figures)
        )
    return RowFound(RowOutcome.AS_EXPECTED, "the log mentions neither", tuple(figures))


def look_at_start(around: AtHand) -> RowFound:
    """How long the service took from its start to its first reading."""
    names = ("ExecMainStartTimestampMonotonic", "ActiveEnterTimestampMonotonic")
    asked = around.run(["systemctl", "show", UNIT, "-p", ",".join(names)], ASK_S)
    given = dict(line.partition("=")[::2] for line in asked.said.splitlines())
    try:
        began, active = (whole(given[name]) for name in names)
    except (KeyError, ValueError):
        began = active = 0
    if asked.status != 0 or began <= 0 or active <= began:
        return missing("midgrey does not run as a service here; install it, or start it")
    took_s = round((active - began) / 1e6, 2)
    said = around.run(["systemd-analyze"], ASK_S)
    whole_start = (
        said.said.strip().splitlines()[0] if said.status == 0 and said.said.strip() else ""
    )
    figures = (
        Figure("to the first reading", took_s, "s"),
        Figure("whole start", whole_start or None),
    )
    is_met = took_s <= START_GOAL_S
    outcome = RowOutcome.AS_EXPECTED if is_met else RowOutcome.OTHERWISE
    return RowFound(
        outcome, f"the goal of {START_GOAL_S:g} s is {'' if is_met else 'not '}met", figures
    )


def look_at_pace(around: AtHand) -> RowFound:
    """Frames lost, and the age of those on the screen."""
    if around.feed is None:
        return missing(NO_FEED)
    try:
        with opened(around, around.feed) as feed:
            mode, rate = feed.info.description, feed.info.rate
    except (FirmwareError, OverlayError, OSError) as fault:
        return missing(str(fault))
    return _paced(around, around.feed, mode, rate)


def _paced(around: AtHand, spec: str, mode: str, rate: float) -> RowFound:
    """Frames shown in a process of its own, as a unit would."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stats.json"
        asked = [sys.executable, "-m", "firmware", "run", spec]
        asked += ["--frames", str(FRAMES), "--stats", str(path)]
        done = around.run(asked, FRAMES_S)
        try:
            stats: dict[str, Any] = json.loads(path.read_text())
            lost = int(stats["frames"]["dropped_after_warm_up"])
            came = int(stats["frames"]["in"])
            age_ms = stats["age_ms"].get("p50")
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            said = shown((done.said.strip().splitlines() or ["it said nothing"])[-1])
            return missing(
                f"{FRAMES} frames could not be shown ({said}); a unit that runs holds the device: "
                "systemctl stop midgrey, then again"
            )
    figures = (
        Figure("mode", mode),
        Figure("frames that came", came),
        Figure("frames lost", lost),
        Figure("age on the screen, median", age_ms, "ms"),
    )
    if age_ms is None or rate <= 0.0:
        return left_open("the age or the rate of the frames is not known", *figures)
    most_ms = AGE_FRAMES * 1000.0 / rate
    is_met = lost == 0 and float(age_ms) <= most_ms
    words = f"{lost} frames lost, median age {age_ms} ms, and {most_ms:.0f} ms are two frames"
    return RowFound(RowOutcome.AS_EXPECTED if is_met else RowOutcome.OTHERWISE, words, figures)


def look_at_graph(around: AtHand) -> RowFound:
    """The way of pictures through the media graph of a Raspberry Pi 5."""
    board = model(around.root)
    if "Raspberry Pi 5" not in board and "Compute Module 5" not in board:
        return missing(f"this is no Raspberry Pi 5 ({board or 'the machine does not name itself'})")
    said = around.run(["media-ctl", "-p"], ASK_S)
    if said.status != 0:
        return missing(f"media-ctl cannot be asked: {said.said.strip()[:200]}; install v4l-utils")
    lines = [line for line in said.said.splitlines() if "rp1-cfe-csi2_ch0" in line and "->" in line]
    if not any("ENABLED" in line for line in lines):
        return RowFound(RowOutcome.OTHERWISE, "the link to rp1-cfe-csi2_ch0 is not enabled")
    words = "the link to rp1-cfe-csi2_ch0 is enabled"
    if around.feed is None:
        return RowFound(RowOutcome.OTHERWISE, f"{words}, but {NO_FEED}")
    try:
        with opened(around, around.feed) as feed:
            feed.release(frame_of(around, feed))
            return RowFound(
                RowOutcome.AS_EXPECTED, f"{words}, and pictures come: {feed.info.words}"
            )
    except (FirmwareError, OverlayError, OSError) as fault:
        return RowFound(RowOutcome.OTHERWISE, f"{words}, but no picture comes: {fault}")


def look_at_panel(around: AtHand) -> RowFound:
    """Whether a panel on SPI would be drawn on."""
    display = find_display(around.environ, around.root)
    if display.driver is not Driver.FRAMEBUFFER:
        return missing(f"no panel on SPI is what is drawn on ({display.reason})")
    return left_open("somebody has to look at the panel", Figure("panel", display.reason))


def look_at_health(around: AtHand) -> RowFound:
    """How warm the board is and how its supply holds, just now."""
    found = conditions(around.environ, around.clock.now_ns(), around.root)
    about = [each for each in found if each.subject in {Subject.POWER, Subject.TEMPERATURE}]
    figures = (
        Figure("processor", temperature_c(around.root), "°C"),
        *(Figure(each.subject.value, each.words) for each in about),
    )
    if all(each.severity is Severity.UNKNOWN for each in about):
        return missing("this machine says neither how warm it is nor how its supply holds")
    return left_open("as it is now; what the step asks for takes somebody's time", *figures)
