"""One reading, with the frame that it was made of kept; and the same frame read again elsewhere.

    kept_frame.py keep FRAME.npz WORDS...     `midgrey WORDS...` on a live feed; the frame is kept
    kept_frame.py again FRAME.npz WORDS...    the same command on the frame that was kept

Both print what the command prints. The command, its opening and its measuring are the product's
own; only where the frame comes from differs the second time.
"""

import pickle
import sys
from pathlib import Path

import numpy as np

from firmware.__main__ import main
from firmware.instruments import asking
from firmware.opening import session
from overlays.signal.frame import Frame


def keep(path: Path) -> None:
    """From now on the frame that a command takes is kept, with what its feed says of it."""
    usual = asking.take_frame

    def take_frame(feed, *words, **named):
        frame = usual(feed, *words, **named)
        told = pickle.dumps((feed.info, frame.signal, frame.shift, frame.number, frame.notes))
        planes = {f"plane{number}": plane for number, plane in enumerate(frame.planes)}
        np.savez_compressed(path, told=np.frombuffer(told, np.uint8), **planes)
        return frame

    asking.take_frame = take_frame


class Again:
    """A feed that has one frame."""

    def __init__(self, path: Path) -> None:
        kept = np.load(path)
        told = pickle.loads(kept["told"].tobytes())
        self.info, signal, shift, number, notes = told
        planes = kept["plane0"], kept["plane1"], kept["plane2"]
        self._frame = Frame(planes, signal, shift, number, notes=notes)

    def read(self, _timeout_s):
        """The frame."""
        return self._frame

    def release(self, _frame):
        """Nothing was lent."""

    def close(self):
        """Nothing to let go of."""


if __name__ == "__main__":
    how, place, *words = sys.argv[1:]
    if how == "keep":
        keep(Path(place))
    else:
        session.open_feed = lambda *_, **__: Again(Path(place))
    sys.argv = ["midgrey", *words]
    main()
