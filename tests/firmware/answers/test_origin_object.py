from dataclasses import replace

from firmware.answers.cleaner import clean
from firmware.answers.origin_object import colour_profile_object, feed_object, profile_object
from firmware.feeds.timecode import parse_timecode


def test_the_feed_and_its_frame(origin):
    found = clean(feed_object(origin()))
    assert (found["name"], found["width"], found["height"], found["frame"]) == ("fake", 96, 64, 7)
    assert (found["bits"], found["range"], found["matrix"]) == (10, "limited", "BT.709")
    assert (found["timecode"], found["timecode_from"]) == (None, None)


def test_time_code_is_that_of_the_frame(origin):
    known = origin()
    code = parse_timecode("10:00:00:00", 25.0)
    timed = replace(known, info=replace(known.info, timecode=code), timecode="10:00:00:07")
    assert clean(feed_object(timed))["timecode"] == "10:00:00:07"


def test_the_profile_with_and_without_a_gamut(origin):
    assert clean(profile_object(origin())) == {
        "name": "log-v",
        "curve": "V-Log",
        "carriage": "full",
    }
    assert clean(colour_profile_object(origin()))["gamut"] == "V-Gamut"
