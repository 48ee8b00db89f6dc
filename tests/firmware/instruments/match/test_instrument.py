"""`match` on two benches: what it advises is set on B and read again; and its view."""

import dataclasses
import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from firmware.actions import Press
from firmware.answers.cleaner import enveloped
from firmware.clock import HandClock
from firmware.errors import ArgumentError, QuantityError
from firmware.instruments.asking import Opener
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk
from firmware.instruments.match import MatchOptions
from firmware.instruments.match.answer import SAME
from firmware.instruments.match.camera_a import MatchSettings
from firmware.instruments.match.instrument import INSTRUMENT, MatchInstrument
from firmware.instruments.match.object import object_of
from firmware.instruments.match.report import NO_CHROMA
from firmware.instruments.scene import Frames
from firmware.profiles.model import curve_alone
from overlays.draw.chroma.graticule import GAINS
from overlays.draw.layout.views import Arrangement
from overlays.draw.moment.layers import ChromaShown, Ghost, PinFlags
from overlays.draw.moment.report import Tone
from overlays.measure.colour.whitepoint import WhitePoint
from overlays.measure.counting.census import Wants
from overlays.measure.match.match_words import match_words
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.published import published_curve
from overlays.wording.numbers import UNKNOWN
from tests.asking import asked, printed

SIZE = "size=640x360,cloud=0,signal=yuv422-10"
A = f"bench:{SIZE},curve=V-Log"
PINS = ("320,180,20", "390,156,20", "250,150,12", "250,177,12")
PROFILE = curve_alone(published_curve("V-Log"))
MATCH = MatchInstrument()
TAKE = MatchSettings(taken=1)


def matched(b, **how):
    return asked("match", feed_a=A, feed_b=b, at=PINS, gamut="BT.709", **how)


def camera_b(exposure, dial):
    return f"bench:{SIZE},curve=S-Log3,exposure={exposure:.4f},dial={dial:.1f},seed=3"


# The command


def test_followed_on_the_bench_the_pins_agree_within_a_twentieth_of_a_stop():
    exposure, dial = -0.7, 4500.0
    first = matched(camera_b(exposure, dial), dial_b=f"{dial}")
    dial = first["balance"]["dial_to"]
    second = matched(camera_b(exposure, dial), dial_b=f"{dial}")
    exposure += second["exposure_stops"]
    dial = second["balance"]["dial_to"]
    last = matched(camera_b(exposure, dial), dial_b=f"{dial}")
    for pin in last["pins"]:
        assert all(abs(each) < 0.05 for each in pin["difference_stops"].values())
    assert "agrees with A" in last["advice"][0]


def test_the_keys_of_the_object():
    found = matched(camera_b(-0.5, 5600.0))
    assert list(found) == [
        "schema",
        "a",
        "b",
        "pins",
        "exposure_stops",
        "exposure_pm",
        "balance",
        "remains_stops",
        "cdl",
        "cdl_whole",
        "advice",
        "warnings",
    ]
    assert found["a"]["feed"]["name"] == A
    assert found["b"]["profile"]["curve"] == "S-Log3"
    assert found["balance"]["dial_to"] is None
    assert any("--dial-b" in each for each in found["warnings"])


@pytest.mark.parametrize("ending", ["cc", "cdl"])
def test_what_remains_is_written(tmp_path, ending):
    path = tmp_path / f"b to a.{ending}"
    matched(camera_b(-0.5, 5600.0), cdl=path)
    root = ET.fromstring(path.read_bytes())
    correction = root if ending == "cc" else root[0][0]
    assert correction.get("id") == "b to a"
    assert "S-Log3" in path.read_text()


def test_both_corrections_say_what_they_hold_in_the_file_and_the_terminal(tmp_path):
    rest, whole = tmp_path / "rest.cdl", tmp_path / "whole.cdl"
    said = printed(
        "match", feed_a=A, feed_b=camera_b(-0.5, 5600.0), at=PINS, cdl=rest, cdl_whole=whole
    )
    for path, held in ((rest, "neither is in it"), (whole, "as it was shot")):
        description = ET.fromstring(path.read_bytes()).find(".//{*}Description").text
        assert held in description
        assert "at the pins" in description
        assert held in next(line for line in said.splitlines() if line.startswith(str(path)))
    assert "lighter than that it goes on as it is, and by how much it is off there is not" in said
    assert rest.read_bytes() != whole.read_bytes()


def test_the_whole_difference_brings_footage_to_a():
    found = matched(camera_b(-0.5, 5600.0))["cdl_whole"]
    # Half a stop less light: more of everything in B's own signal, S-Log3.
    assert all(each > 0.02 for each in found["offset"]) or all(s > 1.02 for s in found["slope"])
    assert found["leaves_stops"] < 0.1


def test_what_cannot_be_written_is_said_after_the_answer(tmp_path, monkeypatch):
    def full(_path, _content):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("firmware.instruments.match.instrument.save", full)
    with pytest.raises(ArgumentError, match="correction cannot be written"):
        matched(camera_b(-0.5, 5600.0), cdl=tmp_path / "b.cc")


def test_where_no_pin_can_be_compared_nothing_is_written_and_that_is_said(tmp_path):
    path = tmp_path / "b.cc"
    found = asked("match", feed_a=A, feed_b=f"bench:{SIZE},exposure=5", at=PINS[:1], cdl=path)
    assert not path.exists()
    assert (found["cdl"], found["exposure_stops"]) == (None, None)
    assert found["advice"] == ["no pin can be compared"]
    assert f"{path} was not written: no pin can be compared" in found["warnings"]


def test_as_many_pins_on_both():
    with pytest.raises(ArgumentError, match="camera A has 4 pins and camera B 1; give as many"):
        matched(camera_b(0.0, 5600.0), at_b=("320,180",))


def test_without_pins_the_centre_is_compared():
    found = asked("match", feed_a=A, feed_b=f"{A},exposure=-1")
    (pin,) = found["pins"]
    assert (pin["a"]["x"], pin["b"]["y"]) == (320, 180)
    assert found["exposure_stops"] == pytest.approx(1.0, abs=0.03)


def test_the_profiles_pins_are_those_of_both(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_text(
        'curve = "V-Log"\n[[pins]]\nname = "white"\nx = 0.61\ny = 0.4334\n'
        '[[pins]]\nname = "grey"\nx = 0.5\ny = 0.5\n'
    )
    found = asked("match", feed_a=A, feed_b=A, profile=str(path))
    assert [pin["a"]["x"] for pin in found["pins"]] == [390, 320]
    assert found["b"]["profile"]["name"] == found["a"]["profile"]["name"] == "kit"


@pytest.mark.parametrize(
    ("wrong", "fault", "said"),
    [
        ({"dial_b": "warm"}, QuantityError, "warm"),
        ({"cdl": Path("rest.txt")}, ArgumentError, "written as cdl"),
        ({"cdl": Path("/no/such/folder/rest.cc")}, ArgumentError, "there is no folder"),
    ],
)
def test_what_is_wrong_is_said_before_a_feed_is_opened(wrong, fault, said):
    with pytest.raises(fault, match=said):
        asked("match", feed_a="/no/such/feed.mov", feed_b="/no/such/feed.mov", **wrong)


def test_a_wrong_gamut_is_said():
    with pytest.raises(ArgumentError, match="BT"):
        asked("match", feed_a=A, feed_b=A, gamut="BT.7009")


def test_for_a_person():
    out = printed("match", feed_a=A, feed_b=camera_b(-0.7, 5600.0), at=PINS)
    assert out.startswith(f"A: {A} (simulated), V-Log\n")
    assert "Open B by 0.7" in out
    assert "Pin 4: B against A -0.7" in out
    assert out.count("Note: what to dial is not known") == 1


def test_what_remains_is_ten_numbers_for_a_person():
    # Two gamuts see the same neutrals and other colours: that no exposure and no dial makes good.
    here = f"bench:{SIZE},curve=V-Log"
    feeds = {"feed_a": f"{here},gamut=BT.709", "feed_b": f"{here},gamut=V-Gamut"}
    (line,) = [
        line
        for line in printed("match", at=PINS, **feeds).splitlines()
        if line.startswith("What remains as a CDL in V-Log: slope ")
    ]
    found = asked("match", at=PINS, **feeds)["cdl"]
    assert "at the pins and may leave" in line
    numbers = [float(each.rstrip(",;")) for each in line.split() if each[-1] != ":" and "." in each]
    ten = [*found["slope"], *found["offset"], *found["power"], found["saturation"]]
    # Half of the last decimal that is printed, and of the last that the object has.
    assert numbers[:10] == pytest.approx(ten, abs=5e-5 + 5e-7 + 1e-9)
    assert numbers[10] == pytest.approx(found["leaves_stops"], abs=5e-3)
    assert numbers[11] == pytest.approx(found["elsewhere_stops"], abs=5e-3)
    assert found["elsewhere_stops"] >= found["leaves_stops"]
    assert found["saturation"] > 1.1


# Its controls


def through(*presses, settings=None, desk=None):
    settings, desk = settings or MatchSettings(), desk or Desk()
    for press in presses:
        settings, desk = MATCH.pressed(settings, press, Around(desk, PROFILE, 1920))
    return settings, desk


def test_a_mark_takes_camera_a_and_tab_is_the_gain():
    settings, desk = through(Press.SET_REFERENCE, Press.NEXT_STRIPE, Press.SET_REFERENCE)
    assert (settings.taken, desk.gain) == (2, GAINS[1])
    assert [through(*[Press.NEXT_STRIPE] * n)[1].gain for n in range(5)] == [*GAINS, GAINS[0]]


OWN = {Press.SET_REFERENCE, Press.NEXT_STRIPE, Press.NEXT_UNIT}


def test_which_unit_is_camera_a_is_asked_for_in_any_view():
    assert through(Press.NEXT_UNIT, Press.NEXT_UNIT)[0] == MatchSettings(asked=2)
    assert MATCH.pressed_elsewhere(MatchSettings(), Press.NEXT_UNIT) == MatchSettings(asked=1)


@pytest.mark.parametrize("press", [p for p in Press if p not in OWN])
def test_what_has_no_meaning_of_its_own_goes_on(press):
    assert MATCH.pressed(MatchSettings(), press, Around(Desk(), PROFILE, 1920)) is None
    assert MATCH.pressed_elsewhere(MatchSettings(), press) is None


# On the screen


def added(report):
    """The main number, which has its unit."""
    number, unit = report.main.split()
    assert unit == "st"
    return float(number.replace("−", "-"))


def layer(answer, kind):
    return next((each for each in MATCH.layers(answer) if isinstance(each, kind)), None)


def test_it_has_one_view_and_wants_its_chroma():
    (view,) = MATCH.views
    assert (view.name, view.arrangement) == ("match", Arrangement.TRACE_AND_CORNER)
    assert MATCH.counts is Wants.CHROMA
    assert MATCH.settings(PROFILE, 25.0) == MatchSettings()
    assert MATCH.memory().taken is None


def test_before_camera_a_is_taken_it_says_how(scene):
    answer = MATCH.measure(scene(gain=4), MatchSettings(), MATCH.memory())
    report = MATCH.report(answer)
    assert report.main == UNKNOWN
    assert "show camera A and press “take camera A”" in report.words
    assert layer(answer, Ghost) is None
    assert layer(answer, ChromaShown).gain == 4
    assert [flag.label for flag in layer(answer, PinFlags).pins] == ["1", "2"]
    assert answer.rest is None
    assert MATCH.files(answer, "picture") == ()
    assert answer.warnings == ()


def test_camera_b_is_compared_with_camera_a_as_it_was_taken(scene):
    memory, first = MATCH.memory(), scene()
    taken = MATCH.measure(first, TAKE, memory)
    assert MATCH.report(taken).words.startswith("B agrees with A")
    answer = MATCH.measure(scene(",exposure=-0.7"), TAKE, memory)
    report = MATCH.report(answer)
    assert report.heading == "B is shown: add exposure"
    assert added(report) == pytest.approx(0.7, abs=0.03)
    assert report.words.startswith("open B by 0.7")
    assert [row.label for row in report.rows[1:]] == ["1 add, RGB", "2 add, RGB"]
    # What is to be added, as the main number says it: with its sign.
    assert report.rows[1].value.startswith("+0.7")
    ghost = layer(answer, Ghost)
    assert (ghost.levels == first.census.levels).all()
    assert ghost.levels is not first.census.levels  # whose arrays are used again
    # Another press takes another camera A.
    again = MATCH.measure(scene(",exposure=-0.7"), MatchSettings(taken=2), memory)
    assert MATCH.report(again).words.startswith("B agrees with A")
    assert answer.compared.a is not again.compared.a


def test_the_screen_and_the_command_find_the_same(scene):
    memory = MATCH.memory()
    MATCH.measure(scene(), TAKE, memory)
    on_screen = MATCH.measure(scene(",exposure=-0.7,dial=4500", dial=4500.0), TAKE, memory)
    feed = "bench:size=640x360,cloud=0{},signal=yuv422-10,curve=V-Log"
    options = MatchOptions(
        feed_a=feed.format(""),
        feed_b=feed.format(",exposure=-0.7,dial=4500"),
        at=PINS[:2],
        dial_b="4500",
    )
    asked_for = INSTRUMENT.ask(options, Opener(HandClock()))
    one, other = (enveloped(object_of(each)) for each in (on_screen, asked_for))
    assert one == other
    assert one["balance"]["dial_to"] is not None
    assert json.dumps(one, allow_nan=False)


def test_a_pin_that_does_not_count_says_why(scene):
    memory = MATCH.memory()
    MATCH.measure(scene(",curve=BT.709"), TAKE, memory)
    # White, at 0.83, clips in BT.709 long before grey does.
    report = MATCH.report(MATCH.measure(scene(",curve=BT.709,exposure=1"), TAKE, memory))
    assert report.rows[2].value == "on camera B it is clipped"
    assert report.rows[2].tone is Tone.QUIET
    assert added(report) == pytest.approx(-1.0, abs=0.03)


def test_only_pins_that_both_have_are_compared(scene):
    memory = MATCH.memory()
    grey, outside = SpotPlace(320, 180, 20), SpotPlace(639, 1, 20)
    MATCH.measure(scene(places=(outside, grey)), TAKE, memory)
    answer = MATCH.measure(scene(",exposure=-1", places=(grey, grey, grey)), TAKE, memory)
    assert answer.compared.numbers == (2,)
    assert [row.label for row in MATCH.report(answer).rows[1:]] == ["2 add, RGB"]
    assert object_of(answer).pins[0].pin == 2


def test_no_shared_pin_is_no_match_and_no_file(scene):
    memory = MATCH.memory()
    outside = SpotPlace(639, 1, 20)
    MATCH.measure(scene(places=(outside,)), TAKE, memory)
    answer = MATCH.measure(scene(), TAKE, memory)
    assert MATCH.report(answer).main == UNKNOWN
    assert MATCH.report(answer).words == "no pin can be compared"
    assert MATCH.files(answer, "picture") == ()


def test_the_dial_that_was_told_on_the_screen_is_gone_by(scene):
    memory = MATCH.memory()
    MATCH.measure(scene(), TAKE, memory)
    untold = MATCH.measure(scene(",exposure=-1"), TAKE, memory)
    assert untold.compared.match.dial_to is None
    told = MATCH.measure(scene(",exposure=-1", dial=4300.0), TAKE, memory)
    assert told.compared.match.dial_to == pytest.approx(4300.0, abs=150.0)
    assert told.judged.dial == WhitePoint(4300.0, 0.0)
    # A command's goes before it.
    commanded = dataclasses.replace(TAKE, dial=WhitePoint(3200.0, 0.001))
    assert MATCH.measure(scene(dial=4300.0), commanded, memory).judged.dial == commanded.dial


def test_a_camera_that_sends_rgb_leaves_no_chroma_ghost_and_says_so(scene):
    memory = MATCH.memory()
    alone = MATCH.measure(scene(",signal=rgb"), TAKE, memory)
    assert NO_CHROMA not in MATCH.report(alone).notes  # nobody misses it there
    answer = MATCH.measure(scene(), TAKE, memory)
    assert layer(answer, Ghost).chroma is None
    assert NO_CHROMA in MATCH.report(answer).notes


def test_it_says_when_a_was_taken_and_whether_it_is_still_shown(scene):
    memory = MATCH.memory()
    still = MATCH.measure(scene(wall_s=3600.0 * 12 + 94.0), TAKE, memory)
    taken, *_ = MATCH.report(still).rows
    assert (taken.label, taken.value[3:]) == ("A was taken", "01:34")
    assert SAME in still.warnings
    other = MATCH.measure(scene(",exposure=-0.7", wall_s=3600.0 * 13), TAKE, memory)
    assert MATCH.report(other).rows[0] == taken
    assert SAME not in other.warnings


def test_a_frame_that_is_not_on_the_screen_is_never_taken(scene):
    memory = MATCH.memory()
    live = MATCH.measure(scene(is_shown=False), TAKE, memory)
    assert live.compared is None
    held = MATCH.measure(scene(",exposure=-1", frames=Frames.HELD), TAKE, memory)
    assert MATCH.report(held).words.startswith("B agrees with A")
    behind = MATCH.measure(scene(is_shown=False), TAKE, memory)
    assert behind.compared.a is held.compared.a
    assert added(MATCH.report(behind)) == pytest.approx(-1.0, abs=0.03)


def test_what_remains_is_saved_beside_a_picture_under_its_name(scene):
    memory = MATCH.memory()
    MATCH.measure(scene(), TAKE, memory)
    answer = MATCH.measure(scene(",exposure=-0.7"), TAKE, memory)
    file, whole = MATCH.files(answer, "midgrey-17")
    assert whole.ending == ".whole.cc"
    assert b"neither is in it" in file.content
    assert b"as it was shot" in whole.content
    assert file.ending == ".cc"
    root = ET.fromstring(file.content)
    assert root.get("id") == "midgrey-17"
    assert b"V-Log" in file.content
    assert answer.rest is answer.rest  # fitted once


def test_lines_and_report_say_the_same_words(scene):
    memory = MATCH.memory()
    MATCH.measure(scene(), TAKE, memory)
    answer = MATCH.measure(scene(",exposure=-0.7,kelvin=3200", dial=5600.0), TAKE, memory)
    report, lines = MATCH.report(answer), MATCH.lines(answer)
    said = match_words(answer.compared.match)
    assert (report.words, *report.notes) == said
    assert [f"{each[0].upper()}{each[1:]}." for each in said] == lines[5:8]
    assert object_of(answer).advice == said


def test_camera_a_shown_as_b_is_said_on_the_screen_as_in_the_terminal(scene):
    # 405a108 said so nowhere; the screen did not until it was looked at.
    match, memory = INSTRUMENT, INSTRUMENT.memory()
    places = (SpotPlace(320, 180, 20), SpotPlace(390, 156, 20), SpotPlace(390, 204, 20))
    # The third is the glossy black one: too dark to compare, and no sign of another camera.
    match.measure(scene(",noise=6,exposure=-2", places), MatchSettings(taken=1), memory)
    shown = scene(",noise=6,exposure=-2,seed=5", places)
    again = match.report(match.measure(shown, MatchSettings(taken=1), memory))
    assert any("too dark" in each for each in again.warnings)
    assert again.warnings[0].endswith("is camera A still on the screen?")
    assert again.notes[0].startswith("at most 0.0")  # there is nothing that would come before
    other = match.measure(scene(",noise=6,exposure=-2.7", places), MatchSettings(taken=1), memory)
    report = match.report(other)
    assert not any("still on the screen" in each for each in report.warnings)
    assert report.notes[0].startswith("after that at most 0.0")
    said = printed("match", feed_a=A, feed_b=A, at=PINS)
    assert "everywhere: are both of the same camera?\n" in said
