"""The board's Python code, compiled beforehand where this machine has a Python of its release.

The unit writes none of it while it runs, so without this every start would compile all of it. A
machine without that Python leaves it to the first boot (`firmware.first_boot`).
"""

import shutil
import sys
from pathlib import Path

from hardware.card.errors import ToolFailedError
from hardware.card.tools import Tools
from hardware.card.wheels import PYTHON

NAME = "python{}.{}".format(*PYTHON)


def find(tools: Tools) -> str | None:
    """A Python of the board's release on this machine; None where there is none."""
    if sys.version_info[:2] == PYTHON:
        return sys.executable
    found = shutil.which(NAME)
    if found is None:
        return None
    try:
        # A manager of several Pythons may leave a name there that leads to none.
        tools.run(found, "-c", "")
    except ToolFailedError:
        return None
    return found


def compile_all(folder: Path, becomes: str, python: str, tools: Tools) -> None:
    """Compile a folder of packages.

    What is made depends on the sources alone, and never on their times: it is not looked for in
    them whether it is still right (PEP 552, unchecked hash), since a version never changes.

    Parameters
    ----------
    folder:
        Where they lie.
    becomes:
        Where they will lie on the board, for what a traceback says.
    python:
        Of the board's release.
    """
    words = [python, "-m", "compileall", "-q", "-j", "1", "-r", "20", "-s", str(folder)]
    words += ["-p", becomes, "--invalidation-mode", "unchecked-hash", str(folder)]
    # 1: some examples within packages are of another Python's syntax.
    Tools(tools.epoch, {**tools.environ, "PYTHONHASHSEED": "0"}).run(*words, accept=(0, 1))
