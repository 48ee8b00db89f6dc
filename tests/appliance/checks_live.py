"""The live HDMI path: what is sent in at the cable is what is read, and nothing else is.

Each check takes a running machine with the pictures on its second disk and midgrey's service
stopped, and answers with the figures worth keeping.
"""

import itertools

from machine import Machine
from pictures import NAMES, bar_codes, scene

# Indices of `v4l2-ctl --list-dv-timings` and of vivid's own menu for the same timings.
LISTED = {"720p60": 7, "1080p25": 9, "1080p50": 12}
MENU = {"720p60": 9, "1080p25": 11, "1080p50": 14}
# What the output can say of its colours; the matrix goes with the colour space, and the range is
# always said to be limited, so full range is told to midgrey as a user would.
COLOUR = {"709": "colorspace=rec709", "601": "colorspace=smpte170m"}
FOURCC = {"uyvy": "UYVY", "yuyv": "YUYV", "nv12": "NV12"}
NODE = "/dev/video10"
DROPPED_PERCENT = 34


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
    """Real pictures through the cable give the codes that were sent, and the numbers of their file.

    What a spot's codes are is computed here, with plain means over the picture's own planes.
    """
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
        picture = scene(name)
        for spot in live["spots"]:
            wanted = picture.mean(layout, spot["x"], spot["y"], spot["size"], spot["height"])
            off = max(abs(a - b) for a, b in zip(spot["code"], wanted, strict=True))
            assert off < 1e-5, (name, layout, spot, wanted)
        compared += 1
    stop_playing(machine)
    return f"{compared} pictures with the codes sent, equal to their files in every number"


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
    """The feed says how many were lost: what this guest loses by itself, and what the board drops.

    Of N pictures a share p is dropped with a spread of sqrt(p (1 - p) / N): 3 % of 200. Three times
    that, either way, is allowed.
    """
    control(machine, "reduced_framerate=0", "percentage_of_dropped_buffers=0")
    own, _ = _lost_of(machine)
    control(machine, f"percentage_of_dropped_buffers={DROPPED_PERCENT}")
    share, sent = _lost_of(machine)
    control(machine, "percentage_of_dropped_buffers=0")
    dropped = DROPPED_PERCENT / 100.0
    wanted = own + (1.0 - own) * dropped
    assert abs(share - wanted) < 0.1, f"{share:.0%} lost, {wanted:.0%} expected ({own:.0%} without)"
    return f"{share:.0%} of {sent} lost where {wanted:.0%} were to be ({own:.0%} by itself)"


def _lost_of(machine: Machine) -> tuple[float, int]:
    """Share of the pictures sent that were lost, and how many were sent."""
    counts = machine.python(
        "w = live.Watcher(); w.until('1280x720')\n"
        "import time\nend = time.monotonic() + 30\n"
        "while w.frames < 150 and time.monotonic() < end: time.sleep(0.02)\n"
        "answer = w.counts(); assert w.close()"
    )
    sent = counts["delivered"] + counts["passed_over"] + counts["lost"]
    return counts["lost"] / sent, sent


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
    told = _told_by(machine.get("/run/tests/edid.bin"))
    assert told == OFFERED, (told, said)
    return ", ".join(f"VIC {vic}" for vic in told)


# CTA-861-G table 3: 1280x720 at 50 and 60 Hz; 1920x1080 at 24, 25, 30, 50. At 60 Hz that picture
# has 1991 Mbit/s of 16 bits a pixel, more than two lanes at 486 MHz carry: 1944 (Linux,
# drivers/media/i2c/tc358743.c; the frequency is that of its device tree overlay for the board).
OFFERED = {4, 19, 31, 32, 33, 34}


def _told_by(edid: bytes) -> set[int]:
    """The modes that an EDID offers to the source, by this test's own reading of the standards.

    VESA E-EDID A.2 3.1: header and block sums; 3.10.2: the preferred timing. CTA-861-G 7.5.1: short
    video descriptors.
    """
    assert len(edid) == 256, len(edid)
    assert edid[:8] == b"\x00" + 6 * b"\xff" + b"\x00", edid[:8]
    assert edid[126] == 1, "one more block"
    assert all(sum(edid[start : start + 128]) % 256 == 0 for start in (0, 128)), "a block's sum"
    preferred = edid[54:72]
    columns = preferred[2] | (preferred[4] >> 4) << 8
    rows = preferred[5] | (preferred[7] >> 4) << 8
    assert (columns, rows) == (1920, 1080), (columns, rows)
    extension = edid[128:]
    assert tuple(extension[:2]) == (2, 3), extension[:2]
    place, vics = 4, set()
    while place < extension[2]:
        kind, size = extension[place] >> 5, extension[place] & 31
        if kind == 2:
            # Bit 7 marks a native mode for the first 64 (CTA-861-G 7.5.1).
            block = extension[place + 1 : place + 1 + size]
            vics |= {vic & 127 if 129 <= vic <= 192 else vic for vic in block}
        place += 1 + size
    return vics


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
