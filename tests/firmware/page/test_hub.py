"""Between the loop and the phones: newest wins and nobody waits."""

import json
import threading

import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.page.asked import Pressed
from firmware.page.hub import COUNTS_NS, MOMENT_NS, MOST_ASKED, PICTURE_NS, Hub, Sent, text_of

NS = 1e9


@pytest.fixture
def clock():
    return HandClock(10**12)


@pytest.fixture
def hub(clock):
    return Hub(clock)


def turn(hub):
    """One turn of the page's own thread, here."""
    hub._turn()


def numbers(hub):
    return {kind: hub.newest(kind).number for kind in Sent}


def test_nothing_is_made_for_nobody(hub, seen, monkeypatch):
    monkeypatch.setattr("firmware.page.hub.WAIT_S", 0.0)
    hub.publish(seen)
    turn(hub)
    assert set(numbers(hub).values()) == {0}
    assert not hub.is_due()


def test_whoever_comes_gets_what_was_painted_before(hub, seen):
    hub.publish(seen)
    woken = []
    hub.watch(lambda: woken.append(1))
    turn(hub)
    assert json.loads(hub.newest(Sent.MOMENT).data)["view"] == "expose"
    assert woken == [1]


def test_the_newest_wins_and_comes_ten_times_a_second_at_most(hub, seen, clock, monkeypatch):
    monkeypatch.setattr(hub._worker, "pause", lambda _s: None)
    hub.watch(lambda: None)
    for _ in range(5):
        hub.publish(seen)
    turn(hub)
    hub.publish(seen)
    turn(hub)
    assert numbers(hub)[Sent.MOMENT] == 1
    clock.move(MOMENT_NS / NS)
    turn(hub)
    assert numbers(hub)[Sent.MOMENT] == 2


def test_copies_are_due_where_somebody_watches_and_the_last_were_used(hub, taken, clock):
    watcher = hub.watch(lambda: None)
    clock.move(PICTURE_NS / NS)
    assert hub.is_due()
    hub.leave(taken)
    clock.move(10 * PICTURE_NS / NS)
    assert not hub.is_due()  # they wait to be drawn: no second ones beside them
    turn(hub)
    assert hub.is_due()
    hub.leave_off(watcher)
    assert not hub.is_due()


def test_traces_are_made_less_often_than_pictures(hub, taken, clock):
    hub.watch(lambda: None)
    pictures = 0
    for _ in range(8):
        clock.move(PICTURE_NS / NS)
        hub.leave(taken)
        turn(hub)
        pictures += 1
    made = numbers(hub)
    assert made[Sent.PICTURE] == pictures
    assert made[Sent.TRACE] == made[Sent.CHROMA] == 8 * PICTURE_NS // COUNTS_NS
    assert hub.newest(Sent.PICTURE).data.startswith(b"\xff\xd8")  # JPEG, ITU-T T.81, SOI
    assert hub.newest(Sent.TRACE).data.startswith(b"\x89PNG")


def test_presses_wait_in_their_order_and_no_more_than_a_thumb_makes(hub):
    made = [Pressed(Press.HOLD), Pressed(Press.MARK)]
    assert all(hub.ask(each) for each in made)
    assert hub.take_asked() == made
    assert hub.take_asked() == []
    assert sum(hub.ask(made[0]) for _ in range(2 * MOST_ASKED)) == MOST_ASKED


def test_whoever_publishes_never_waits_for_a_slow_phone(hub, seen, taken):
    """The page's thread hangs in a phone's waker; the loop goes on all the same."""
    hangs, let_go = threading.Event(), threading.Event()

    def slow():
        hangs.set()
        let_go.wait(20.0)

    hub.watch(slow)
    hub.start()
    try:
        hub.publish(seen)
        assert hangs.wait(20.0)
        for _ in range(1000):
            hub.publish(seen)
            if hub.is_due():
                hub.leave(taken)
            hub.take_asked()
    finally:
        let_go.set()
        hub.close()
    assert hub.fault is None


def test_what_cannot_be_shown_is_said_once_and_the_next_is_another_matter(
    hub, seen, clock, monkeypatch, capsys
):
    hub.watch(lambda: None)
    with monkeypatch.context() as broken:
        broken.setattr("firmware.page.hub.text_of", lambda *_: 1 / 0)
        for _ in range(3):
            clock.move(MOMENT_NS / NS)
            hub.publish(seen)
            turn(hub)
    assert capsys.readouterr().err == "midgrey: page: ZeroDivisionError: division by zero\n"
    clock.move(MOMENT_NS / NS)
    hub.publish(seen)
    turn(hub)
    assert numbers(hub)[Sent.MOMENT] == 1


def test_a_moment_is_strict_json(seen):
    json.loads(text_of(seen), parse_constant=pytest.fail)


def test_the_units_of_a_kit_go_with_a_moment(clock, seen):
    hub = Hub(clock, lambda: [{"unit": "cam-b"}])
    hub.watch(lambda: None)
    hub.publish(seen)
    turn(hub)
    assert json.loads(hub.newest(Sent.MOMENT).data)["units"] == [{"unit": "cam-b"}]
    assert json.loads(text_of(seen))["units"] is None
