"""The loop with a fake feed and a fake screen. Turns are made one at a time where order matters;
the threads themselves run for real once."""

import threading
from dataclasses import replace
from itertools import pairwise

import pytest

from firmware.actions import PlaceSpot, Press
from firmware.clock import HandClock, SystemClock
from firmware.errors import ThreadStuckError
from firmware.feeds.base import Doubt, FeedState, Settles
from firmware.live import hooks as hooks_module
from firmware.live.hooks import NO_JOURNAL, Hooks
from firmware.live.loop import READ_S, Loop
from firmware.live.state import Running, first_state
from firmware.profiles.shelf import load_profile
from firmware.rail.pages import At, Leaf
from overlays.draw.moment.layers import Ghost, Strip
from overlays.draw.moment.lineup import Lineup
from overlays.draw.moment.report import Tone
from overlays.draw.moment.shown import Alert, Face, Source
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, SignalOverride
from overlays.wording.numbers import UNKNOWN
from tests import views

STANDARD = load_profile("standard")


class PaperBoard:
    """A screen that remembers what was painted and presses what it is told."""

    def __init__(self):
        self.presses, self.painted, self.flips = [], [], 0
        self.quit_after = None

    def actions(self):
        given, self.presses = self.presses, []
        return given

    def paint(self, shown):
        self.painted.append(shown)
        live = [each for each in self.painted if each.face is Face.LIVE]
        if self.quit_after is not None and len(live) >= self.quit_after:
            self.presses.append(Press.QUIT)

    def flip(self):
        self.flips += 1


class LendingFeed:
    """Hands out what it is given and keeps count of what is lent."""

    def __init__(self, info, answers=()):
        self.info, self.answers, self.lent, self.twice = info, list(answers), {}, 0
        self.lock = threading.Lock()

    def read(self, timeout_s):  # noqa: ARG002 - the contract's
        if not self.answers:
            return FeedState.NO_FRAME_YET
        got = self.answers.pop(0)
        if not isinstance(got, FeedState):
            with self.lock:
                self.lent[got.number] = got
        return got

    def release(self, frame):
        with self.lock:
            if self.lent.pop(frame.number, None) is None:
                self.twice += 1

    def close(self):
        pass


class StepwiseFeed(LendingFeed):
    """Hands out the next frame when the screen has been flipped: no frame is passed over."""

    def __init__(self, info, make_frame, board):
        super().__init__(info)
        self.make_frame, self.number = make_frame, 0
        self.permits = threading.Semaphore(1)
        board.flip = self.permits.release

    def read(self, timeout_s):
        if not self.permits.acquire(timeout=timeout_s):
            return FeedState.NO_FRAME_YET
        self.answers.append(self.make_frame(500, number=self.number))
        self.number += 1
        return super().read(timeout_s)


@pytest.fixture
def make(info):
    def made(answers=(), hooks=None, view=views.EXPOSE):
        clock = HandClock(start_ns=10**9)
        feed = LendingFeed(info(), answers)
        board = PaperBoard()
        state = first_state((STANDARD, load_profile("hlg")), info(), view)
        return Loop(feed, state, board, clock, hooks=hooks), feed, board, clock

    return made


def step(loop):
    """One turn of every part, in the order a frame takes them."""
    loop._take_frame()
    loop._measure_frame()
    return loop.turn()


def frames(frame, count, code=500):
    return [frame(code, number=n, time_ns=10**9) for n in range(count)]


def test_a_frame_is_measured_and_shown_live(make, frame):
    loop, _, board, _ = make(frames(frame, 1))
    assert step(loop) is Face.LIVE
    shown = board.painted[-1]
    assert shown.measured.frame.number == 0
    assert shown.readable.spot.stops == pytest.approx(0.5, abs=1.0)
    assert (loop.stats.frames_in, loop.stats.frames_measured, loop.stats.frames_shown) == (1, 1, 1)
    assert board.flips == len(board.painted)


def test_the_newest_frame_wins_and_every_other_is_given_back_once(make, frame):
    loop, feed, board, _ = make(frames(frame, 6))
    for _ in range(3):
        loop._take_frame()
    loop._measure_frame()
    for _ in range(2):
        loop._take_frame()
    loop._measure_frame()
    loop.turn()
    assert board.painted[-1].measured.frame.number == 4
    assert loop.stats.dropped_before_measuring == 3
    assert loop.stats.dropped_before_showing == 1
    assert sorted(feed.lent) == [4]
    step(loop)
    assert sorted(feed.lent) == [5]
    loop._let_go()
    assert feed.lent == {}
    assert feed.twice == 0


def test_never_more_than_four_frames_are_lent(make, frame):
    loop, feed, _, _ = make(frames(frame, 40))
    most = 0
    for turn in range(40):
        loop._take_frame()
        most = max(most, len(feed.lent))
        if turn % 2:
            loop._measure_frame()
        if turn % 3 == 0:
            loop.turn()
    assert most <= 4


def test_a_feed_that_falls_silent_is_stale_within_half_a_second(make, frame):
    loop, _, board, clock = make(frames(frame, 1))
    step(loop)
    clock.move(0.2)
    assert loop.turn() is Face.LIVE
    clock.move(0.1)
    assert loop.turn() is Face.STALE
    shown = board.painted[-1]
    assert shown.readable is None
    assert shown.face_words == "last frame 0.3 s ago"


def test_a_stale_feed_that_comes_back_is_live_again(make, frame):
    loop, feed, board, clock = make(frames(frame, 1))
    step(loop)
    clock.move(3.0)
    loop.turn()
    feed.answers.append(frame(600, number=9, time_ns=clock.now_ns()))
    assert step(loop) is Face.LIVE
    assert board.painted[-1].measured.frame.number == 9


@pytest.mark.parametrize("answer", [FeedState.UNPLUGGED, FeedState.NO_SIGNAL, FeedState.GONE])
def test_a_feed_that_says_why_is_quoted_on_the_screen(make, frame, answer):
    loop, _, board, clock = make([*frames(frame, 1), answer])
    step(loop)
    clock.move(0.6)
    loop._capture.ask_to_stop()  # so that its pause ends at once
    assert step(loop) is Face.LOST
    words = board.painted[-1].face_words  # what the face says already is not said again
    assert words == answer.value or (answer is FeedState.NO_SIGNAL and "cable" in words)
    assert board.painted[-1].readable is None


def test_before_the_first_frame_the_screen_says_that_it_waits(make):
    loop, _, board, _ = make()
    assert step(loop) is Face.STARTING
    assert board.painted[-1].measured is None


def test_a_held_frame_stands_while_the_feed_goes_on_and_its_buffer_is_given_back(make, frame):
    loop, feed, board, _ = make([frame(400 + 30 * n, number=n) for n in range(6)])
    step(loop)
    board.presses = [Press.HOLD]
    assert step(loop) is Face.HELD
    held = board.painted[-1]
    assert held.measured.frame.number == 0
    before = held.readable.spot.percent
    for _ in range(3):
        step(loop)
    assert len(feed.lent) <= 1
    board.presses = [Press.SPOT_LEFT]
    step(loop)
    moved = board.painted[-1]
    assert moved.readable.spot.percent == pytest.approx(before, abs=0.2)
    assert moved.measured.place.column < held.measured.place.column
    board.presses = [Press.HOLD]
    loop.turn()
    loop._feed.answers.append(frame(900, number=77))
    assert step(loop) is Face.LIVE
    assert board.painted[-1].measured.frame.number == 77


def test_there_is_nothing_to_hold_before_the_first_frame(make, frame):
    loop, _, board, _ = make(frames(frame, 1))
    board.presses = [Press.HOLD]
    assert loop.turn() is Face.STARTING
    assert loop.state.held is False
    assert step(loop) is Face.LIVE


def test_nothing_is_painted_when_nothing_has_changed(make, frame):
    loop, _, board, _ = make(frames(frame, 1))
    step(loop)
    count = len(board.painted)
    for _ in range(5):
        loop.turn()
    assert len(board.painted) == count
    board.presses = [Press.NEXT_VIEW]
    loop.turn()
    assert len(board.painted) == count + 1


def test_another_picture_size_brings_the_spot_with_it(make, frame):
    loop, _, board, _ = make([frame(500, number=0), frame(500, rows=32, columns=48, number=1)])
    step(loop)
    step(loop)
    assert (loop.state.columns, loop.state.rows) == (48, 32)
    assert loop.state.spot.column == 24
    assert board.painted[-1].readable.spot is not None


def test_the_age_of_a_frame_is_taken_at_the_flip(make, frame):
    loop, _, board, clock = make([frame(500, time_ns=10**9)])
    board.flip = lambda: clock.move(0.033)
    step(loop)
    assert loop.stats.age.summary()["p50"] == pytest.approx(33.0, abs=0.1)


def test_screenshots_are_taken_when_asked_for_and_spoken_of_for_a_while(make, frame):
    asked = []

    def saved(seen):
        asked.append(seen)
        return "saved it"

    hooks = Hooks(screenshot=saved)
    loop, _, board, clock = make(frames(frame, 1), hooks)
    step(loop)
    board.presses = [Press.SCREENSHOT]
    loop.turn()
    assert board.painted[-1].note == "saved it"
    assert asked == [board.painted[0].measured]
    clock.move(3.5)
    loop.turn()
    assert board.painted[-1].note == ""
    # By now the feed is silent: what is on the screen cannot be read.
    board.presses = [Press.SCREENSHOT]
    loop.turn()
    assert asked[1:] == [None]


def test_a_mark_is_of_what_can_be_read_and_is_answered_with_a_note(make, frame):
    asked = []

    def marked(seen, state, read_with):
        asked.append((seen, state.view, read_with.profile))
        return "marked"

    loop, _, board, clock = make(frames(frame, 1), Hooks(mark=marked))
    step(loop)
    board.presses = [Press.MARK]
    loop.turn()
    assert board.painted[-1].note == "marked"
    assert asked == [(board.painted[0].measured, loop.state.view, loop.state.in_use)]
    clock.move(3.5)
    loop.turn()
    board.presses = [Press.MARK]
    loop.turn()  # by now the feed is silent
    assert asked[1][0] is None


def test_without_a_journal_a_mark_says_so(make, frame):
    loop, _, board, _ = make(frames(frame, 1))
    step(loop)
    board.presses = [Press.MARK]
    loop.turn()
    assert board.painted[-1].note == NO_JOURNAL


def test_the_panels_light_moves_in_any_view_and_stands_beside_its_guide(make, frame):
    asked = []

    def light(steps):
        asked.append(steps)
        return f"panel light {50 + 5 * sum(asked)} %"

    loop, _, board, _ = make(frames(frame, 1), Hooks(light=light))
    step(loop)
    assert asked == []
    board.presses = [Press.LIGHT_UP, Press.LIGHT_UP]
    loop.turn()
    assert board.painted[-1].note == "panel light 60 %"
    assert board.painted[-1].lineup is None
    loop.state = replace(loop.state, rail=At(Leaf.LINEUP, 2))
    board.presses = [Press.LIGHT_DOWN]
    loop.turn()
    assert board.painted[-1].lineup == Lineup(2, "panel light 55 %")
    assert [each for each in asked if each] == [2, -1]


def test_one_press_writes_the_clip_that_was_found_and_says_so(make, frame):
    asked = []

    def kept(profile, top):
        asked.append((profile, top))
        return "written"

    loop, _, board, _ = make(frames(frame, 1), Hooks(keep_clip=kept))
    step(loop)
    board.presses = [Press.KEEP_CLIP]
    loop.turn()
    assert board.painted[-1].note == "written"
    seen = board.painted[0].measured
    assert asked == [(loop.state.in_use, seen.yard.flat_top)]


def test_an_alert_stands_on_the_screen_for_as_long_as_it_lasts(make, frame):
    said: list[Alert | None] = [None]
    loop, _, board, _ = make(frames(frame, 1), Hooks(alert=lambda: said[0]))
    step(loop)
    assert board.painted[-1].alert is None
    count = len(board.painted)
    said[0] = Alert("power too low: use another supply", Tone.ALARM)
    loop.turn()
    loop.turn()
    assert len(board.painted) == count + 1, "painted anew once, though no frame came"
    assert board.painted[-1].alert == said[0]
    assert board.painted[-1].readable is not None
    said[0] = None
    loop.turn()
    assert board.painted[-1].alert is None


def test_hooks_know_of_the_first_frame_and_of_every_turn(make, frame):
    first: list[int] = []
    turns: list[Face] = []
    hooks = Hooks(first=lambda: first.append(1), turn=turns.append)
    loop, _, _, _ = make(frames(frame, 3), hooks)
    for _ in range(4):
        step(loop)
    assert first == [1]
    assert len(turns) == 4


@pytest.mark.parametrize("answer", [state for state in FeedState if state.name != "NO_FRAME_YET"])
def test_a_feed_that_answers_at_once_is_not_asked_again_at_once(make, answer):
    loop, feed, _, _ = make([answer])
    pauses: list[float] = []
    loop._capture.pause = pauses.append
    loop._take_frame()
    assert feed.answers == []
    # Often enough to see a cable that comes back, seldom enough to leave the processor alone.
    assert len(pauses) == 1
    assert 0.02 <= pauses[0] <= READ_S


def test_a_feed_that_has_waited_or_has_a_frame_is_asked_again_at_once(make, frame):
    loop, _, _, _ = make([*frames(frame, 1), FeedState.NO_FRAME_YET])
    pauses: list[float] = []
    loop._capture.pause = pauses.append
    loop._take_frame()
    loop._take_frame()
    assert pauses == []


@pytest.fixture
def unhurried(monkeypatch):
    """Nothing is waited for: no other thread will bring a frame."""
    monkeypatch.setitem(Loop.turn.__globals__, "TURN_S", 0.0)
    monkeypatch.setitem(Loop.turn.__globals__, "READ_S", 0.0)


@pytest.mark.usefixtures("unhurried")
def test_the_rest_is_loaded_two_seconds_after_the_first_frame_and_memory_looked_at_from_three(
    make, frame
):
    """Until a frame is shown nothing is warm, however long that takes."""
    warm, looks = [], []
    loop, feed, _, clock = make([], Hooks(warm=lambda: warm.append(clock.now_ns())))
    loop.stats.note_memory = lambda: looks.append(clock.now_ns())
    for _ in range(20):
        step(loop)
        clock.move(1.0)
    assert warm == looks == []
    feed.answers = [frame(500, time_ns=clock.now_ns())]
    first = clock.now_ns()
    for _ in range(640):
        step(loop)
        clock.move(0.1)
    seconds = [(at - first) / 1e9 for at in looks]
    assert [(at - first) / 1e9 for at in warm] == pytest.approx([2.0], abs=0.11)
    # Twelve looks a minute, for the record of the first and of the last minute.
    assert seconds[0] == pytest.approx(3.0, abs=0.11)
    assert [b - a for a, b in pairwise(seconds)] == pytest.approx([5.0] * 12, abs=0.11)


@pytest.mark.usefixtures("unhurried")
def test_drops_before_a_run_is_warm_do_not_count_against_it(make, frame):
    loop, feed, _, clock = make(frames(frame, 3))
    for _ in range(3):
        loop._take_frame()
    for _ in range(40):
        step(loop)
        clock.move(0.1)
    assert loop.stats.as_object(1.0, 1.0)["frames"]["dropped_after_warm_up"] == 0
    feed.answers = frames(frame, 3)
    for _ in range(3):
        loop._take_frame()
    counted = loop.stats.as_object(1.0, 1.0)["frames"]
    assert (counted["dropped"], counted["dropped_after_warm_up"]) == (4, 2)


def test_help_lists_the_keys(make, frame):
    loop, _, board, _ = make(frames(frame, 1))
    step(loop)
    board.presses = [Press.HELP, PlaceSpot(10, 10)]
    loop.turn()
    assert ("S", "stripes on, off") in board.painted[-1].help
    assert loop.state.spot.column == 10


def test_the_threads_run_and_stop(info, frame):
    board = PaperBoard()
    board.quit_after = 5
    feed = StepwiseFeed(info(), frame, board)
    loop = Loop(feed, first_state((STANDARD,), info(), views.EXPOSE), board, SystemClock())
    assert loop.run() in {Face.LIVE, Face.STARTING}
    assert loop.state.running is Running.QUIT
    assert feed.lent == {}
    assert not {t.name for t in threading.enumerate()} & {"capture", "measure"}
    counted = loop.stats
    assert counted.frames_in >= counted.frames_measured >= counted.frames_shown >= 1


def test_a_run_of_so_many_frames_ends_by_itself_and_also_when_the_feed_does(info, frame):
    state = first_state((STANDARD,), info(), views.EXPOSE)
    board = PaperBoard()
    loop = Loop(StepwiseFeed(info(), frame, board), state, board, SystemClock())
    loop.run(frames=3)
    assert loop.stats.frames_shown == 3
    short = LendingFeed(info(), [frame(500), FeedState.ENDED])
    ended = Loop(short, state, PaperBoard(), SystemClock())
    ended.run(frames=50)
    assert ended.stats.frames_shown <= 1


def test_every_frame_of_a_feed_at_its_own_pace_is_measured_and_shown(info, frame, monkeypatch):
    # However long kernels take to load here: the test is of the waiting, not of its end.
    monkeypatch.setattr("firmware.live.liveness.PATIENT_NS", 60 * 10**9)
    monkeypatch.setattr("firmware.live.liveness.MOST_PATIENT_NS", 60 * 10**9)
    slow = replace(info(), takes_s=15.0)
    feed = LendingFeed(slow, frames(frame, 12))
    state = first_state((STANDARD,), slow, views.EXPOSE)
    hooks = Hooks()
    loop = Loop(feed, state, PaperBoard(), SystemClock(), hooks=hooks)
    loop.turn()  # its pace is known from the first turn on
    counted = loop.stats

    def all_seen():
        passed_over = counted.dropped_before_measuring + counted.dropped_before_showing
        return loop._seen + passed_over >= 12

    hooks.is_over = all_seen
    loop.run()
    assert (counted.frames_in, counted.dropped_before_measuring) == (12, 0)
    assert counted.dropped_before_showing == 0
    assert (feed.lent, feed.twice) == ({}, 0)


def test_a_fault_of_a_thread_is_raised_where_it_is_seen(info):
    class BrokenFeed(LendingFeed):
        def read(self, timeout_s):  # noqa: ARG002 - the contract's
            raise OSError("the cable is cut")

    loop = Loop(
        BrokenFeed(info()),
        first_state((STANDARD,), info(), views.EXPOSE),
        PaperBoard(),
        SystemClock(),
    )
    with pytest.raises(OSError, match="the cable is cut"):
        loop.run()


def test_a_feed_that_does_not_come_back_is_named(info, monkeypatch):
    leave = threading.Event()

    class StuckFeed(LendingFeed):
        def read(self, timeout_s):  # noqa: ARG002 - the contract's
            leave.wait(60.0)
            return FeedState.GONE

    monkeypatch.setattr(hooks_module, "FINISH_S", 0.01)
    board = PaperBoard()
    board.presses = [Press.QUIT]
    loop = Loop(
        StuckFeed(info()), first_state((STANDARD,), info(), views.EXPOSE), board, SystemClock()
    )
    try:
        with pytest.raises(ThreadStuckError, match="capture"):
            loop.run()
    finally:
        leave.set()
        loop._capture.join(5.0)


def test_warnings_of_feed_and_choice_are_shown(info, frame):
    feed = LendingFeed(info(warnings=("from the feed",)), frames(frame, 1))
    board = PaperBoard()
    loop = Loop(
        feed,
        first_state((STANDARD,), info(), views.EXPOSE),
        board,
        HandClock(10**9),
        ("from choice",),
    )
    step(loop)
    assert board.painted[-1].warnings == ("from the feed", "from choice")


def warned(info, frame, *profiles, presses=(), **state):
    """What the screen warns of, for a feed of this info, after presses."""
    board = PaperBoard()
    start = replace(first_state(profiles, info, views.EXPOSE), **state)
    loop = Loop(LendingFeed(info, frames(frame, 3)), start, board, HandClock(10**9))
    step(loop)
    for press in presses:
        board.presses = [press]
        loop.turn()
    step(loop)
    return board.painted[-1].warnings


def test_doubts_of_range_and_matrix_are_shown_until_somebody_says_them(info, frame):
    doubtful = replace(info(), doubts=(Doubt("whose range?", Settles.RANGE),))
    silent, spoken = STANDARD, replace(STANDARD, override=SignalOverride(Range.LIMITED))
    assert warned(doubtful, frame, silent) == ("whose range?",)
    assert warned(doubtful, frame, spoken) == ()
    said = SignalOverride(Range.LIMITED)
    assert warned(doubtful, frame, silent, override=said) == ()
    # A profile that says it may be turned to, and turned away from again.
    there = (Press.NEXT_PROFILE,)
    assert warned(doubtful, frame, silent, spoken, presses=there) == ()
    back = (Press.NEXT_PROFILE, Press.PREVIOUS_PROFILE)
    assert warned(doubtful, frame, silent, spoken, presses=back) == ("whose range?",)


def test_doubts_of_a_profile_are_those_of_the_one_in_use(info, frame):
    feed = info(curve=published_curve("BT.709"))
    assert warned(feed, frame, STANDARD, load_profile("hlg")) == ()
    (said,) = warned(feed, frame, STANDARD, load_profile("hlg"), presses=(Press.NEXT_PROFILE,))
    assert "the feed says it carries BT.709, profile hlg reads it as HLG" in said


def test_a_guess_is_one_until_a_profile_is_turned_to(info, frame):
    (said,) = warned(info(), frame, STANDARD, load_profile("hlg"), is_guess=True)
    assert "no curve was given" in said
    there = (Press.NEXT_PROFILE,)
    assert warned(info(), frame, STANDARD, load_profile("hlg"), is_guess=True, presses=there) == ()


def test_a_gamut_against_the_feeds_own_is_shown_in_every_view(info, frame):
    wide = replace(STANDARD, gamut=published_gamut("BT.2020"))
    feed = replace(info(), gamut=published_gamut("BT.709"))
    for view in views.VIEWS:
        (said,) = warned(feed, frame, wide, view=view)
        assert "the feed says its gamut is BT.709, it is read as BT.2020" in said


def test_a_range_that_a_profile_says_is_read_by_it_in_flight(info, frame):
    board = PaperBoard()
    spoken = replace(STANDARD, name="full", override=SignalOverride(Range.FULL))
    state = first_state((STANDARD, spoken), info(), views.EXPOSE)
    loop = Loop(LendingFeed(info(), frames(frame, 9)), state, board, HandClock(10**9))
    read = []
    for presses in ((), (Press.NEXT_PROFILE,), (Press.NEXT_PROFILE,)):
        board.presses = list(presses)
        loop.turn()
        step(loop)
        read.append(board.painted[-1].measured.spot.percent)
    # 500.25 of ten bits, by ITU-R BT.2100-2 Table 9: limited 64 to 940, full 0 to 1023.
    limited, full = 100.0 * (500.25 - 64) / 876, 100.0 * 500.25 / 1023
    assert read == pytest.approx([limited, full, limited], abs=0.05)


def test_a_signal_that_changes_in_flight_is_read_as_it_is_now(info, frame):
    board, feed = PaperBoard(), LendingFeed(info())
    loop = Loop(feed, first_state((STANDARD,), info(), views.EXPOSE), board, HandClock(10**9))
    feed.answers = frames(frame, 1)
    step(loop)
    full = replace(feed.info.signal, range=Range.FULL)
    feed.info = replace(feed.info, signal=full, warnings=("it changed",))
    loop.turn()
    feed.answers = [frame(500, full, number=1)]
    step(loop)
    shown = board.painted[-1]
    assert shown.measured.yard.signal.range is Range.FULL
    assert shown.measured.spot.percent == pytest.approx(100.0 * 500.25 / 1023, abs=0.05)
    assert shown.warnings == ("it changed",)


def test_the_profile_can_be_changed_in_flight(make, frame):
    loop, _, board, _ = make(frames(frame, 3))
    step(loop)
    before = board.painted[-1].source
    board.presses = [Press.NEXT_PROFILE]
    loop.turn()
    step(loop)
    shown = board.painted[-1]
    assert shown.measured.yard.carried.curve.name == "HLG"
    hlg = load_profile("hlg")
    assert before == Source(STANDARD.title, STANDARD.curve.name, "fake: 96x64")
    assert shown.source == Source(hlg.title, "HLG", "fake: 96x64")


def match_against(parts, frame, codes):
    """Camera A is taken at one code; B comes at another; the exposure that is then asked for."""
    (loop, feed, board, clock), (a, b) = parts, codes
    feed.answers = [frame(code, number=n) for n, code in enumerate((a, a, a, b))]
    board.presses = [PlaceSpot(48, 32), Press.SET_PIN]
    step(loop)
    board.presses = [Press.SET_REFERENCE]
    step(loop)
    step(loop)
    clock.move(1.0)
    step(loop)
    return board.painted[-1].measured.said.report.main


def test_a_held_frame_of_camera_b_is_still_matched_to_camera_a(make, frame):
    loop, feed, board, clock = make(view=views.MATCH)
    live = match_against((loop, feed, board, clock), frame, (500, 400))
    assert live not in {"0.00 st", UNKNOWN}
    board.presses = [Press.HOLD]
    step(loop)
    held = board.painted[-1].measured.said
    assert held.report.main == live
    assert held.layer(Ghost) is not None
    # While it is held, the mark takes it, though another frame comes.
    feed.answers = [frame(300, number=4)]
    board.presses = [Press.SET_REFERENCE]
    step(loop)
    assert board.painted[-1].measured.said.report.main == "0.00 st"
    feed.answers = [frame(400, number=5)]
    board.presses = [Press.HOLD]
    step(loop)
    assert board.painted[-1].measured.said.report.main == "0.00 st"


def test_a_held_frame_shows_the_watch_of_the_live_ones(make, frame):
    loop, feed, board, clock = make(view=views.WATCH)
    for number in range(40):
        feed.answers = [frame(500, number=number, time_ns=clock.now_ns())]
        step(loop)
        clock.move(0.1)
    assert board.painted[-1].measured.said.report.words == "steady"
    board.presses = [Press.HOLD]
    step(loop)
    held = board.painted[-1]
    assert held.face is Face.HELD
    assert held.measured.said.report.words == "steady"
    assert len(held.measured.said.layer(Strip).lanes) == 1
