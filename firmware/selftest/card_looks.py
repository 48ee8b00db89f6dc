"""What midgrey finds out by itself of the card that a unit was started from."""

import re

from firmware.selftest.found import Figure, RowFound, RowOutcome, left_open, missing
from firmware.selftest.step import AtHand
from overlays.wording.read_number import number_in

MANIFEST, LOG = "boot/firmware/midgrey/manifest.txt", "boot/firmware/midgrey/log/first-boot.txt"
"""Where a card has them: on the partition that every laptop reads."""
STEPS = ("packages", "code", "data", "options")
"""Of a first start, as `firmware.first_boot` calls them."""
_DONE = re.compile(r"^(\w+) done in ([0-9.]+) s$", re.MULTILINE)
_FAILED = re.compile(r"^(\w+ failed: .*)$", re.MULTILINE)


def look_at_card(around: AtHand) -> RowFound:
    """Which version the card was made with, and what its first start said of each of its steps."""
    try:
        head = (around.root / MANIFEST).read_text("utf-8", "replace").partition(",")[0]
    except OSError:
        return missing("the unit was not started from a card that hardware/card/build made")
    figures = [Figure("card made with", head.lstrip("# "))]
    try:
        said = (around.root / LOG).read_text("utf-8", "replace")
    except OSError:
        said = ""
    took = dict(_DONE.findall(said))
    figures += [Figure(name, number_in(took[name]), "s") for name in took]
    if failed := _FAILED.findall(said):
        figures.append(Figure("failed on the way", "; ".join(failed)))
    open_steps = [name for name in STEPS if name not in took]
    if open_steps:
        words = f"its first start has not done {', '.join(open_steps)}"
        return RowFound(RowOutcome.OTHERWISE, words, tuple(figures))
    return left_open("every step is done; how it looked on the way, only you saw", *figures)
