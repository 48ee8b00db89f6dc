"""When settings are written: seldom, once, whole; and what is said where a card takes nothing."""

import errno
import os
import threading

import pytest

from firmware.clock import HandClock, SystemClock
from firmware.kept.keeper import Keeper


@pytest.fixture
def clock():
    return HandClock(start_ns=10**9)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "made" / "settings.json"


@pytest.fixture
def writes(monkeypatch):
    """What was written; may be told to refuse."""
    found: list[bytes | OSError] = []

    def save(path, content):
        if found and isinstance(found[-1], OSError):
            raise found[-1]
        found.append(content)
        path.write_bytes(content)

    monkeypatch.setattr("firmware.kept.keeper.save", save)
    return found


def run(keeper, clock, seconds, note=None):
    """Turns of a quarter second; `note` is called before each with how many there were."""
    for number in range(round(seconds * 4)):
        if note is not None:
            keeper.note(note(number))
        keeper.step()
        clock.move(0.25)


def test_it_is_written_some_seconds_after_the_last_change_and_then_no_more(path, clock, writes):
    keeper = Keeper(path, clock)
    run(keeper, clock, 2.0, lambda number: b"%d" % number)
    assert writes == []
    run(keeper, clock, 2.0)
    assert writes == []
    run(keeper, clock, 100.0)
    assert writes == [b"7"]


def test_changes_without_end_are_written_twice_a_minute(path, clock, writes):
    keeper = Keeper(path, clock)
    run(keeper, clock, 120.0, lambda number: b"%d" % number)
    assert len(writes) == 3


def test_what_is_on_the_card_is_not_written_again(path, clock, writes):
    keeper = Keeper(path, clock, b"same")
    run(keeper, clock, 10.0, lambda _: b"same")
    run(keeper, clock, 1.0, lambda _: b"other")
    run(keeper, clock, 10.0, lambda _: b"same")
    keeper.start()
    keeper.close()
    assert writes == []


def test_the_end_does_not_wait(path, clock, writes):
    keeper = Keeper(path, clock)
    keeper.start()
    keeper.note(b"last")
    keeper.close()
    assert writes == [b"last"]


def test_a_card_that_takes_nothing_is_said_once_and_asked_again_once_a_minute(path, clock, writes):
    writes.append(OSError(errno.EROFS, os.strerror(errno.EROFS)))
    keeper = Keeper(path, clock)
    run(keeper, clock, 1.0, lambda _: b"new")
    assert keeper.take_said() == ""
    run(keeper, clock, 200.0)
    assert "the settings cannot be written (read-only file system)" in keeper.take_said()
    run(keeper, clock, 200.0)
    assert keeper.take_said() == ""
    writes.clear()
    run(keeper, clock, 61.0)
    assert writes == [b"new"]


def test_what_could_not_be_written_at_the_end_is_told(tmp_path, clock):
    (tmp_path / "taken").write_text("a file where a folder is to be")
    keeper = Keeper(tmp_path / "taken" / "kept.json", clock)
    keeper.note(b"a")
    assert keeper.close().startswith(f"{tmp_path}/taken/kept.json: the settings cannot be written")


def test_a_card_that_does_not_answer_at_the_end_is_told(path, clock, monkeypatch):
    at_work, let_go = threading.Event(), threading.Event()

    def hanging(_path, _content):
        at_work.set()
        let_go.wait(30.0)

    monkeypatch.setattr("firmware.kept.keeper.save", hanging)
    monkeypatch.setattr("firmware.kept.keeper.CLOSE_S", 0.02)
    monkeypatch.setattr("firmware.kept.keeper.REST_NS", 0)
    keeper = Keeper(path, clock)
    keeper.start()
    keeper.note(b"a")
    assert at_work.wait(30.0)
    assert keeper.close().endswith("what was set last is not kept: the card did not answer in time")
    let_go.set()


def test_the_thread_writes_by_itself(path, monkeypatch):
    monkeypatch.setattr("firmware.kept.keeper.REST_NS", 0)
    monkeypatch.setattr("firmware.kept.keeper.TURN_S", 0.005)
    clock = SystemClock()
    keeper = Keeper(path, clock)
    keeper.start()
    keeper.note(b"whole")
    end_ns = clock.now_ns() + 5_000_000_000
    while not path.exists() and clock.now_ns() < end_ns:
        clock.sleep(0.005)
    keeper.close()
    assert path.read_bytes() == b"whole"
