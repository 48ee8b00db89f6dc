"""Units of a kit that a test starts, with journals that rows are put into by hand."""

import threading
import time
from collections import Counter

import pytest

from firmware.clock import SystemClock
from firmware.journal.row import ClockTrust, JournalRow, RowKind, Stamp
from firmware.journal.store import Store
from firmware.kit.around import PostAround
from firmware.kit.listener import Listener
from firmware.kit.post import Post
from tests.brokers import PASSWORDS, Broker, Cable, make_authority, make_certificate, until


@pytest.fixture(scope="session")
def authority(tmp_path_factory):
    """The kit's own, and a certificate for this machine; another one that nobody believes."""
    folder = tmp_path_factory.mktemp("authority")
    make_authority(folder)
    make_certificate(folder, "127.0.0.1")
    make_authority(folder, "stranger")
    return folder


@pytest.fixture
def broker(tmp_path):
    made = Broker(tmp_path / "broker", PASSWORDS, tls=False)
    made.start()
    yield made
    made.kill()


@pytest.fixture
def cable(broker):
    made = Cable(broker.port)
    yield made
    made.close()


def row(number, kind=RowKind.MARK, **head):
    head = {"feed": "bench", "words": f"row {number}", "stops": 0.5, **head}
    return JournalRow(kind, Stamp("boot", number, 1_795_737_600.0 + number, ClockTrust.OWN), head)


def put(journal, *rows):
    store = Store(journal)
    kept = [store.append(each) for each in rows]
    store.close()
    return kept


class Unit:
    """A post with a journal, and what it said."""

    def __init__(self, folder, settings, **around):
        folder.mkdir(parents=True, exist_ok=True)
        self.journal = folder / "journal.db"
        self.said: list[str] = []
        self.post = Post(
            settings, PostAround(SystemClock(), self.journal, say=self.said.append, **around)
        )
        self.post.start()
        until(lambda: self.post._outbox._begun)


@pytest.fixture
def unit(tmp_path):
    made = []

    def make(settings, folder="unit", **around):
        made.append(Unit(tmp_path / folder, settings, **around))
        return made[-1]

    yield make
    for each in made:
        each.post.close()


class Hearer:
    """A listener in a thread, and how often each mark reached it."""

    def __init__(self, settings, session=""):
        self.listener = Listener(settings, SystemClock(), session)
        self.marks, self._over = [], False
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self):
        while not self._over:
            time.sleep(self.listener.turn(0.02))
            self.marks += self.listener.ear.take_marks()

    @property
    def words(self):
        return Counter(each.words for each in self.marks)

    def unit(self, name):
        return next((each for each in self.listener.ear.units() if each.name == name), None)

    def close(self):
        self._over = True
        self._thread.join(5)
        self.listener.close()


@pytest.fixture
def hearer():
    made = []

    def make(settings, session=""):
        made.append(Hearer(settings, session))
        return made[-1]

    yield make
    for each in made:
        each.close()
