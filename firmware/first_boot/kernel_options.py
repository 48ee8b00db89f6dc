"""The kernel's options from the next start on: a root that is only read, where it is asked for.

During the first boot the root has to be written; so the image carries a wish, and the last step
makes the options of it that `systemd/readonly/init` goes by.
"""

from pathlib import Path

from firmware.errors import FirstBootError
from firmware.system.files import save

WISH = "midgrey.readonly-later"
"""As hardware/card/boot_lines.py writes it."""
READ_ONLY = ("midgrey.readonly", "init=/opt/midgrey/bin/read-only-root")


def fulfilled(cmdline: str) -> str:
    r"""The kernel's options with the wish made true; without a wish, the same.

    Examples
    --------
    >>> fulfilled("root=/dev/mmcblk0p2 rootwait midgrey.readonly-later")
    'root=/dev/mmcblk0p2 rootwait midgrey.readonly init=/opt/midgrey/bin/read-only-root\n'
    """
    words = cmdline.split()
    if WISH not in words:
        return cmdline
    kept = [word for word in words if word != WISH and word not in READ_ONLY]
    return " ".join([*kept, *READ_ONLY]) + "\n"


def fulfil(path: Path) -> None:
    """Write it into `cmdline.txt`, whole or not at all.

    Raises
    ------
    FirstBootError
        It cannot be written.
    """
    try:
        before = path.read_text("utf-8")
        after = fulfilled(before)
        if after != before:
            save(path, after.encode())
    except OSError as fault:
        raise FirstBootError(
            f"{path} could not be written ({fault.strerror or fault}): the root stays writable; "
            "the next start tries again"
        ) from fault
