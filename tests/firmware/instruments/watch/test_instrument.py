"""`watch` on the bench and on takes; the rules of the watch in its view and out of it."""

from dataclasses import replace
from fractions import Fraction

import av
import numpy as np
import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.errors import ArgumentError, QuantityError
from firmware.instruments.asking import Opener
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk
from firmware.instruments.scene import Frames
from firmware.instruments.watch import WatchOptions
from firmware.instruments.watch.answer import Told, WatchAnswer
from firmware.instruments.watch.instrument import INSTRUMENT, WatchInstrument, WatchSettings
from firmware.instruments.watch.lines import event_line
from firmware.instruments.watch.timing import Moment
from firmware.profiles.shelf import load_profile
from overlays.draw.moment.layers import PinFlags, Strip
from overlays.draw.moment.report import Tone
from overlays.measure.counting.census import Wants
from overlays.measure.spot.spot import SpotPlace
from overlays.measure.watch.change import Change, Mood, Tolerance
from overlays.measure.watch.events import PinChange, TakeEvent
from overlays.wording.numbers import UNKNOWN
from tests.asking import asked, printed
from tests.clips import flat, write

BENCH = "bench:size=320x180,rate=10,curve=V-Log,signal=yuv422-10"
WATCH = WatchInstrument()
SET = WatchSettings(begun=1)
ELSEWHERE = SpotPlace(24, 32, 16)
HLG = load_profile("hlg")


# The command


def watched(feed=f"{BENCH},cloud=1.5", **how):
    how.setdefault("at", ("0.06,0.5,16", "0.5,0.5,16"))
    return asked("watch", feed=feed, **how)


def test_the_cloud_is_told_from_the_card_that_stands_still():
    found = watched(seconds=60.0)
    assert found["events"]
    assert {event["change"] for event in found["events"]} == {"drift"}
    assert {pin["pin"] for event in found["events"] for pin in event["pins"]} == {1}
    assert found["events"][0]["start"]["timecode"].startswith("00:00:")
    assert found["frames"] == 601
    assert found["pins"][1]["mood"] == "steady"
    assert abs(found["pins"][1]["off"]["stops"]) < 0.02


def test_of_black_it_says_that_there_is_no_light_and_not_that_there_is_noise(tmp_path):
    feed = write(tmp_path / "black.mkv", [flat(16)] * 50, "ffv1")
    found = watched(feed, at=("32,24,16",))
    (pin,) = found["pins"]
    assert (pin["mood"], pin["stops"], found["events"]) == ("no light to follow", None, [])
    said = " ".join(found["warnings"])
    assert "no light to follow: it lies below what can be read; move the pin" in said
    assert "noisy" not in said


def test_a_clear_sky_has_no_event():
    found = watched(f"{BENCH},cloud=0,noise=3", frames=900)
    assert found["events"] == []
    assert found["frames"] == 900
    assert found["tolerance"] == {"level": 0.1, "balance": 0.1}


def test_the_keys_of_the_object():
    found = watched(frames=3)
    assert list(found) == [
        "schema",
        "feed",
        "profile",
        "tolerance",
        "frames",
        "seconds",
        "pins",
        "events",
        "verdict",
        "warnings",
    ]


def test_too_short_a_watch_says_so():
    found = watched(frames=5)
    assert any("before the reference was learnt" in each for each in found["warnings"])
    assert found["pins"][0]["reference"] is None


def test_a_wider_tolerance_is_quieter():
    wide = watched(seconds=40.0, tolerance="1 st")
    assert wide["events"] == []
    assert wide["tolerance"] == {"level": 1.0, "balance": 0.1}
    assert watched(frames=1, balance="0.3 st")["tolerance"]["balance"] == 0.3


@pytest.mark.parametrize(
    ("how", "fault", "said"),
    [
        ({"at": ("0.5,0.5",) * 9}, ArgumentError, "at most 8"),
        ({"tolerance": "5 %"}, QuantityError, "no tolerance"),
        ({"balance": "5 %"}, QuantityError, "no tolerance"),
        ({"seconds": 0.05}, ArgumentError, "--seconds 0.05"),
        ({"seconds": float("nan")}, ArgumentError, "--seconds nan"),
    ],
)
def test_what_cannot_be_done_is_said(how, fault, said):
    with pytest.raises(fault, match=said):
        watched(frames=1, **how)


def test_for_a_person():
    out = printed("watch", feed=f"{BENCH},cloud=1.5", at=("0.06,0.5,16",), seconds=30.0)
    assert "pin 1 drifts" in out
    assert out.index("pin 1 drifts") < out.index(
        f"Watched 301 frames of {BENCH},cloud=1.5 (simulated), 30.0 s: "
    )
    assert "Pin 1 is -" in out or "Pin 1 is +" in out
    # The bench is no footage: that it has no time code of its own is no news.
    assert "counted from the first frame" not in out


class Interrupted(HandClock):
    """A clock that someone presses Ctrl-C at, so many seconds on."""

    def __init__(self, after_s):
        super().__init__(wall_start_s=1_700_000_000.0)
        self.after_s = after_s

    def sleep(self, seconds):
        super().sleep(seconds)
        if self.now_ns() > self.after_s * 1e9:
            raise KeyboardInterrupt


def test_a_watch_without_an_end_is_ended_by_hand_and_tells_what_it_saw():
    found = watched(f"{BENCH},cloud=1.5", clock=Interrupted(40.0))
    assert found["seconds"] == pytest.approx(40.0, abs=0.2)
    # The bench at the pace of life is live: events have the time of day, UTC.
    assert found["feed"]["timecode_from"] is None
    (start, *_) = [event["start"] for event in found["events"]]
    assert start["timecode"] is None
    assert start["time"].startswith("2023-11-14T22:13:")
    assert start["time"].endswith("+00:00")


def test_events_are_said_as_they_come_and_only_to_a_person():
    said: list[str] = []
    clock = Interrupted(40.0)
    options = WatchOptions(feed=f"{BENCH},cloud=1.5", at=("0.06,0.5,16",))
    answer = INSTRUMENT.ask(options, Opener(clock, said.append))
    events = [event_line(told) for told in answer.events]
    assert all(told.event.words in line for told, line in zip(answer.events, events, strict=True))
    # Each line of the bench may be read alone, so it says that it is simulated.
    assert all(line.endswith("  (simulated)") for line in said)
    told = [line.removesuffix("  (simulated)") for line in said]
    assert [line for line in told if line in events] == events
    # Lines go forward in time: first when it was sure, then when it began.
    assert [line[:8] for line in told] == sorted(line[:8] for line in told)
    assert events[0].startswith("22:13:")
    assert f"  at {answer.events[0].start.words} pin 1 drifts" in events[0]
    assert "learning" not in said[-1]


@pytest.fixture
def take(tmp_path):
    """Twelve seconds of a flat picture that gets darker after four, with a time code or without."""

    def write(name, text, rate=Fraction(25)):
        path = str(tmp_path / name)
        with av.open(path, "w") as container:
            stream = container.add_stream("mpeg4" if name.endswith("mov") else "ffv1", rate=rate)
            stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
            if text is not None:
                container.metadata["timecode"] = text
            frame = av.VideoFrame(64, 48, "yuv420p")
            noise = np.random.default_rng(3)
            for number in range(300):
                for plane, code in zip(
                    frame.planes, (120 if number < 100 else 90, 128, 128), strict=True
                ):
                    count = plane.buffer_size
                    plane.update(
                        noise.integers(code - 1, code + 2, count).astype(np.uint8).tobytes()
                    )
                frame.pts, frame.time_base = number, 1 / rate
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        return path

    return write


def events_of(path):
    return watched(path, at=("0.5,0.5,32",))


def test_an_event_carries_the_takes_own_time_code(take):
    found = events_of(take("a.mkv", "09:59:58:10"))
    (event,) = found["events"]
    assert event["change"] == "step"
    # 100 frames on from 09:59:58:10 at 25 a second, by hand
    assert event["start"]["timecode"] == "10:00:02:10"
    assert event["start"]["time"] is None
    assert found["feed"]["timecode_from"] == "file"
    assert not any("time code" in each for each in found["warnings"])


def test_drop_frame_leaves_its_numbers_out_of_events_too(take):
    found = events_of(take("a.mov", "00:00:58;00", Fraction(30_000, 1001)))
    # 60 frames to 00:00:59;29, then 00:01:00;02: the hundredth is 40 after that
    assert found["events"][0]["start"]["timecode"] == "00:01:01;12"


@pytest.mark.parametrize("text", [None, "25:00:00:00"])
def test_without_one_it_is_counted_from_the_first_frame_and_said(take, text):
    found = events_of(take("a.mkv", text))
    assert found["events"][0]["start"]["timecode"] == "00:00:04:00"
    assert found["feed"]["timecode_from"] == "first frame"
    assert any("counted from the first frame" in each for each in found["warnings"])


def test_a_change_that_the_end_cuts_off_is_said_and_is_no_event(take):
    found = watched(take("a.mkv", None), at=("0.5,0.5,32",), frames=110)
    assert found["events"] == []
    assert found["pins"][0]["mood"] == "something changes"
    (said,) = [each for each in found["warnings"] if "changing when the watch ended" in each]
    assert said.startswith("pin 1 ")


def test_a_change_that_is_still_held_back_when_a_watch_ends_is_told(take):
    """It stayed for four seconds; what other pins saw of it is waited for six tenths longer."""
    found = watched(take("a.mkv", None), at=("0.5,0.5,32",), frames=210)
    (event,) = found["events"]
    assert event["change"] == "step"
    assert event["start"]["timecode"] == "00:00:04:00"


# Presses


def test_a_reference_begins_the_watch_anew_from_its_view_and_from_any_other():
    around = Around(Desk(), HLG, 1920)
    assert WATCH.pressed(WatchSettings(), Press.SET_REFERENCE, around) == (SET, around.desk)
    assert WATCH.pressed_elsewhere(WatchSettings(), Press.SET_REFERENCE) == SET


@pytest.mark.parametrize("press", [press for press in Press if press is not Press.SET_REFERENCE])
def test_no_other_press_concerns_it(press):
    assert WATCH.pressed(SET, press, Around(Desk(), HLG, 1920)) is None
    assert WATCH.pressed_elsewhere(SET, press) is None


def test_it_has_one_view_and_counts_nothing_more():
    assert [view.name for view in WATCH.views] == ["watch"]
    assert WATCH.counts == WATCH.counts_when_due == Wants(0)
    assert WATCH.settings(HLG, 25.0) == WatchSettings()
    assert WATCH.settings(HLG, 25.0).allowed(HLG) == HLG.watch
    assert WatchSettings(tolerance=Tolerance(1.0)).allowed(HLG) == Tolerance(1.0)


# On the screen


@pytest.fixture
def crew(scene):
    """Someone who looks at one frame after another, ten a second."""

    class Crew:
        def __init__(self):
            self.memory, self.at_s, self.settings = WATCH.memory(), 0.0, WatchSettings()

        def look(self, count=1, in_view=True, **changed):
            """Live frames; the answer to the last where it is in view."""
            made = None
            for _ in range(count):
                made = scene(self.at_s, **changed)
                WATCH.follow(made, self.settings, self.memory, in_view=in_view)
                self.at_s += 0.1
            return WATCH.measure(made, self.settings, self.memory) if in_view else None

        def hold(self, **changed):
            """A held frame."""
            held = scene(0.0, frames=Frames.HELD, **changed)
            return WATCH.measure(held, self.settings, self.memory)

    return Crew()


def layer(answer, kind):
    return next((each for each in WATCH.layers(answer) if isinstance(each, kind)), None)


def test_out_of_view_no_watch_begins(crew):
    crew.look(3, in_view=False)
    assert crew.memory.following is None
    assert crew.memory.answer is None


def test_it_learns_is_steady_and_tells_of_a_step(crew):
    report = WATCH.report(crew.look(3))
    assert (report.main, report.words) == (UNKNOWN, "learning the reference")
    assert report.tone is Tone.QUIET
    answer = crew.look(57)
    assert WATCH.report(answer).words == "steady"
    assert WATCH.report(answer).heading == "watch: pin 1 off its reference"
    assert [lane.label for lane in layer(answer, Strip).lanes] == ["1"]
    assert [flag.label for flag in layer(answer, PinFlags).pins] == ["1"]
    stepped = WATCH.report(crew.look(80, code=560))
    assert stepped.tone is Tone.ALARM
    assert stepped.words == "pin 1 is beyond ±0.10 st"
    (row,) = stepped.rows
    assert row.value.startswith("step +0.")
    assert row.label.count(":") == 2  # the time of day
    assert stepped.beside.startswith("st  ·  R ")
    # What was answered before is as it was.
    assert WATCH.report(answer).rows == ()


def test_an_event_has_the_time_code_of_its_frame(crew):
    crew.look(60, timecode="10:00:00:00")
    answer = crew.look(80, code=560, timecode="10:00:06:00")
    (row,) = WATCH.report(answer).rows
    assert row.label in {"10:00:00:00", "10:00:06:00"}


def test_it_goes_on_in_other_views(crew):
    crew.look(60)
    crew.look(80, in_view=False, code=560)
    assert crew.memory.answer is None  # nobody looks
    answer = crew.look(code=560)
    assert [told.event.change for told in answer.events] == [Change.STEP]


@pytest.mark.parametrize(
    "other",
    [{"places": (ELSEWHERE,)}, {"profile": HLG}, {"begun": 5}],
    ids=["pins", "profile", "reference"],
)
def test_another_reference_other_pins_or_another_profile_begin_anew_in_view_and_end_it_elsewhere(
    crew, other
):
    def changed():
        if "begun" in other:
            crew.settings = replace(crew.settings, **other)
            return {}
        return other

    crew.look(60)
    crew.look(80, code=560)
    begun = crew.look(**changed())
    assert begun.mood is Mood.LEARNING
    assert begun.events == ()
    crew.settings = WatchSettings()
    crew.look(60)
    crew.look(in_view=False, **changed())
    assert crew.memory.following is None
    # Back in view it begins anew.
    assert crew.look().mood is Mood.LEARNING


def test_moving_the_spot_where_it_stands_for_the_pin_is_no_new_watch(crew):
    crew.look(60, places=())
    first = crew.memory.following
    crew.look(places=(), place=ELSEWHERE)
    assert crew.memory.following is first


def test_a_held_frame_shows_what_the_live_watch_says_now(crew):
    crew.look(60)
    assert crew.hold().mood is Mood.STEADY
    # Live frames go on behind it, whatever is in view.
    crew.look(80, in_view=False, is_shown=False, code=560)
    answer = crew.hold()
    assert [told.event.change for told in answer.events] == [Change.STEP]
    assert layer(answer, Strip).lanes[0].events
    assert crew.hold() is answer
    crew.look(code=560, is_shown=False)
    assert crew.hold() is not answer
    assert [told.event.change for told in answer.events] == [Change.STEP]


def test_a_held_frame_is_never_followed_nor_watched(crew):
    answer = crew.hold()
    assert answer.mood is None
    assert (
        WATCH.report(answer).words == "press “set reference” where the light is as it should stay"
    )
    assert layer(answer, Strip) is None
    assert crew.memory.following is None


def test_a_watch_that_ended_while_a_frame_is_held_says_so(crew):
    crew.look(60)
    crew.look(in_view=False, is_shown=False, places=(ELSEWHERE,))
    assert crew.hold().mood is None


def test_pins_that_are_all_outside_are_no_watch(crew):
    outside = (SpotPlace(95, 1, 16),)
    answer = crew.look(3, places=outside)
    assert answer.mood is None
    assert WATCH.report(answer).main == UNKNOWN


def test_a_pin_that_the_picture_does_not_have_is_left_out(crew):
    answer = crew.look(3, places=(SpotPlace(95, 1, 16), ELSEWHERE))
    assert [lane.label for lane in layer(answer, Strip).lanes] == ["2"]
    assert [flag.label for flag in layer(answer, PinFlags).pins] == ["1", "2"]


def test_the_tolerance_that_was_asked_for_is_gone_by(crew):
    crew.settings = WatchSettings(tolerance=Tolerance(2.0, 2.0))
    crew.look(60)
    answer = crew.look(80, code=560)
    assert answer.events == ()
    assert layer(answer, Strip).tolerance_stops == 2.0
    assert WATCH.report(answer).tone is Tone.PLAIN


# Its outlets


@pytest.fixture
def answer(scene):
    """A watch of one pin as it stands; what is named of it differs."""

    def make(**changed):
        made = scene(0.0)
        plain = WatchAnswer(
            made.origin, Tolerance(), made.pin_flags(), Mood.STEADY, (1, (0.0, 0.0, 0.0))
        )
        return replace(plain, **changed)

    return make


def event(number):
    change = PinChange(1, (0.1 * number, 0.0, 0.0), (0.0, 0.0, 0.0))
    moment = Moment(float(number), None, None)
    told = TakeEvent(Change.STEP, 0, 0, (change,), 1)
    return Told(told, moment, moment, f"12:00:{number:02d}")


def test_the_newest_events_stand_first(answer):
    report = WATCH.report(answer(events=tuple(event(n) for n in range(9))))
    assert [row.label for row in report.rows] == [f"12:00:0{n}" for n in (8, 7, 6, 5, 4, 3)]
    learning = WATCH.report(answer(worst=None, mood=Mood.LEARNING, events=(event(1),)))
    assert (learning.main, len(learning.rows)) == (UNKNOWN, 1)


@pytest.mark.parametrize(
    ("off", "mood", "tone"),
    [
        ((0.05, 0.0, 0.0), Mood.STEADY, Tone.PLAIN),
        ((-0.2, 0.0, 0.0), Mood.STEADY, Tone.ALARM),
        ((0.0, 0.0, 0.2), Mood.STEADY, Tone.ALARM),
        ((0.05, 0.0, 0.0), Mood.CHANGING, Tone.ALARM),
    ],
)
def test_what_is_beyond_the_tolerance_or_changes_is_an_alarm(answer, off, mood, tone):
    report = WATCH.report(answer(worst=(1, off), mood=mood))
    assert report.tone is tone
    assert ("beyond" in report.words) is (max(map(abs, off)) > 0.1)


def test_noisy_pins_are_named(scene, answer):
    made = begun_state(scene)
    noisy = replace(made, mood=Mood.NOISY, warnings=("it is dark",))
    warnings = answer(pins=(noisy,)).warnings
    assert warnings == (
        "pin 1: it is dark",
        "pin 1 is too noisy for this tolerance: use a larger spot or a wider tolerance",
    )


def begun_state(scene):
    """The state of a pin that was just begun with."""
    memory, made = WATCH.memory(), scene(0.0)
    WATCH.follow(made, WatchSettings(), memory, in_view=True)
    (state,) = WATCH.measure(made, WatchSettings(), memory).pins
    return state


@pytest.mark.parametrize(("count", "said"), [(0, "no event"), (1, "1 event"), (2, "2 events")])
def test_the_last_line_counts_events(answer, count, said):
    made = answer(events=(event(1),) * count, frames=50, seconds=2.04)
    verdict = f"{made.verdict[:1].upper()}{made.verdict[1:]}"
    assert WATCH.lines(made)[0] == f"Watched 50 frames of fake, 2.0 s: {said}. {verdict}."


def test_words_for_a_screen_without_a_picture(answer):
    assert list(WATCH.words(answer(worst=(2, (0.0, 0.0, 0.0))))) == [
        "watch: pin 2 off its reference",
        "",
    ]


def test_a_tenth_of_a_second_is_a_watch():
    assert watched(seconds=0.1)["frames"] == 2  # a frame and the next: the bench sends ten a second


def test_a_pin_that_may_be_clipped_says_that_its_light_may_have_moved():
    feed = "bench:size=640x360,noise=0,cloud=0,rate=5"
    said = printed("watch", feed=feed, profile="log-s3", at=("128,48,16",), seconds=2.0)
    assert "perhaps clipped by the camera" in said
    assert "it reads +6.02 st now, so its light may have moved further" in said
