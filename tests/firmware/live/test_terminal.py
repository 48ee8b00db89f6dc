import io
from dataclasses import replace

import pytest
from rich.console import Console

from firmware.errors import FrameMissingError
from firmware.feeds.base import FeedState
from firmware.instruments.registry import REGISTRY
from firmware.instruments.scene import Frames
from firmware.instruments.spot.instrument import Spot
from firmware.live.terminal import Lines, LiveReadings, Now, PanelFace, describe, face_for, panel
from firmware.opening.session import Session
from firmware.profiles.shelf import load_profile
from overlays.signal.signal import Range, SignalOverride
from overlays.wording.numbers import UNKNOWN
from tests import views

PROFILE = load_profile("log-v")
SPOT = REGISTRY.in_view(views.EXPOSE)


class Kept:
    """A face that keeps what it was shown."""

    def __init__(self, period_ns=0):
        self.period_ns = period_ns
        self.shown = []

    def show(self, now):
        self.shown.append(now)

    def close(self):
        pass


class Looking(Spot):
    """The spot, with what it was shown."""

    def __init__(self):
        self.scenes, self.followed = [], 0

    def follow(self, *_, in_view):
        self.followed += in_view

    def measure(self, scene, settings, memory):
        self.scenes.append(scene)
        return super().measure(scene, settings, memory)


def play(feed, face, frames=None, instrument=SPOT, profile=PROFILE, **how):
    session = Session(feed, profile, is_guess=False, **how)
    return LiveReadings(session, instrument, feed.clock, face).run(frames)


def test_live_frames_are_shown_as_live(scripted, frame):
    feed, face = scripted([frame(433, number=n) for n in range(10)]), Kept()
    assert play(feed, face, frames=5) is None
    assert all(now.is_live for now in face.shown)  # nothing before the first reading
    words = describe(face.shown[-1])
    stops, pm, unit = words["spot"].split()
    # Mid-grey is code 433 of ten bits, by V-Log's publication.
    assert float(stops) == pytest.approx(0.0, abs=0.05)
    assert pm.startswith("±0.")
    assert unit == "st"
    assert words["level"].startswith("42.2 ±")
    assert words["level"].endswith(" %")
    assert "state" not in words
    assert feed.released == 6  # one of them to warm up


def test_no_frame_within_half_a_second_is_stale_and_shows_no_old_number(scripted, frame):
    answers = [frame(433), frame(433)] + [FeedState.NO_SIGNAL] * 8
    feed, face = scripted(answers), Kept()
    play(feed, face)
    told = [(now.silent_ns, describe(now)) for now in face.shown if now.seen is not None]
    assert any(age > 500_000_000 for age, _ in told)
    for age, words in told:
        if age > 500_000_000:
            assert list(words) == ["state"]
            assert words["state"].startswith("STALE")
            assert "no signal" in words["state"] or "end of" in words["state"]
        else:
            assert "spot" in words


def test_a_late_frame_is_live_and_its_age_is_told(scripted, frame):
    feed, face = scripted([frame(433)] * 4), Kept()
    feed.step_s = 0.45  # slow, but no half second without a new frame
    feed.lag_s = 2.0  # each was taken two seconds before it came
    play(feed, face)
    words = [describe(now) for now in face.shown if now.seen is not None]
    assert all("spot" in each for each in words)
    assert words[0]["frame"].endswith("2000 ms old")


def test_readings_come_back_after_a_gap(scripted, frame):
    answers = [frame(), frame(), *[FeedState.NO_SIGNAL] * 9, frame(500)]
    feed, face = scripted(answers), Kept()
    play(feed, face)
    states = ["state" in describe(now) for now in face.shown if now.seen is not None]
    assert states[0] is False
    assert True in states
    assert states[-1] is False


def test_before_the_first_frame_it_waits(scripted):
    feed, face = scripted([FeedState.NO_FRAME_YET] * 3), Kept()
    assert play(feed, face) is FeedState.ENDED
    assert describe(face.shown[0])["state"].startswith("WAITING")


def test_the_end_of_the_feed_ends_it(scripted, frame):
    assert play(scripted([frame()] * 3), Kept()) is FeedState.ENDED
    assert play(scripted([frame(), FeedState.GONE]), Kept()) is FeedState.GONE


def test_frames_that_never_come_are_not_waited_for_without_end(scripted):
    feed = scripted([FeedState.NO_SIGNAL] * 1000)
    with pytest.raises(FrameMissingError, match="no signal"):
        play(feed, Kept(), frames=3)
    assert feed.answers


def test_lines_come_once_a_second(scripted, frame):
    out = io.StringIO()
    feed = scripted([frame(433, number=n) for n in range(101)])  # 100 of 40 ms: 4 seconds
    play(feed, Lines(out), frames=100)
    lines = out.getvalue().splitlines()
    assert 4 <= len(lines) <= 6
    assert all(line.startswith("spot ") for line in lines)
    assert "headroom" in lines[0]
    assert len(set(lines)) == len(lines)


def test_the_profile_sets_the_size_of_the_spot_and_its_pins(scripted, frame):
    looking, kit = Looking(), replace(PROFILE, pins=(("key", 0.25, 0.5),))
    frames = [frame(rows=200, columns=300)] * 2
    play(scripted(frames), Kept(), instrument=looking, profile=kit)
    place = looking.scenes[-1].spot.place
    assert (place.column, place.row, place.size) == (150, 100, 8)
    (pin,) = looking.scenes[-1].desk.pins
    assert (pin.name, pin.place.column, pin.place.row) == ("key", 75, 100)


def test_an_instrument_sees_live_frames_of_now_and_follows_each(scripted, frame):
    looking, feed = Looking(), scripted([frame(433, number=n) for n in range(4)])
    play(feed, Kept(), instrument=looking)
    assert [scene.frame.number for scene in looking.scenes] == [0, 1, 2, 3]
    assert {scene.frames for scene in looking.scenes} == {Frames.LIVE}
    times = [scene.now_ns for scene in looking.scenes]
    assert times == sorted(set(times))
    assert looking.followed == 4


def test_codes_are_read_as_it_is_said(scripted, frame):
    looking = Looking()
    feed = scripted([frame(433)] * 2)
    play(feed, Kept(), instrument=looking, override=SignalOverride(Range.FULL))
    assert looking.scenes[-1].yard.signal.range is Range.FULL


@pytest.mark.parametrize("view", views.VIEWS, ids=lambda view: view.name)
def test_every_instrument_has_words_for_the_terminal(scripted, frame, view):
    face, out = Kept(), io.StringIO()
    play(scripted([frame(433, number=n) for n in range(4)]), face, None, REGISTRY.in_view(view))
    words = describe(next(now for now in face.shown if now.is_live))
    assert words["frame"].endswith("ms old")
    assert len([word for word in words.values() if word]) >= 3
    assert not any(UNKNOWN in word for word in words.values())  # dashes are for a screen
    Console(file=out, width=80).print(panel(next(now for now in face.shown if now.is_live)))
    assert "V-Log" in out.getvalue()


def test_a_file_gets_lines_and_a_terminal_a_panel():
    class Terminal(io.StringIO):
        def isatty(self):
            return True

    assert isinstance(face_for(io.StringIO()), Lines)
    terminal = Terminal()
    face = face_for(terminal)
    assert isinstance(face, PanelFace)
    face.show(Now(None, FeedState.NO_SIGNAL, 700_000_000, 0, PROFILE))
    face.close()
    assert "no signal" in terminal.getvalue()


def test_the_panel_says_in_words_what_it_shows(scripted, frame):
    face = Kept()
    play(scripted([frame(433)] * 3), face)
    out = io.StringIO()
    Console(file=out, width=80).print(panel(face.shown[0]))
    assert "V-Log" in out.getvalue()
    assert "headroom" in out.getvalue()


def test_black_has_no_stops(scripted, frame):
    face = Kept()
    feed = scripted([frame(40)] * 3)
    play(feed, face)
    words = describe(next(now for now in face.shown if now.seen))
    assert words["spot"] == "no light"
    assert words["R G B"] == "no light no light no light st"
    assert words["footroom"] == "unknown"


def test_a_panel_gives_the_cursor_back():
    out = io.StringIO()
    face = PanelFace(out)
    assert face._live.is_started
    face.close()
    assert not face._live.is_started
