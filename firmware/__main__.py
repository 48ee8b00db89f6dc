"""The command's entry point, also of ``python -m firmware``."""

import os
import sys

from firmware.system.kernel_cache import kernels_kept
from firmware.system.start_up import without


def main() -> None:
    """Run the command line."""
    for stream in (sys.stdout, sys.stderr):
        # A sign the terminal cannot show becomes "?" instead of ending the reading.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    # Some releases of typer load rich for help with markup, which ours has not: half their cost.
    with without("rich"):
        from firmware.commands.build import application  # noqa: PLC0415 - without rich only here
        from firmware.commands.guard import guarded  # noqa: PLC0415 - the same
    # numba looks into scipy for routines of linear algebra, which no kernel of ours calls.
    with without("scipy"), guarded(), kernels_kept(os.environ):
        application()()


if __name__ == "__main__":
    main()
