from dataclasses import replace

import pytest

from firmware.errors import FrameMissingError
from firmware.feeds.base import FeedState
from firmware.instruments.watch.course import ANEW, LINE_S, Course, Teller
from firmware.instruments.watch.instrument import WatchInstrument, WatchSettings
from firmware.opening.beside import UNCOUNTED
from firmware.profiles.shelf import load_profile
from firmware.written.spot_place import parse_spot
from overlays.errors import SpotOutsideError
from overlays.measure.watch.change import Change, Tolerance

WATCH = WatchInstrument()


def course_of(session, at=("0.5,0.5,16",)):
    return Course(session, session.feed.clock, [parse_spot(text) for text in at])


def watched(course, frames=None, seconds=None):
    """What is told and said of it, to its end."""
    said: list[str] = []
    teller, memory = Teller(said.append), WATCH.memory()
    for scene in course.scenes(frames, seconds):
        WATCH.follow(scene, WatchSettings(tolerance=Tolerance()), memory, in_view=True)
        teller.tell(memory)
    teller.finish(memory)
    return teller, said, memory


def test_a_step_in_a_scripted_feed(session, frame):
    # 40 ms a frame; a stop of V-Log is about 75 codes up there.
    opened = session([frame(code=500 if n < 200 else 560, number=n) for n in range(450)])
    teller, said, memory = watched(course_of(opened))
    (told,) = teller.told
    assert told.event.change is Change.STEP
    assert told.event.pins[0].by_stops[0] > 0.5
    assert told.start.seconds == pytest.approx(8.0, abs=0.1)
    assert (memory.timing.frames, opened.feed.released) == (450, 450)
    # It is said when it is sure, four seconds later, with its own time: lines go forward in time.
    assert [line for line in said if "stepped" in line] == [
        f"{told.said.words}  at {told.start.words} {told.event.words}"
    ]
    assert (told.start.words, told.said.words) == ("00:00:08", "00:00:12")
    assert [line[:8] for line in said] == sorted(line[:8] for line in said)


def test_now_and_then_it_says_that_nothing_happened(session, frame):
    count = round(2.5 * LINE_S / 0.04)
    _, said, _ = watched(course_of(session([frame(number=n) for n in range(count)])))
    assert len(said) == 2
    assert all("steady: pin 1 is 0.00 st off its reference" in line for line in said)


def test_after_an_event_nothing_is_called_steady(session, frame):
    # Something passed and all is as before: true is that it stands within its tolerance now.
    codes = [560 if 100 <= n < 130 else 500 for n in range(round(1.5 * LINE_S / 0.04))]
    _, said, _ = watched(course_of(session([frame(c, number=n) for n, c in enumerate(codes)])))
    assert sum("something passed" in line for line in said) == 1
    (line,) = (line for line in said if "off its reference" in line)
    assert "  within tolerance: pin 1 is 0.00 st off its reference" in line
    assert not any("steady" in line for line in said)


def test_what_moves_just_now_is_not_said_to_stand_still(session, frame):
    at = round(LINE_S / 0.04)  # the light goes with the very frame that a line is due at
    codes = [500 if number < at else 560 for number in range(at + 300)]
    _, said, _ = watched(course_of(session([frame(c, number=n) for n, c in enumerate(codes)])))
    assert "something changes" in said[0]
    assert "not where the watch began: pin 1 is +0.8" in said[-1]


def test_it_ends_after_so_many_frames_or_seconds(session, frame):
    def ended(**end):
        opened = session([frame(number=n) for n in range(100)])
        _, _, memory = watched(course_of(opened), **end)
        assert memory.timing.frames == opened.feed.released
        return memory.timing

    assert ended(frames=30).frames == 30
    assert ended(seconds=1.0).seconds == pytest.approx(1.0, abs=0.05)
    assert ended().frames == 100


def test_a_silent_feed_ends_a_limited_watch_alone(session, frame):
    silence = [frame(number=0), *[FeedState.NO_SIGNAL] * 60, frame(number=1)]
    limited = session(list(silence))
    _, _, memory = watched(course_of(limited), frames=50)
    assert memory.timing.frames == 1
    assert limited.feed.answers  # it did not wait for all of them
    endless = session(list(silence))
    _, _, memory = watched(course_of(endless))
    assert memory.timing.frames == 2


@pytest.mark.parametrize("state", [FeedState.ENDED, FeedState.GONE])
def test_it_ends_with_the_feed(session, frame, state):
    opened = session([frame(), state, frame()])
    assert watched(course_of(opened))[2].timing.frames == 1


def test_no_frame_at_all_is_said(session):
    course = course_of(session([]))
    watched(course)
    with pytest.raises(FrameMissingError, match="fake: no frame came"):
        course.end()


def test_a_frame_is_given_back_whatever_happens(session, frame):
    opened = session([frame(), frame()])
    scenes = course_of(opened).scenes(None, None)
    next(scenes)
    assert opened.feed.released == 0  # lent as long as it is looked at
    scenes.close()
    assert opened.feed.released == 1


def test_only_pins_are_read_of_a_frame(session, frame):
    course = course_of(session([frame(), frame()]), ("0.5,0.5,16", "0.25,0.5,16"))
    one, other = course.scenes(None, None)
    assert one.census is other.census is UNCOUNTED
    assert (one.spot, one.range) == (None, None)
    assert one.desk is other.desk
    assert one.yard is other.yard
    assert one.read_with is other.read_with
    assert [spot.place.column for spot in one.pins().values()] == [48, 24]
    assert course.end().frame is other.frame


def test_a_pin_outside_is_refused(session, frame):
    course = course_of(session([frame()]), ("95,1,16",))
    with pytest.raises(SpotOutsideError):
        list(course.scenes(None, None))
    assert course.session.feed.released == 1


def test_without_pins_it_watches_the_profiles_else_the_centre(session, frame):
    (alone,) = course_of(session([frame()]), ()).scenes(None, None)
    assert [(pin.place.column, pin.place.row) for pin in alone.desk.pins] == [(48, 32)]
    profile = replace(load_profile("log-v"), pins=(("a", 0.25, 0.5), ("b", 0.75, 0.5)))
    (scene,) = course_of(session([frame()], profile), ()).scenes(None, None)
    assert [pin.place.column for pin in scene.desk.pins] == [24, 72]


def test_another_size_of_the_picture_begins_anew_and_is_said(session, frame):
    small = [frame(number=n) for n in range(100)]
    large = [frame(number=n, rows=128, columns=192) for n in range(100)]
    course = course_of(session([*small, *large]))
    teller, _, memory = watched(course)
    assert teller.warnings == [ANEW]
    assert memory.timing.frames == 200
    assert course.end().desk.pins[0].place.column == 96


def test_what_the_feed_says_at_its_end_counts(session, frame):
    opened = session([frame()])
    course = course_of(opened)
    list(course.scenes(None, None))
    assert course.end().read_with.info.warnings == ()
    opened.feed.info = replace(opened.feed.info, warnings=("it is damaged",))
    assert course.end().read_with.info.warnings == ("it is damaged",)
