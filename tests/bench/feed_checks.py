"""How often a feed check is certain, and whether it is ever wrong, on made triples.

`python -m tests.bench.feed_checks --triples 5000` (or `--systematically`) prints the figures of
firmware/handbook/feed.md and the classes of curves that cap, card and clip leave tied, both with
what is stated of a card (5 %, and metered to a tenth of a stop) and with white chip and darkened
card read as well.
"""

import argparse
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from overlays.measure.feedcheck.delivery import Delivery, deliveries
from overlays.measure.feedcheck.readings import Readings, What
from overlays.measure.feedcheck.tolerances import CARD_STOPS, Tolerances
from overlays.measure.feedcheck.verdict import FeedCheck, check_feed
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range
from tests.made_feeds import Way, readings_of, set_up

THREE = (What.CAP, What.CARD, What.CLIP)
NOISES = (0.3, 0.6, 1.2)
"""Of a sample, in codes of 8 bits (../shared/design/uncertainty.md)."""
Reader = Callable[[str, Way, dict[What, float], np.random.Generator], Readings]
"""Makes readings of a curve, a way and lights."""
BELOW_BLACK = frozenset({"ACEScc"})
"""Their black lies below any code: a cap is read at the lowest."""


@dataclass
class Tally:
    """What came of so many triples."""

    judged: int = 0
    certain: int = 0
    certain_with_more: int = 0
    wrong_and_certain: int = 0
    lost: int = 0
    tied: Counter[frozenset[str]] = field(default_factory=Counter)
    worst: list[str] = field(default_factory=list)

    def take(self, truth: Delivery, found: FeedCheck) -> bool:
        """Note a verdict; whether it is certain."""
        kept = any(truth.alike == group[0].alike for group in found.groups)
        self.lost += not kept
        self.wrong_and_certain += found.is_certain and not kept
        if not kept:
            self.worst.append(f"{truth.curve.name} {truth.carriage} {truth.range} {found.readings}")
        return found.is_certain


def judged_triples(count: int, seed: int, bits: int, card_stops: float = CARD_STOPS) -> Tally:
    """Judge made triples of random hypotheses."""
    rng, every = np.random.default_rng(seed), deliveries()
    cases = (
        (every[int(rng.integers(len(every)))], NOISES[number % 3], bool(number // 3 % 2))
        for number in range(count)
    )
    return _judged(cases, rng, bits, card_stops)


def judged_systematically(
    seed: int, bits: int, card_stops: float = CARD_STOPS, read: Reader = readings_of
) -> Tally:
    """Judge every hypothesis under every noise once: none is left to chance."""
    cases = ((truth, *kind) for truth in deliveries() for kind in product(NOISES, (False, True)))
    return _judged(cases, np.random.default_rng(seed), bits, card_stops, read)


def _judged(
    cases: Iterable[tuple[Delivery, float, bool]],
    rng: np.random.Generator,
    bits: int,
    card_stops: float,
    read: Reader = readings_of,
) -> Tally:
    tally = Tally()
    now = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)
    for truth, noise, blurred in cases:
        way = Way(bits, truth.carriage, truth.range, noise, blurred)
        lights = set_up(rng, way, truth.curve.name, card_stops)
        readings = read(truth.curve.name, way, lights, rng)
        three = {what: readings[what] for what in THREE}
        found = check_feed(three, bits, now, Tolerances(card_stops))
        tally.judged += 1
        tally.certain += tally.take(truth, found)
        tally.tied[frozenset(group[0].curve.name for group in found.groups)] += 1
        more = check_feed(readings, bits, now, Tolerances(card_stops))
        tally.certain_with_more += tally.take(truth, more)
    return tally


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--triples", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--systematically", action="store_true", help="every one under all noises")
    asked = parser.parse_args()
    for bits in (8, 10):
        for card in (0.07, CARD_STOPS):
            seed = asked.seed + bits
            tally = (
                judged_systematically(seed, bits, card)
                if asked.systematically
                else judged_triples(asked.triples // 4, seed, bits, card)
            )
            print(
                f"{bits} bits, card within {card:.2f} st: {tally.judged} triples, certain "
                f"{tally.certain / tally.judged:.2f}, with white and dark "
                f"{tally.certain_with_more / tally.judged:.2f}; wrong and certain "
                f"{tally.wrong_and_certain}, truth given up {tally.lost}",
                flush=True,
            )
            for line in tally.worst[:5]:
                print("  lost:", line)
            for names, times in tally.tied.most_common(8):
                if len(names) > 1:
                    print(f"  {times:4} times tied: {', '.join(sorted(names))}")


if __name__ == "__main__":
    main()
