"""A unit that found no feed keeps looking, and changes over when one comes."""

import io
import threading
from types import SimpleNamespace
from unittest.mock import Mock

import pytest

from firmware.actions import Press
from firmware.clock import HandClock, SystemClock
from firmware.commands.run import run
from firmware.errors import FirmwareError
from firmware.feeds.base import FeedState, Pace
from firmware.feeds.bench.feed import BenchFeed
from firmware.feeds.v4l2 import V4l2Feed
from firmware.live.appliance import run_appliance
from firmware.live.run_plan import RunPlan
from firmware.opening.looking import STAND_IN, Looker, looking, run_session
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from firmware.screen.drawing import Drawing
from firmware.v4l2.fake import FakeBoard
from overlays.draw.moment.shown import Face, Shown
from tests import views


@pytest.fixture
def board(tmp_path, monkeypatch):
    """A capture board whose device node is not there yet; the kernel is the only thing faked."""
    made = FakeBoard(HandClock(10**9), path=str(tmp_path / "video0"))
    monkeypatch.setattr("firmware.feeds.v4l2.SystemKernel", lambda: made)
    monkeypatch.setattr("firmware.opening.looking.AGAIN_S", 0.02)
    return made


def plugged(tmp_path):
    (tmp_path / "video0").touch()


def asked(tmp_path):
    return SimpleNamespace(profile=None, overrides=Overrides(), devices=tmp_path)


def stand_in(tmp_path):
    return open_session(
        None, None, Overrides(), clock=HandClock(), pace=Pace.STEP, devices=tmp_path
    )


def waited_for(looker):
    """Whether it finds something within ten seconds, looked at as often as the loop does."""
    there = threading.Event()
    return any(looker.has_found() or there.wait(0.02) for _ in range(500))


@pytest.mark.usefixtures("board")
def test_a_device_that_appears_is_found_and_opened(tmp_path):
    session = stand_in(tmp_path)
    assert isinstance(session.feed, BenchFeed)
    with looking(asked(tmp_path), session, HandClock()) as looker:
        assert not looker.has_found()
        plugged(tmp_path)
        assert waited_for(looker)
        found = looker.take()
    assert isinstance(found.feed, V4l2Feed)
    assert not found.is_stand_in
    assert not found.feed.info.is_simulated
    found.feed.close()


def test_what_is_found_while_a_run_ends_is_closed_and_not_changed_over_to():
    found = Mock()
    looker = Looker(lambda: found, 0.0)
    looker.start()
    looker._worker.join(5.0)
    assert not looker.has_told
    assert looker.has_found()
    assert looker.has_told
    looker.give_up()
    assert not looker.has_found()
    assert not looker.is_over()
    assert looker.take() is None
    looker.close()
    found.feed.close.assert_called_once_with()


def test_a_fault_of_the_looking_itself_is_raised_to_whoever_waits():
    def broken():
        raise RuntimeError("a library is half installed")

    looker = Looker(broken, 0.0)
    looker.start()
    looker._worker.join(5.0)
    assert not looker.has_found()
    with pytest.raises(RuntimeError, match="half installed"):
        looker.is_over()
    looker.close()


def test_a_device_that_does_not_open_is_looked_at_again(tmp_path, board):
    plugged(tmp_path)
    board.present = False
    session = stand_in(tmp_path)
    assert session.is_stand_in
    with looking(asked(tmp_path), session, HandClock()) as looker:
        board.present = True
        assert waited_for(looker)


@pytest.mark.usefixtures("board")
def test_a_feed_that_was_named_or_found_is_not_looked_for(tmp_path):
    plugged(tmp_path)
    session = stand_in(tmp_path)
    assert isinstance(session.feed, V4l2Feed)
    with looking(asked(tmp_path), session, HandClock()) as looker:
        assert looker.take() is None
    named = open_session("bench", None, Overrides(), clock=HandClock(), pace=Pace.STEP)
    assert not named.is_stand_in
    assert not Looker().has_found()


class Out(io.StringIO):
    """Standard output that plugs the board in at its third line, and out when it has taken over."""

    def __init__(self, plug, pull):
        super().__init__()
        self._plug, self._pull, self._count = plug, pull, 0

    def write(self, text):
        self._count += text.count("\n")
        if self._count == 2:
            self._plug()
        if "WAITING" in text and self._count > 2:
            self._pull()
        return super().write(text)


def test_readings_in_the_terminal_change_over(tmp_path, board):
    out = Out(lambda: plugged(tmp_path), lambda: setattr(board, "present", False))
    err = io.StringIO()
    plan = RunPlan(view=views.EXPOSE, feed=None, devices=tmp_path)
    status = run(plan, SystemClock(), {}, out, err, root=tmp_path)
    lines = out.getvalue().splitlines()
    assert all("simulated" in line for line in lines[:2])
    assert STAND_IN in err.getvalue()
    assert f"changed over to v4l2:{tmp_path / 'video0'}" in err.getvalue()
    after = lines[next(n for n, line in enumerate(lines) if "video0" in line) :]
    assert not any("simulated" in line for line in after)
    assert status == 2  # it was pulled out again


def test_the_screen_changes_over(tmp_path, board, monkeypatch):
    shown: list[tuple[bool, str, tuple[str, ...]]] = []

    def paint(_self, moment):
        if not shown and not moment.source.is_simulated:
            return  # the picture before there is a feed
        shown.append((moment.source.is_simulated, moment.source.feed, moment.warnings))
        if len(shown) == 3:
            plugged(tmp_path)
        elif not moment.source.is_simulated:
            board.present = False  # pulled out again, which ends a run of so many frames

    monkeypatch.setattr("firmware.screen.screen.Screen.paint", paint)
    plan = RunPlan(
        view=views.WATCH, feed=None, devices=tmp_path, drawing=Drawing.UNSEEN, frames=10**6
    )
    run_appliance(plan)
    simulated = [each[0] for each in shown]
    assert simulated[0]
    assert not simulated[-1]
    assert sorted(simulated, reverse=True) == simulated  # once, and not back again
    assert "video0" in shown[-1][1]
    assert STAND_IN in shown[2][2]
    assert STAND_IN not in shown[-1][2]


def named(tmp_path, **how):
    usual = {"view": views.EXPOSE, "feed": f"v4l2:{tmp_path / 'video0'}", "devices": tmp_path}
    return RunPlan(**{**usual, **how})


def test_a_named_device_that_is_missing_is_waited_for_and_nothing_stands_in(tmp_path, board):
    board.present = False
    plan = named(tmp_path)
    session = run_session(plan, HandClock())
    assert session.is_absent
    assert not session.feed.info.is_simulated
    assert str(tmp_path / "video0") in session.feed.info.warnings[0]
    with looking(plan, session, HandClock()) as looker:
        assert not looker.has_found()
        board.present = True
        assert waited_for(looker)
        found = looker.take()
    assert isinstance(found.feed, V4l2Feed)
    assert not found.is_absent
    found.feed.close()


@pytest.mark.parametrize(
    ("feed", "is_service", "waits"),
    [
        ("v4l2:/dev/video77", False, True),
        ("v4l2:/dev/video77", True, True),
        ("/media/stick/A001.mov", True, True),
        ("/media/stick/A001.mov", False, False),  # somebody typed it, and can type it again
        ("bench:nonsense=1", True, True),
        ("bench:nonsense=1", False, False),
    ],
)
def test_who_can_name_another_feed_is_told_and_a_unit_waits(feed, is_service, waits, tmp_path):
    plan = named(tmp_path, feed=feed, is_service=is_service)
    if waits:
        session = run_session(plan, HandClock())
        assert session.feed.info.name == feed
        assert session.feed.read(0.01) is FeedState.ABSENT
    else:
        with pytest.raises(FirmwareError):
            run_session(plan, HandClock())


def test_so_many_frames_of_what_is_not_there_are_refused(tmp_path):
    with pytest.raises(FirmwareError, match="no capture device"):
        run_session(named(tmp_path, feed="v4l2:/dev/video77", frames=3), HandClock())


def test_a_missing_feed_is_named_in_the_terminal_until_it_comes(tmp_path, board):
    board.present = False
    out = Out(lambda: setattr(board, "present", True), lambda: setattr(board, "present", False))
    err = io.StringIO()
    status = run(named(tmp_path), SystemClock(), {}, out, err, root=tmp_path)
    lines, name = out.getvalue().splitlines(), f"v4l2:{tmp_path / 'video0'}"
    assert lines[0] == f"{name}: not there yet, looking for it"
    assert lines[1].startswith("WAITING ")
    assert f"{name} is not there yet, looking for it" in lines[1]
    assert "simulated" not in out.getvalue()
    assert "no capture device" in err.getvalue()
    assert f"changed over to {name}" in err.getvalue()
    assert status == 2  # it was pulled out again


@pytest.mark.parametrize("is_service", [False, True])
def test_a_missing_feed_is_named_on_the_screen_until_it_comes(
    is_service, tmp_path, board, monkeypatch
):
    board.present = False
    shown: list[Shown] = []
    told = []

    def paint(_self, moment):
        shown.append(moment)
        if len(shown) == 20:
            board.present = True

    def acted(_self):
        here = len(shown) > 20 and "looking" not in shown[-1].face_words
        return [Press.QUIT] if here else []

    monkeypatch.setattr("firmware.screen.screen.Screen.paint", paint)
    monkeypatch.setattr("firmware.screen.screen.Screen.actions", acted)
    monkeypatch.setattr("firmware.system.systemd.Notifier.ready", lambda _self: told.append(shown))
    monkeypatch.setattr("firmware.live.loop.TURN_NS", 10**7)  # so that it paints often enough
    run_appliance(named(tmp_path, drawing=Drawing.UNSEEN, is_service=is_service))
    name = f"v4l2:{tmp_path / 'video0'}"
    lost = [moment for moment in shown if moment.face is Face.LOST]
    assert lost[0].face_words == f"{name} is not there yet, looking for it"
    assert any("no capture device" in each for each in lost[0].warnings)
    assert not any(moment.source.is_simulated for moment in shown)
    assert told  # a unit that waits is up: it is not started again
    assert shown[-1].source.feed.startswith(f"{name}: ")
    assert "looking" not in shown[-1].face_words
