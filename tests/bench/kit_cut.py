"""What a kit out of reach costs the unit's own screen: frames shown, with and without it.

    nice .venv/bin/python -m tests.bench.kit_cut [--seconds 60] [--turns 2]

Turns follow each other in one run: a unit without a kit, one whose broker is there, one whose
network is cut all the time after its first reading. Each runs for so long on the bench, in a
network of its own on this machine (root). Nothing is asserted: what is printed holds for the
machine it was printed on.
"""

import argparse
import os
import tempfile
import time
from pathlib import Path

from firmware.clock import SystemClock
from firmware.kit.listener import Listener
from tests.brokers import PASSWORDS, Broker
from tests.cut_minute import CutUnit, shown_words
from tests.cut_network import HERE, CutNetwork, cut_network

TURNS = ("without a kit", "broker there", "network cut")


def main() -> None:
    """Print what each turn showed, and their means."""
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--seconds", type=float, default=60.0)
    asked.add_argument("--turns", type=int, default=2)
    given = asked.parse_args()
    rates: dict[str, list[float]] = {each: [] for each in TURNS}
    with tempfile.TemporaryDirectory() as folder, cut_network() as network:
        broker = Broker(Path(folder) / "broker", PASSWORDS, tls=False, also_at=HERE)
        broker.start()
        try:
            for number in range(given.turns):
                for name in TURNS:
                    place = Path(folder) / f"{number}-{name}"
                    found = one(place, network, broker, name, given.seconds)
                    rates[name].append(found["frames"]["shown"] / found["seconds"])
                    print(
                        f"{name}: {shown_words(found)}; load {os.getloadavg()[0]:.1f}", flush=True
                    )
        finally:
            broker.kill()
    means = {name: sum(each) / len(each) for name, each in rates.items()}
    for name, mean in means.items():
        print(f"{name}: {mean:.2f} shown a second, {100 * mean / means[TURNS[0]]:.1f} %")


def one(place: Path, network: CutNetwork, broker: Broker, name: str, seconds: float):
    """One turn; what the unit counted of itself."""
    unit = CutUnit(place, network, broker, has_kit=name != TURNS[0])
    unit.start()
    _until_shown(unit, broker)
    if name == TURNS[2]:
        network.cut()
    time.sleep(seconds)
    found = unit.end()
    network.mend()
    return found


def _until_shown(unit: CutUnit, broker: Broker) -> None:
    """Until the first reading, or for as long as that takes elsewhere."""
    if not unit.has_kit:
        time.sleep(8.0)
        return
    listener = Listener(broker.settings("reader"), SystemClock())
    end = time.monotonic() + 60.0
    while time.monotonic() < end and not any(each.is_fresh for each in listener.ear.units()):
        time.sleep(listener.turn(0.1))
    listener.close()


if __name__ == "__main__":
    main()
