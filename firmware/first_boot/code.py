"""midgrey's own code, made ready to be loaded: compiled once, since the unit writes none of it.

A cut leaves files that are there, that are empty or half written, and that are missing. So each is
looked at: what is whole is passed over, and a step that was cut off goes on where it was. What was
made is brought to the card now and then: left to itself a system keeps it in memory for half a
minute (vm.dirty_expire_centisecs), and power that goes more often would take all of it each time.
"""

import compileall
import importlib.util
import marshal
import os
from collections.abc import Callable
from importlib.util import MAGIC_NUMBER
from pathlib import Path
from py_compile import PycInvalidationMode

HEAD = 16
"""Bytes before the code: magic number, flags, hash of the source (PEP 552)."""
UNCHECKED = (1).to_bytes(4, "little")
"""The flags of a file that is told apart by a hash which is not looked at when it is loaded."""

KEEP_EVERY = 50
"""Files, a few seconds of work on a board, after which what was made is kept."""


def is_compiled(source: Path) -> bool:
    """Whether what Python will load in a source's place is there, is of this source, and whole."""
    try:
        made = Path(importlib.util.cache_from_source(str(source))).read_bytes()
        head = MAGIC_NUMBER + UNCHECKED + importlib.util.source_hash(source.read_bytes())
        if made[:HEAD] != head:
            return False
        marshal.loads(made[HEAD:])
    except (OSError, EOFError, ValueError, TypeError):
        return False
    return True


def compile_missing(
    folder: Path, said: Callable[[float], None], keep: Callable[[], None] = os.sync
) -> int:
    """Compile all of a folder's code that is not compiled yet; how many files that were.

    Parameters
    ----------
    folder:
        Of packages.
    said:
        Told how much is done, 0 to 1.
    keep:
        Brings what was made to the card.
    """
    sources, made = sorted(folder.rglob("*.py")), 0
    for number, source in enumerate(sources):
        said(number / len(sources))
        if is_compiled(source):
            continue
        # A module that does not compile, as examples of old syntax, is met when it is loaded or
        # never.
        compileall.compile_file(
            str(source), quiet=2, invalidation_mode=PycInvalidationMode.UNCHECKED_HASH
        )
        made += 1
        if made % KEEP_EVERY == 0:
            keep()
    return made
