"""What is heard of units: the newest, its age on the way, and marks once."""

from hypothesis import given
from hypothesis import strategies as st

from firmware.clock import HandClock
from firmware.kit.ear import FRESH_NS, MOST_MARKS, MOST_UNITS, Ear
from firmware.kit.topics import Topic, packed, topic_of
from tests.kit_messages import mark, presence, reading


class Listening:
    """An ear, and a unit whose clock is another."""

    def __init__(self):
        self.clock = HandClock(5 * 10**9)
        self.ear = Ear(self.clock)

    def hear(self, topic, message, *, is_kept=False):
        self.ear.take(topic_of(message.unit, topic), packed(message), is_kept=is_kept)
        self.ear.understand()

    def reading(self, number, at_s, *, is_kept=False, **more):
        self.hear(Topic.READING, reading(number=number, at_s=at_s, **more), is_kept=is_kept)

    @property
    def unit(self):
        (found,) = self.ear.units()
        return found


def test_a_unit_is_fresh_while_it_speaks_and_says_how_long_it_has_not():
    here = Listening()
    here.hear(Topic.PRESENCE, presence())
    assert here.unit.absence == "was not heard yet"
    here.reading(1, 1000.0)
    assert here.unit.absence == ""
    here.clock.move(FRESH_NS / 1e9 + 0.1)
    assert here.unit.absence == "was last heard 3 s ago"
    here.reading(2, 1003.0)
    assert here.unit.is_fresh
    here.hear(Topic.PRESENCE, presence(online=False))
    assert here.unit.absence == "is cut off"
    here.hear(Topic.PRESENCE, presence(online=False, left=True))
    here.hear(Topic.PRESENCE, presence(online=False))  # the will of a connection that went with it
    assert here.unit.absence == "was switched off"
    here.hear(Topic.PRESENCE, presence(boot="1" * 32))
    assert here.unit.is_online


def test_what_the_broker_kept_is_of_no_known_age():
    here = Listening()
    here.hear(Topic.PRESENCE, presence(), is_kept=True)
    here.reading(9, 50.0, is_kept=True)
    assert (here.unit.age_ns, here.unit.is_fresh) == (None, False)
    here.reading(10, 50.2)
    assert here.unit.is_fresh


def test_readings_that_waited_on_the_way_are_old_ones():
    here = Listening()
    here.hear(Topic.PRESENCE, presence())
    here.reading(1, 1000.0)
    here.clock.move(10.0)  # nothing comes, then all of it at once
    for number in range(2, 12):
        here.reading(number, 1000.0 + 0.2 * number)
    assert here.unit.reading.number == 11
    assert here.unit.age_ns == 10 * 10**9 - 2_200_000_000
    assert not here.unit.is_fresh


@given(st.lists(st.tuples(st.floats(0.0, 5.0), st.floats(0.0, 3.0)), min_size=1, max_size=8))
def test_an_age_is_never_less_than_what_passed_here_since_it_came(steps):
    here = Listening()
    at_s = 100.0
    for number, (pause, late) in enumerate(steps, start=1):
        here.clock.move(pause + late)
        at_s += pause
        here.reading(number, at_s)
    assert here.unit.age_ns >= 0
    here.clock.move(1.0)
    assert here.unit.age_ns >= 10**9


def test_a_unit_that_begins_anew_counts_from_the_start():
    here = Listening()
    here.reading(500, 1000.0)
    here.reading(3, 2.0)  # of the same run: an older one
    assert here.unit.reading.number == 500
    here.reading(1, 2.0, boot="1" * 32)
    assert here.unit.reading.number == 1


def test_marks_come_once_each():
    here = Listening()
    for _ in range(3):
        here.hear(Topic.MARK, mark())
    here.hear(Topic.MARK, mark(id="b" * 64, words="second"))
    assert [each.words for each in here.ear.take_marks()] == ["add exposure", "second"]
    assert here.ear.take_marks() == []
    assert (here.unit.marks, here.unit.last_mark.words) == (2, "second")


def test_there_is_an_end_to_what_is_kept():
    here = Listening()
    for number in range(MOST_UNITS + 50):
        name = f"cam-{number}"
        here.hear(Topic.PRESENCE, presence(name))
    assert len(here.ear.units()) == here.ear.count == MOST_UNITS
    assert here.ear.refused.count == 50
    assert "more than" in here.ear.refused.why
    for _ in range(2):
        for number in range(MOST_MARKS + 9):
            topic = topic_of("cam-1", Topic.MARK)
            here.ear.take(topic, packed(mark("cam-1", id=f"{number:064x}")), is_kept=False)
    assert len(here.ear._marks_in) == MOST_MARKS


def test_a_new_connection_learns_anew_how_long_it_takes():
    here = Listening()
    here.hear(Topic.PRESENCE, presence())
    here.reading(1, 1000.0)
    here.clock.move(1.0)
    here.ear.connected()
    here.reading(2, 1000.2)  # a slower way: what is quickest there counts
    assert here.unit.age_ns == 0
