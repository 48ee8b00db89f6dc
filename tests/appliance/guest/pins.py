"""Inside the guest: midgrey's own buttons, encoder and lamp on a simulated chip's lines."""

import os
import time
from itertools import pairwise
from pathlib import Path

from firmware.actions import Edge
from firmware.clock import SystemClock
from firmware.controls.gpio_map import read_pins, shipped_pins
from firmware.controls.panel import open_panel
from firmware.instruments.advice.instrument import EXPOSE
from overlays.draw.layout.views import TraceKind
from overlays.draw.moment.shown import Face, Shown, Source

LINES = next(Path("/sys/devices/platform").glob("gpio-sim.*/gpiochip*"))
PINS = read_pins(shipped_pins())
ROOT = Path("/run/board")
UP, DOWN = "pull-up", "pull-down"
STILL_S = 0.08


class Quiet:
    """A screen nobody looks at."""

    def actions(self):
        return []

    def paint(self, shown):
        pass


def pull(pin, way):
    """What a contact does to its line: closed is down."""
    (LINES / f"sim_gpio{pin}/pull").write_text(way)


def level(pin):
    """What the line says."""
    return int((LINES / f"sim_gpio{pin}/value").read_text())


def opened():
    """The panel of a board, from a folder in which nothing can be written."""
    (ROOT / "proc/device-tree").mkdir(parents=True, exist_ok=True)
    (ROOT / "proc/device-tree/model").write_text("Raspberry Pi 4 Model B Rev 1.1\0")
    os.environ.pop("LG_WD", None)
    os.environ["XDG_RUNTIME_DIR"] = "/run"
    os.chdir("/sys")
    panel, warning = open_panel(Quiet(), SystemClock(), ROOT)
    assert panel is not None, warning
    return panel


def release_all():
    """Every contact open."""
    pins = [*PINS.rail, *PINS.buttons, *PINS.encoder, PINS.encoder_press]
    for pin in pins:
        pull(pin, UP)


def told(action):
    """A press by its name, an edge of the rail by its button and what it did."""
    if isinstance(action, Edge):
        return f"{action.button + 1} {action.contact.value}"
    return action.name


def gathered(panel, count, timeout_s=2.0, quiet_s=0.15):
    """Names of presses: until so many came and then nothing more for a while."""
    found, end = [], time.monotonic() + timeout_s
    while time.monotonic() < end:
        found += [told(action) for action in panel.actions()]
        if len(found) >= count:
            end = min(end, time.monotonic() + quiet_s)
            count = 1 << 30
        time.sleep(0.001)
    return found


def press_each(panel):
    """(what is wanted, what came, milliseconds to the first) of each button."""
    answers = []
    buttons = {pin: [f"{n} closed", f"{n} opened"] for n, pin in enumerate(PINS.rail, start=1)}
    buttons |= {pin: [press.name] for pin, press in PINS.buttons.items()}
    buttons[PINS.encoder_press] = ["NEXT_STRIPE"]
    for pin, wanted in buttons.items():
        start = time.monotonic()
        pull(pin, DOWN)
        came = []
        while not came and time.monotonic() < start + 2.0:
            came = [told(each) for each in panel.actions()]
            time.sleep(0.001)
        took_ms = 1e3 * (time.monotonic() - start)
        time.sleep(0.05)
        pull(pin, UP)
        came += gathered(panel, 1, 0.2)
        answers.append((wanted, came, took_ms))
    return answers


def pull_all(moves, every_s=0.0):
    """Pull lines one after the other; the longest time between two, in milliseconds."""
    longest, before = 0.0, time.monotonic()
    for pin, way in moves:
        pull(pin, way)
        time.sleep(every_s)
        now = time.monotonic()
        longest, before = max(longest, now - before), now
    return 1e3 * longest


def bounce(panel, pin, times):
    """A contact that bounces before it closes and before it opens: what came, longest rest."""
    longest = pull_all([*([(pin, DOWN), (pin, UP)] * times), (pin, DOWN)])
    time.sleep(0.2)
    longest = max(longest, pull_all([*([(pin, UP), (pin, DOWN)] * times), (pin, UP)]))
    return gathered(panel, 1, 0.5), longest


def turn(panel, steps):
    """An encoder turned by hand, a quarter of a step every 5 ms or so: what came, in how long."""
    first, second = PINS.encoder if steps > 0 else PINS.encoder[::-1]
    step = [(first, DOWN), (second, DOWN), (first, UP), (second, UP)]
    start = time.monotonic()
    pull_all(step * abs(steps), 0.005)
    took_ms = 1e3 * (time.monotonic() - start)
    return gathered(panel, abs(steps), 5.0), took_ms


def lamp(panel):
    """Levels of the lamp's line: at first, without a signal for 1.2 s, and live again."""
    source = Source("", "", "")
    before = level(PINS.lamp)
    panel.paint(Shown(EXPOSE, TraceKind.LUMA, None, Face.LOST, "", source))
    seen, start = [], time.monotonic()
    while level(PINS.lamp) == 0 and time.monotonic() < start + 1.0:
        time.sleep(0.01)  # until the lamp, which has a thread of its own, had its turn
    start = time.monotonic()
    while time.monotonic() < start + 1.2:
        panel.actions()
        if not seen or seen[-1] != level(PINS.lamp):
            seen.append(level(PINS.lamp))
        time.sleep(0.01)
    panel.paint(Shown(EXPOSE, TraceKind.LUMA, None, Face.STARTING, "", source))
    time.sleep(0.5)  # the lamp has a thread of its own
    return before, seen, level(PINS.lamp)


def lights(lines, seconds):
    """What these lines said for so long, each lasting state once, and how often they rose.

    Lines are switched, and read, one after the other: what stands for less than STILL_S is between.
    """
    seen, end = [], time.monotonic() + seconds
    last, since = None, 0.0
    while time.monotonic() < end:
        now = tuple(level(pin) == 1 for pin in lines)
        if now != last:
            last, since = now, time.monotonic()
        elif time.monotonic() - since >= STILL_S and (not seen or seen[-1] != now):
            seen.append(now)
        time.sleep(0.01)
    rises = sum(any(after) and not any(before) for before, after in pairwise(seen))
    return sorted(set(seen)), rises


def press(number):
    """A button of the rail, from 1, pressed for a fifth of a second."""
    pull(PINS.rail[number - 1], DOWN)
    time.sleep(0.2)
    pull(PINS.rail[number - 1], UP)
