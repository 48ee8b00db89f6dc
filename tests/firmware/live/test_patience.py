import pytest

from firmware.clock import HandClock
from firmware.errors import FeedNotFoundError, UnknownProfileError
from firmware.live.patience import PAUSES_S, opened_patiently


class Screen:
    def __init__(self, quits_after=10**9):
        self.said, self.asked, self.quits_after = [], 0, quits_after

    def say(self, words):
        self.said.append(words)

    def is_over(self):
        self.asked += 1
        return self.asked > self.quits_after


class Manager:
    def __init__(self, *, is_heard):
        self.is_heard, self.readies, self.fed = is_heard, 0, 0

    def ready(self):
        self.readies += 1

    def alive(self):
        self.fed += 1


def opening(tries, fault=FeedNotFoundError):
    left = [tries]

    def opened():
        if left[0]:
            left[0] -= 1
            raise fault("no capture device at /dev/video0")
        return "a session"

    return opened


def test_a_unit_says_why_and_tries_again_until_its_feed_is_there():
    clock, screen, manager = HandClock(), Screen(), Manager(is_heard=True)
    assert opened_patiently(opening(5), screen, manager, clock) == "a session"
    assert screen.said == ["no capture device at /dev/video0; tried again"] * 5
    assert clock.now_ns() / 1e9 == pytest.approx(sum(PAUSES_S) + 2 * PAUSES_S[-1], abs=0.5)
    assert manager.readies == 5
    assert manager.fed > 10 * sum(PAUSES_S)  # and its watchdog does not bite


def test_a_command_that_is_typed_ends_with_the_sentence():
    with pytest.raises(FeedNotFoundError):
        opened_patiently(opening(1), Screen(), Manager(is_heard=False), HandClock())


def test_what_never_will_be_is_raised_to_a_unit_too():
    with pytest.raises(UnknownProfileError):
        opened_patiently(
            opening(1, UnknownProfileError), Screen(), Manager(is_heard=True), HandClock()
        )


def test_somebody_may_quit_while_it_waits():
    screen = Screen(quits_after=7)
    assert opened_patiently(opening(99), screen, Manager(is_heard=True), HandClock()) is None
