"""What is published of a moment; of a running unit: tests/firmware/live/test_kitting.py."""

from firmware.controls.saying import Saying
from firmware.kit.reading import MomentCopy, reading_of
from overlays.draw.moment.shown import Face
from overlays.measure.expose.side import Goal, Judgement


def moment(**more):
    told = {
        "at_ns": 1_500_000_000,
        "wall_s": 0.0,
        "face": Face.STALE,
        "face_words": "for 3 s",
        "view": "expose",
        "goal": Goal(),
        "alert": "x" * 900,
        "warnings": ("one", "one", "two"),
        "saying": (Saying.NO_FEED,),
        "judged": Judgement(why="stale"),
    }
    return MomentCopy(**{**told, **more})


def test_without_a_picture_it_is_said_that_nothing_may_be_believed():
    made = reading_of(moment(), "cam-a", "0" * 32, 4)
    assert (made.state, made.believed, made.spot, made.pins) == (Face.STALE.value, False, None, ())
    assert (made.at_s, made.time, made.number) == (1.5, None, 4)
    assert (made.side, made.why, made.signal) == (None, "stale", ("no feed",))
    assert made.warnings == ("one", "two")
    assert len(made.alert) == 400


def test_a_live_face_without_a_frame_is_not_believed_either():
    assert not reading_of(moment(face=Face.LIVE), "cam-a", "0" * 32, 1).believed
