"""The live HDMI path: what is sent in at the cable is what is read, and nothing else is.

Each check takes a running machine with the pictures on its second disk and midgrey's service
stopped, and answers with the figures worth keeping.
"""

import itertools

from machine import Machine
from pictures import NAMES, bar_codes

# Indices of `v4l2-ctl --list-dv-timings` and of vivid's own menu for the same timings.
LISTED = {"720p60": 7, "1080p25": 9, "1080p50": 12}
MENU = {"720p60": 9, "1080p25": 11, "1080p50": 14}
# What the output can say of its colours; the matrix goes with the colour space, and the range is
# always said to be limited, so full range is told to midgrey as a user would.
COLOUR = {"709": "colorspace=rec709", "601": "colorspace=smpte170m"}
FOURCC = {"uyvy": "UYVY", "yuyv": "YUYV", "nv12": "NV12"}
NODE = "/dev/video10"


def play(machine: Machine, name: str, layout: str, rows: int, matrix: str = "709") -> None:
    """Have the board's HDMI output send a picture to its input, with the same timings on both."""
    timings, columns = ("720p60", 1280) if rows == 720 else ("1080p25", 1920)
    control(machine, f"dv_timings={MENU[timings]}")
    control(machine, "dv_timings_signal_mode=4")
    path = f"/run/pictures/{name}.{layout}"
    what = f"{FOURCC[layout]} {LISTED[timings]} {columns} {rows} {COLOUR[matrix]}"
    machine.check(f"bash /run/tests/play.sh {path} {what}")


def stop_playing(machine: Machine) -> None:
    """Back to the test pattern generator, 720p60."""
    machine.run("pkill -x v4l2-ctl")
    control(machine, "hdmi_000_0_is_connected_to=0", f"dv_timings={MENU['720p60']}")
    control(machine, "dv_timings_signal_mode=4")


def control(machine: Machine, *settings: str) -> None:
    """Set controls of the capture board."""
    machine.check(f"v4l2-ctl -d {NODE} -c {','.join(settings)}")


def _rows_of(name: str) -> int:
    return 1080 if name[:3] in {"s02", "s03"} else 720


SPOTS = "'--at','0.5,0.5','--at','0.25,0.25','--at','0.75,0.3','--at','0.1,0.9'"


def pictures_read_as_their_files(machine: Machine, layouts: tuple[str, ...], names=NAMES) -> str:
    """Real pictures through the cable give the numbers that `midgrey read` gives of the file."""
    compared = 0
    for name, layout in itertools.product(names, layouts):
        play(machine, name, layout, _rows_of(name))
        # The first frames may still be those of the picture before.
        live, file = machine.python(
            f"size = ':size={1920 if _rows_of(name) == 1080 else 1280}x{_rows_of(name)}'\n"
            f"words = ['--json', '--range', 'limited', '--matrix', 'BT.709', {SPOTS}]\n"
            f"path = '/run/pictures/{name}.{layout}'\n"
            f"node = 'v4l2:{NODE},format={FOURCC[layout]}'\n"
            "answer = [live.midgrey('read', node, '--frame', '8', *words),\n"
            "          live.midgrey('read', path + size, *words)]\n"
        )
        assert live["spots"] == file["spots"], (name, layout, live["spots"], file["spots"])
        assert live["frame"] == file["frame"], (name, layout, live["frame"], file["frame"])
        assert len(file["spots"]) == 4
        compared += 1
    stop_playing(machine)
    return f"{compared} pictures equal in every number"


def bars_are_arithmetic(machine: Machine) -> str:
    """Bars limited and full, 601 and 709: the signal is recognised, the codes are those sent."""
    worst = 0.0
    for matrix, levels in itertools.product(("709", "601"), ("limited", "full")):
        play(machine, f"bars-{matrix}-{levels}", "uyvy", 720, matrix)
        places = ",".join(f"'--at','{80 + 160 * bar},360,32'" for bar in range(8))
        answer = machine.python(
            f"words = ['--json', '--frame', '8', {places}]\n"
            f"words += ['--range', 'full'] if '{levels}' == 'full' else []\n"
            f"answer = live.midgrey('read', 'v4l2:{NODE}', *words)"
        )
        feed = answer["feed"]
        assert (feed["range"], feed["matrix"]) == (levels, f"BT.{matrix}"), feed
        for spot, codes in zip(answer["spots"], bar_codes(matrix, levels), strict=True):
            off = max(abs(a - float(b)) for a, b in zip(spot["code"], codes, strict=True))
            assert off <= 1.0, (matrix, levels, spot["code"], codes)
            worst = max(worst, off)
        # 75 % of white is 75 % of the level and, on BT.709, one light for R, G and B.
        white = answer["spots"][0]
        assert abs(white["percent"] - 75.0) <= 0.5, white
        assert max(white["rgb_stops"]) - min(white["rgb_stops"]) < 0.02, white
    stop_playing(machine)
    return f"4 kinds of bars, worst code off by {worst:g}"


def every_state_has_its_word(machine: Machine) -> str:
    """Nothing plugged in, no sync, unsupported: each its own answer, and back to a picture.

    The board switches its power-present control off with the signal, so "no signal" itself cannot
    be made here; the feed's own tests have it.
    """
    stop_playing(machine)
    machine.python("w = live.Watcher(); w.until('1280x720'); answer = w.story")
    took = {}
    for mode, said in (
        (1, "nothing plugged in"),
        (2, "signal without sync"),
        (3, "signal in a format"),
    ):
        control(machine, f"dv_timings_signal_mode={mode}")
        took[said] = machine.python(
            "import time\nstart = time.monotonic()\n"
            f"while not w.story[-1][1].startswith('{said}') and time.monotonic() - start < 20:\n"
            "    time.sleep(0.005)\n"
            f"assert w.story[-1][1].startswith('{said}'), w.story\n"
            "frames = w.frames\ntime.sleep(0.5)\n"
            "assert w.frames == frames, 'a frame of a signal that is not there was handed out'\n"
            "answer = start"
        )
        control(machine, "dv_timings_signal_mode=4")
        machine.python("w.until('1280x720')")
    story = machine.python("assert w.close(); answer = w.story")
    lost = [b[0] - a[0] for a, b in itertools.pairwise(story) if "x" in b[1]]
    return (
        f"{len(story)} states in the right order; a picture again {max(lost):.2f} s after at most"
    )


def timings_are_followed(machine: Machine) -> str:
    """1080p50, 720p60, 1080p25: new sizes without a restart, and only whole pictures."""
    machine.python("w = live.Watcher(); w.until('1280x720')")
    for name, size in (("1080p50", "1920x1080"), ("720p60", "1280x720"), ("1080p25", "1920x1080")):
        control(machine, f"dv_timings={MENU[name]}")
        control(machine, "dv_timings_signal_mode=4")
        machine.python(f"w.until('{size}')")
    counts = machine.python("answer = w.counts(); assert w.close()")
    assert counts["short"] == counts["broken"] == 0, counts
    assert counts["restarts"] >= 3, counts
    stop_playing(machine)
    return f"three changes, {counts['delivered']} frames, {counts['restarts']} restarts"


def damaged_frames_are_not_measured(machine: Machine) -> str:
    """Frames with the error flag are counted and left out; one bad error does not end the feed.

    The board cannot make short frames; the feed's own tests have those.
    """
    machine.python(
        "import time\n"
        "def until(true, what):\n"
        "    end = time.monotonic() + 15\n"
        "    while not true():\n"
        "        assert time.monotonic() < end, (what, w.counts(), w.story)\n"
        "        time.sleep(0.02)\n"
        "w = live.Watcher(); w.until('1280x720')"
    )
    for wanted in range(1, 4):
        machine.check(f"v4l2-ctl -d {NODE} -c inject_v4l2_buf_flag_error=1")
        machine.python(f"until(lambda: w.counts()['broken'] >= {wanted}, 'broken')")
    machine.check(f"v4l2-ctl -d {NODE} -c inject_fatal_streaming_error=1")
    counts = machine.python(
        "until(lambda: any('gone' in said[1] for said in w.story), 'gone')\n"
        "before = w.frames\n"
        "until(lambda: w.frames > before + 5, 'frames again')\n"
        "answer = w.counts(); assert w.close()"
    )
    assert counts["broken"] == 3, counts
    return f"{counts['broken']} broken frames left out, one failed stream started again"


def dropped_frames_are_counted(machine: Machine) -> str:
    """When the board drops a third of its pictures, the feed says how many were lost."""
    control(machine, "reduced_framerate=0", "percentage_of_dropped_buffers=34")
    counts = machine.python(
        "w = live.Watcher(); w.until('1280x720')\n"
        "import time\nend = time.monotonic() + 30\n"
        "while w.frames < 150 and time.monotonic() < end: time.sleep(0.02)\n"
        "answer = w.counts(); assert w.close()"
    )
    control(machine, "percentage_of_dropped_buffers=0")
    came = counts["delivered"] + counts["passed_over"]
    share = counts["lost"] / (came + counts["lost"])
    # A slow guest loses more than the board drops, never less.
    assert share > 0.25, counts
    return f"{counts['lost']} lost of {came + counts['lost']} ({share:.0%})"


def device_goes_and_comes_back(machine: Machine) -> str:
    """The capture board is taken away while it runs, and the feed is back without being told."""
    driver = "/sys/bus/platform/drivers/vivid"
    machine.python("w = live.Watcher(); w.until('1280x720')")
    machine.check(f"echo vivid.0 > {driver}/unbind")
    machine.python("w.until('device gone'); import time; time.sleep(1.0)")
    machine.check(f"echo vivid.0 > {driver}/bind")
    story, left = machine.python(
        "w.until('1280x720'); assert w.close(); answer = [w.story, live.burden()[2]]"
    )
    assert left == 0, story
    return " > ".join(said for _, said, _ in story)


def input_without_edid_gets_ours(machine: Machine) -> str:
    """A receiver without an EDID, as every bridge is at power-up, is given ours."""
    stop_playing(machine)
    machine.check(f"v4l2-ctl -d {NODE} --clear-edid")
    machine.python("w = live.Watcher(); w.until('1280x720'); assert w.close()")
    said = machine.check(f"v4l2-ctl -d {NODE} --get-edid=file=/run/tests/edid.bin,format=raw")
    ours = machine.python(
        "from firmware.v4l2.edid import field_monitor_edid\n"
        "answer = field_monitor_edid(2) == open('/run/tests/edid.bin', 'rb').read()"
    )
    assert ours, said
    return "256 bytes as made"


def nothing_leaks(machine: Machine, frames: int) -> str:
    """Many frames: no descriptor, mapping or memory is left behind, and drops are counted."""
    # The board's own rate is the limit: 60 pictures a second.
    before, after, counts = machine.python(
        "import time\nw = live.Watcher(); w.until('1280x720')\n"
        "while w.frames < 50: time.sleep(0.02)\n"
        f"before = live.burden()\nend = time.monotonic() + {frames}\n"
        f"while w.frames < {frames} and time.monotonic() < end: time.sleep(0.05)\n"
        "after, counts = live.burden(), w.counts()\nassert w.close()\n"
        "answer = [before, after, counts]",
        timeout_s=frames + 60.0,
    )
    assert counts["delivered"] >= frames, counts
    assert (after[0], after[2]) == (before[0], before[2]), (before, after)
    assert after[1] - before[1] < 8192, (before, after)
    closed = machine.python("answer = live.burden()")
    assert closed[2] == 0, closed
    return (
        f"{counts['delivered']} frames, {counts['lost']} lost and {counts['passed_over']} passed "
        f"over, {after[1] - before[1]:+d} kB"
    )
