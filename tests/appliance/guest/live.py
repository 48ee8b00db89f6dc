"""Inside the guest: the live feed, watched; and the command line, asked without a new process."""

import contextlib
import io
import json
import resource
import sys
import threading
import time
from pathlib import Path

from firmware.__main__ import main
from firmware.clock import SystemClock
from firmware.feeds.v4l2 import V4l2Feed
from firmware.feeds.v4l2_spec import capture_of
from overlays.signal.frame import Frame

NODE = "/dev/video10"


def midgrey(*words):
    """What `midgrey` prints as JSON for these words."""
    return json.loads(told(words))


def told(words):
    """What `midgrey` prints for these words."""
    out, before = io.StringIO(), sys.argv
    sys.argv = ["midgrey", *words]
    try:
        with contextlib.redirect_stdout(out):
            main()
    except SystemExit as end:
        if end.code:
            raise RuntimeError(f"midgrey {' '.join(words)} ended with {end.code}") from end
    finally:
        sys.argv = before
    return out.getvalue()


class Watcher:
    """Reads a feed in a thread and writes down what it says, when that changes."""

    last = None

    def __init__(self, spec=NODE):
        if Watcher.last is not None:
            Watcher.last.close()  # that of a check that failed would hold the device
        Watcher.last = self
        self.feed = V4l2Feed(capture_of(spec), SystemClock())
        self.story = []
        self.frames = 0
        self.codes = None
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="watcher")
        self._thread.start()

    def _run(self):
        while not self._stop.is_set():
            got = self.feed.read(0.2)
            if isinstance(got, Frame):
                said = f"{got.columns}x{got.rows}"
                self.codes = [
                    int(plane[plane.shape[0] // 2, plane.shape[1] // 2]) for plane in got.planes
                ]
                self.feed.release(got)
                self.frames += 1
            else:
                said = got.value
            if said == "no frame yet" and self.story and self.story[-1][1] == said:
                continue
            if not self.story or self.story[-1][1] != said:
                self.story.append([time.monotonic(), said, self.feed.info.description])

    def until(self, said, timeout_s=20.0):
        """Wait until the latest entry says so; seconds it took."""
        start = time.monotonic()
        while time.monotonic() - start < timeout_s:
            if self.story and self.story[-1][1] == said:
                return time.monotonic() - start
            time.sleep(0.01)
        raise RuntimeError(f"{said!r} was not seen; the story: {self.story[-8:]}")

    def counts(self):
        """What became of the pictures."""
        counts = self.feed.counts
        return {name: getattr(counts, name) for name in type(counts).__dataclass_fields__}

    def close(self):
        """Stop and let go."""
        self._stop.set()
        self._thread.join(10)
        self.feed.close()
        return not self._thread.is_alive()


def burden():
    """(open descriptors, resident kilobytes, mappings of the capture node) of this process."""
    maps = Path("/proc/self/maps").read_text()
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    resident = pages * resource.getpagesize() // 1024
    descriptors = sum(1 for _ in Path("/proc/self/fd").iterdir())
    return [descriptors, resident, maps.count(NODE)]
