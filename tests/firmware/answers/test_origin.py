from dataclasses import replace

from firmware.answers.cleaner import clean
from firmware.answers.origin import Origin, colour_profile_object, feed_object, profile_object
from firmware.feeds.timecode import parse_timecode
from firmware.profiles.model import curve_alone
from firmware.profiles.shelf import load_profile
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve


def origin(info, profile="log-v", **how):
    found = info(**how)
    profile = load_profile(profile) if isinstance(profile, str) else profile
    return Origin(found, profile, published_gamut("V-Gamut"), found.signal, 96, 64, 7)


def test_the_feed_and_its_frame(info):
    found = clean(feed_object(origin(info)))
    assert (found["name"], found["width"], found["height"], found["frame"]) == ("fake", 96, 64, 7)
    assert (found["bits"], found["range"], found["matrix"]) == (10, "limited", "BT.709")
    assert (found["timecode"], found["timecode_from"]) == (None, None)


def test_time_code_is_that_of_the_frame(info):
    known = origin(info)
    timed = replace(known, info=replace(known.info, timecode=parse_timecode("10:00:00:00", 25.0)))
    assert clean(feed_object(timed))["timecode"] == "10:00:00:07"


def test_the_profile_with_and_without_a_gamut(info):
    assert clean(profile_object(origin(info))) == {
        "name": "log-v",
        "curve": "V-Log",
        "carriage": "full",
    }
    assert clean(colour_profile_object(origin(info)))["gamut"] == "V-Gamut"


def test_a_curve_alone_has_no_name(info):
    assert origin(info, curve_alone(published_curve("HLG"))).profile_name is None
