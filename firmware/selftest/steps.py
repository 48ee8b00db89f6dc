"""Every step of the checklist, in its order, and the table that hardware/checklist.md shows.

``python -m firmware.selftest.steps FILE`` writes the table into that file.
"""

import re
import sys
from pathlib import Path

from firmware.selftest.feed_steps import FEED_STEPS
from firmware.selftest.step import CheckRow
from firmware.selftest.unit_steps import UNIT_STEPS

STEPS: tuple[CheckRow, ...] = tuple(
    sorted((*FEED_STEPS, *UNIT_STEPS), key=lambda step: step.number)
)
_HEAD = "| # | question | needs | run | expect | who sees it |\n|---|---|---|---|---|---|"
_TABLE = re.compile(r"^\| # \|.*?(?=\n\n|\Z)", re.MULTILINE | re.DOTALL)


def who(step: CheckRow) -> str:
    """Who finds out what comes of a step."""
    if step.look is None:
        return "you"
    return "midgrey and you" if step.is_judged else "midgrey"


def table() -> str:
    """The table of all steps."""
    return "\n".join((_HEAD, *(f"| {' | '.join(_columns(each))} |" for each in STEPS)))


def _columns(step: CheckRow) -> tuple[str, ...]:
    return str(step.number), step.question, step.needs, step.run, step.expect, who(step)


def with_table(text: str) -> str:
    """A page with its table as the code has it."""
    return _TABLE.sub(lambda _found: table(), text.rstrip("\n"), count=1) + "\n"


if __name__ == "__main__":
    page = Path(sys.argv[1])
    page.write_text(with_table(page.read_text(encoding="utf-8")), encoding="utf-8")
