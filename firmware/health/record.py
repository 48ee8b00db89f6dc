"""What the running appliance found last, in a small file in memory, for whoever asks beside it.

Frames and their age are known to the appliance alone; `midgrey doctor` is another process.
"""

import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from firmware.health.condition import Condition, Severity, Subject
from firmware.health.kernel_files import inside, text_of

NAME = "health.json"
APPLIANCE_RUN_FOLDER = Path("/run/midgrey")
"""Of systemd/midgrey.service, RuntimeDirectory."""

FRESH_NS = 20_000_000_000
"""Older than a few looks, nobody is there any more."""
MOST_BYTES = 65_536


def run_folder(environ: Mapping[str, str]) -> Path | None:
    """The service's folder in memory (systemd.exec(5), RUNTIME_DIRECTORY); else there is none."""
    named = environ.get("RUNTIME_DIRECTORY", "").partition(":")[0]
    return Path(named) if named.startswith("/") else None


def write(folder: Path, now_ns: int, conditions: tuple[Condition, ...]) -> None:
    """Leave the conditions there; a folder that cannot be written is passed over."""
    told = [
        {
            "subject": each.subject.value,
            "severity": each.severity.name,
            "words": each.words,
            "remedy": each.remedy,
            "where": each.where,
        }
        for each in conditions
    ]
    text = json.dumps({"schema": 1, "at_ns": now_ns, "conditions": told})
    unfinished = folder / f".{NAME}"
    with suppress(OSError):
        unfinished.write_text(text)
        unfinished.chmod(0o644)
        unfinished.replace(folder / NAME)


def read(now_ns: int, root: Path = Path("/")) -> tuple[Condition, ...]:
    """What the appliance left there within the last seconds; nothing where it does not run."""
    text = text_of(inside(root, APPLIANCE_RUN_FOLDER / NAME), MOST_BYTES)
    try:
        told = json.loads(text or "")
        if not 0 <= now_ns - told["at_ns"] <= FRESH_NS:
            return ()
        return tuple(_condition(each) for each in told["conditions"])
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return ()


def _condition(told: Mapping[str, Any]) -> Condition:
    return Condition(
        Subject(told["subject"]),
        Severity[told["severity"]],
        str(told["words"]),
        str(told["remedy"]),
        where=str(told["where"]),
    )
