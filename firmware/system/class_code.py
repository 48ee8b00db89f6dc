"""Methods of dataclasses, kept compiled beside the kernels: a start has some 400 to compile.

`dataclasses` writes the methods of a class as text and has them compiled whenever its module is
imported. Python keeps what it compiles of a module, but not of such text: that was a sixth of a
start's processor time. What is kept is found by the text alone, so it is never that of a class as
it was before.
"""

import dataclasses
import importlib.util
import marshal
import os
import sys
import zlib
from collections.abc import Callable, Mapping
from contextlib import suppress
from hashlib import blake2b
from importlib import import_module
from pathlib import Path

from firmware.system.files import read_small, save
from firmware.system.kernel_cache import places, writable_folder

NAME = f"classes.{sys.implementation.cache_tag}"
"""Of the file: one for each release of Python, as for modules (PEP 3147)."""
MOST_BYTES = 16 << 20
MOST_TEXTS = 4000
"""All commands together know half of that; more are of classes that are no more."""
FIRST = "firmware.commands.build"
"""Once this is loaded, so are most classes of a start."""
STARTS = (
    FIRST,
    "firmware.commands.service",
    "firmware.commands.run",
    "firmware.live.appliance",
    "firmware.live.warm",
)
"""What a start loads, besides the instruments."""
_MAGIC = b"midgrey classes 1\n" + importlib.util.MAGIC_NUMBER
"""A file of another shape, or of code that this interpreter does not know, begins otherwise."""
_SUM_BYTES = 4
_NAME_BYTES = 16


class ClassCode:
    """Texts and what they are compiled to, as bytes until it is wanted: few are by most commands.

    Parameters
    ----------
    kept:
        What was read.
    """

    def __init__(self, kept: dict[bytes, bytes]) -> None:
        self._kept = kept
        self._used: dict[bytes, bytes] = {}
        self.fresh = 0

    def execute(
        self,
        text: str,
        into: dict[str, object] | None = None,
        names: dict[str, object] | None = None,
    ) -> None:
        """What `exec` does of a text; it is compiled where that was not done before."""
        # A digest, since half of what is read would otherwise be texts; none has two (RFC 7693).
        name = blake2b(text.encode(), digest_size=_NAME_BYTES).digest()
        data = self._kept.get(name)
        if data is None:
            # As `exec` does it: whatever stands at the top of this module is not for that text.
            code = compile(text, "<string>", "exec", dont_inherit=True)
            data = self._kept[name] = marshal.dumps(code)
            self.fresh += 1
        else:
            code = marshal.loads(data)  # ours, as the kernels that lie beside it
        self._used[name] = data
        exec(code, into, names)

    def content(self) -> bytes:
        """A file of what is known; of what was used alone, where more is known than can be."""
        known = self._kept if len(self._kept) <= MOST_TEXTS else self._used
        data = marshal.dumps(known)
        return _MAGIC + _sum(data) + data


def read(path: Path) -> dict[bytes, bytes]:
    """What a file keeps; nothing where there is none, or one that is not whole or not for here."""
    try:
        content = read_small(path, MOST_BYTES)
        body = content.removeprefix(_MAGIC)
        data = body[_SUM_BYTES:]
        if body == content or _sum(data) != body[:_SUM_BYTES]:
            return {}
        found = marshal.loads(data)
    except (OSError, EOFError, ValueError, TypeError):
        return {}
    return found if isinstance(found, dict) else {}


def _sum(data: bytes) -> bytes:
    return zlib.crc32(data).to_bytes(_SUM_BYTES, "little")


def keeping_code(environ: Mapping[str, str]) -> Callable[[], None]:
    """Have dataclasses take from now on what is kept; afterwards, what keeps the rest.

    To be called before anything is loaded; where that is too late, nothing is done.
    """
    if FIRST in sys.modules:
        return lambda: None
    # Now: while a command runs, kernels may be sent to a folder that goes with it.
    folder = writable_folder(environ)
    kept: dict[bytes, bytes] = {}
    for place in places(environ):  # beside the code it may be somebody else's, and only read
        kept |= read(place / NAME)
        if place == folder:
            break  # no further than kernels are: root takes nothing out of a user's folder
    code = ClassCode(kept)
    if sys.dont_write_bytecode and not environ.get("NUMBA_CACHE_DIR"):
        folder = None  # as Python does then: nothing compiled is put beside the code
    # Of that name it finds its own first, and the built-in function only behind it.
    vars(dataclasses)["exec"] = code.execute

    def keep() -> None:
        if folder is None or not code.fresh:
            return
        with suppress(OSError):
            folder.mkdir(parents=True, exist_ok=True)
            save(folder / NAME, code.content())
            code.fresh = 0

    return keep


def main() -> None:
    """Load what a start loads, and keep its classes."""
    keep = keeping_code(os.environ)
    for name in STARTS:
        import_module(name)
    import_module("firmware.instruments.registry").REGISTRY.views()
    keep()


if __name__ == "__main__":
    main()
