"""The command's entry point, also of ``python -m firmware``."""

import os
import sys
from pathlib import Path

from firmware.system.class_code import keeping_code
from firmware.system.start_up import algebra_in_one_thread, without


def main() -> None:
    """Run the command line."""
    algebra_in_one_thread()
    _open_streams()
    for stream in (sys.stdout, sys.stderr):
        # A sign the terminal cannot show becomes "?" instead of ending the reading.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    keep_code = keeping_code(os.environ)
    try:
        _run()
    finally:
        keep_code()


def _run() -> None:
    from firmware.commands.outermost import guarded  # noqa: PLC0415 - after what it is read by

    # Some releases of typer load rich for help with markup, which ours has not: half their cost.
    with without("rich"):
        from firmware.commands.build import application  # noqa: PLC0415 - without rich only here
    # numba looks into scipy for routines of linear algebra, which no kernel of ours calls.
    with without("scipy"), guarded():
        if os.environ.get("NOTIFY_SOCKET"):
            from firmware.commands.service import run_as_service  # noqa: PLC0415 - of a unit only

            # What was typed may be wrong, and other words are then tried: all there are.
            raise SystemExit(run_as_service(application()))
        application(words=sys.argv)()


def _open_streams() -> None:
    """Fill the places of standard streams that were closed: the first file opened would take them.

    An answer then has nowhere to go, which is said; what is only shown on a screen goes on.
    """
    missing = [name for name in ("stdin", "stdout", "stderr") if getattr(sys, name) is None]
    for name in missing:
        mode = "r" if name == "stdin" else "w"
        # Numbers are given out from the lowest: 0, 1, 2 in this order.
        stream = Path(os.devnull).open(mode, encoding="utf-8")  # noqa: SIM115 - it stays open
        setattr(sys, name, stream)
    if "stdout" in missing and sys.argv[1:2] != ["run"]:
        sys.stderr.write(
            "midgrey: standard output is closed, so an answer has nowhere to go; open it, or send "
            "it to a file\n"
        )
        raise SystemExit(2)


if __name__ == "__main__":
    main()
