"""Inside the guest: midgrey as its service runs it, on a machine that has no device tree.

The one thing put in is the board's model; pins, lamp, feed, journal and sandbox are real.
"""

import sys

from firmware.__main__ import main
from firmware.controls import header

header._model = lambda _root: "Raspberry Pi 4 Model B Rev 1.1"
sys.argv[0] = "midgrey"
main()
