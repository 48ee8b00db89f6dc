"""What a mark costs, and what ten thousand do: ``python -m tests.bench.journal_size``.

Prints what the drawing thread spends on a press (a copy of the frame), what the recorder spends on
making a row of a 1920x1080 frame and on bringing it to the card, how long the list of all of them
takes, and the memory of reading them. Nothing is asserted: a card is slower than this disk.
"""

import argparse
import os
import resource
import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from firmware.journal.chosen import chosen_rows, whole
from firmware.journal.composing import mark_of
from firmware.journal.outlets import lines
from firmware.journal.store import Store
from firmware.journal.store_reader import StoreReader
from overlays.measure.counting.census import Wants, take_census
from overlays.signal.kept_frame import kept
from tests.marked import in_view

WHOLE = 5
"""One mark in so many is made anew; the others are the same row again."""
FEED = "bench:curve=V-Log,signal=yuv422-10"


def timed(what: Callable[[], object]) -> float:
    """Milliseconds of one call."""
    start = time.perf_counter()
    what()
    return 1e3 * (time.perf_counter() - start)


def words(name: str, times: list[float]) -> str:
    """The middle, what 95 and 99 of a hundred lie within, and the slowest."""
    ordered = sorted(times)
    most, late = (ordered[min(len(ordered) * n // 100, len(ordered) - 1)] for n in (95, 99))
    return (
        f"{name:46s} {statistics.median(times):7.1f} ms, 95 of 100 within {most:.1f}, 99 within "
        f"{late:.1f}, longest {ordered[-1]:.1f}"
    )


def peak_mib() -> float:
    """The most memory this process has had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def main() -> None:
    """Print the figures."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--marks", type=int, default=10_000)
    count = asked.parse_args().marks
    seen = in_view(FEED)
    # As on the screen: whoever measured the frame has counted it already.
    counted = take_census(seen.frame, seen.yard, Wants.LEVELS | Wants.CLIPPING)
    seen = replace(seen, census=counted)
    print(words("a press: the frame copied", [timed(lambda: kept(seen.frame)) for _ in range(20)]))
    print(words("a row made of it", [timed(lambda: mark_of(seen)) for _ in range(20)]))
    row = mark_of(seen)
    sizes = {name: len(blob) for name, blob in row.blobs.items()}
    print(f"{'bytes of its parts':46s} {sizes}")
    with tempfile.TemporaryDirectory(dir=os.environ.get("JOURNAL_FOLDER")) as folder:
        path = Path(folder) / "journal.db"
        store, times, wholes = Store(path), [], []
        for number in range(count):
            if number % WHOLE:
                times.append(timed(lambda: store.append(row)))
            else:
                wholes.append(
                    timed(lambda: (kept(seen.frame), counted.copy(), store.append(mark_of(seen))))
                )
        store.close()
        print(words(f"from the press to saved, one in {WHOLE} of them", wholes))
        print(words(f"brought to the card, of {count}", times))
        print(words("the same, of the last hundred", times[-100:]))
        print(f"{'the file':46s} {path.stat().st_size / 2**20:7.0f} MiB")
        with StoreReader(path) as file:
            before = peak_mib()
            print(f"{'the list':46s} {timed(lambda: lines(chosen_rows(file))):7.0f} ms")
            listed = peak_mib()
            rows = chosen_rows(file)
            for _ in whole(file, rows):
                pass
            print(
                f"{'memory at its most':46s} {before:7.0f} MiB before, {listed:.0f} with the list, "
                f"{peak_mib():.0f} with every row read whole"
            )


if __name__ == "__main__":
    main()
