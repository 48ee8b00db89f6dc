"""A panel that SDL cannot draw on: the appliance on the kernel's framebuffers.

/dev/fb0 is the graphics card's own (32 bits a pixel), looked at through the machine's screen. The
second is the kernel's virtual one, made as small and shallow as a panel on SPI, and read back.
"""

import io
import re

import av
import numpy as np
from checks_screen import HELP_KEY, keep, loss_seen, main_pid, shown, start_service, until_live
from machine import Machine

SETTINGS = "/etc/midgrey/environment"
MIDGREY = "/opt/midgrey/current/bin/midgrey"


def service_on_framebuffer(machine: Machine) -> str:
    """The service itself, with the framebuffer named in its settings: live, and keys arrive."""
    until_live(machine, 120.0)
    called = machine.check("cat /sys/class/graphics/fb0/name").strip()
    machine.check(f"cp {SETTINGS} /run/settings; systemctl stop midgrey.service")
    try:
        machine.check(f"echo MIDGREY_FRAMEBUFFER=/dev/fb0 >> {SETTINGS}")
        start_service(machine)
        pid = main_pid(machine)
        opened = machine.check(f"ls -l /proc/{pid}/fd /proc/{pid}/map_files")
        assert "/dev/fb0" in opened, opened
        assert "/dev/dri" not in opened, opened
        # Nothing but midgrey is between the signal and the screen here: no emulated graphics.
        lost_s, back_s = loss_seen(machine)
        assert lost_s < 1.0 * machine.slower, f"a lost signal shown after {lost_s:.2f} s"
        before = machine.screen()
        keep(machine, "framebuffer")
        machine.key(HELP_KEY)
        shown(machine, "the help", lambda s: (s != before).any(axis=2).mean() > 0.1)
        keep(machine, "framebuffer-help")
        machine.key(HELP_KEY)
        until_live(machine)
        assert main_pid(machine) == pid, "the service was started anew"
        doctor = machine.check(f"MIDGREY_FRAMEBUFFER=/dev/fb0 COLUMNS=200 {MIDGREY} doctor")
        (line,) = re.findall(r"^\s*display .*$", doctor, re.MULTILINE)
        assert called in line, line
        assert "framebuffer" in line, line
    finally:
        machine.check(f"systemctl stop midgrey.service; cp /run/settings {SETTINGS}")
    start_service(machine)
    return (
        f"live on {called}, help shown by a key; a lost signal shown after {lost_s:.2f} s, "
        f"back after {back_s:.1f} s"
    )


def panel_of_16_bits(machine: Machine) -> str:
    """On a small panel of 16 bits, turned or not, stands what the screenshot shows."""
    machine.check("systemctl stop midgrey.service")
    machine.check("modprobe vfb vfb_enable=1 videomemorysize=2097152 mode_option=512x384-16@60")
    try:
        name = machine.check("grep -l Virtual /sys/class/graphics/fb*/name").split("/")[4]
        said = machine.check(f"cd /sys/class/graphics/{name} && cat bits_per_pixel stride")
        bits, stride = map(int, said.split())
        assert bits == 16, bits
        for degrees in (0, 90, 180):
            picture = _drawn(machine, f"/dev/{name}", degrees)
            wanted = _packed(np.rot90(picture, -degrees // 90))
            rows, columns = wanted.shape
            memory = np.frombuffer(machine.get("/run/panel/memory"), np.uint8)[: stride * rows]
            seen = memory.reshape(rows, stride)[:, : 2 * columns].copy().view("<u2")
            assert (columns, rows) == (512, 384), wanted.shape
            assert (seen == wanted).all(), f"{(seen != wanted).mean():.3f} differ at {degrees}"
            assert len(np.unique(seen)) > 200, "no picture"
    finally:
        machine.run("modprobe -r vfb")
        start_service(machine)
    return f"512x384 of {bits} bits, {stride} bytes to a row, equal at 0, 90 and 180"


def _drawn(machine: Machine, node: str, degrees: int) -> np.ndarray:
    """Draw a few frames of the bench there; the last screenshot's pixels.

    Upright it is a process of the service's user, with what that user may open.
    """
    machine.check("install -d -o midgrey /run/panel && rm -f /run/panel/*")
    words = f"run bench --frames 3 --rotate {degrees} --screenshot /run/panel/shot.png"
    if degrees:
        # The others where everything is loaded: a start costs this guest half a minute.
        machine.python(
            "import os\n"
            f"os.environ['MIDGREY_FRAMEBUFFER'] = '{node}'\n"
            "try:\n"
            f"    live.told({words.split()!r})\n"
            "finally:\n"
            "    del os.environ['MIDGREY_FRAMEBUFFER']\n",
            240.0,
        )
    else:
        machine.check(
            "cd /run/panel && setpriv --reuid=midgrey --regid=midgrey --init-groups "
            f"env HOME=/run/panel NUMBA_CACHE_DIR=/var/cache/midgrey/kernels $(cat {SETTINGS}) "
            f"MIDGREY_FRAMEBUFFER={node} {MIDGREY} {words}",
            240.0,
        )
    machine.check(f"cat {node} > /run/panel/memory")
    with av.open(io.BytesIO(machine.get("/run/panel/shot.png"))) as file:
        return next(file.decode(video=0)).to_ndarray(format="rgb24")


def _packed(picture: np.ndarray) -> np.ndarray:
    """As drivers/video/fbdev/vfb.c lays its fields for 16 bits: red low, blue high."""
    red, green, blue = (picture[..., band].astype(np.uint16) for band in range(3))
    return red >> 3 | (green >> 2) << 5 | (blue >> 3) << 11
