import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.errors import ArgumentError
from firmware.instruments.asking import Opener
from firmware.instruments.chips import COMMAND
from firmware.instruments.chips.instrument import Chips
from overlays.draw.moment.layers import PinFlags
from overlays.draw.moment.report import Tone
from overlays.measure.spot.spot import SpotPlace
from overlays.wording.numbers import UNKNOWN
from tests.asking import asked, printed

VIEW = Chips()

CHIPS = ("390,156,20", "320,180,20", "390,204,20")  # the bench's cards at 640x360


def verdict(extra="", spots=CHIPS, **how):
    feed = f"bench:size=640x360,cloud=0,signal=yuv422-10,curve=V-Log{extra}"
    return asked("chips", feed=feed, at=spots, **how)


def test_the_bench_as_it_is():
    found = verdict()
    assert [chip["chip"] for chip in found["chips"]] == ["white", "grey", "black"]
    assert found["chips"][1]["off"] == pytest.approx(0.0, abs=0.02)
    assert found["chips"][1]["unit"] == "st"


def test_exposure_is_named():
    found = verdict(",exposure=-1")
    assert not found["in_tolerance"]
    assert found["explanations"][0]["causes"] == ["exposure"]
    assert found["explanations"][0]["amounts"][0] == pytest.approx(-0.9, abs=0.2)
    assert found["advice"][0].startswith("open the lens")


def test_pins_of_the_profile_by_their_names(tmp_path):
    kit = tmp_path / "kit.toml"
    kit.write_text(
        'curve = "V-Log"\n'
        'pins = [{x = 0.609, y = 0.567, name = "black"}, {x = 0.5, y = 0.5, name = "grey"},'
        ' {x = 0.609, y = 0.433, name = "white"}]\n'
    )
    found = verdict(",exposure=-1", (), profile=str(kit))
    assert found["explanations"][0]["causes"] == ["exposure"]


def test_three_or_none():
    with pytest.raises(ArgumentError, match="white, grey, black"):
        verdict(spots=CHIPS[:2])
    with pytest.raises(ArgumentError, match="no pins named"):
        verdict(spots=())


def test_for_a_person():
    said = printed("chips", feed="bench:size=640x360,cloud=0,curve=V-Log,exposure=-1", at=CHIPS)
    assert "Grey  -1.0" in said
    assert ": OFF" in said
    assert "Open the lens by" in said


def test_the_first_three_pins_of_a_profile_where_none_is_called_so(tmp_path):
    # As on the screen: white, grey, black in the order of their numbers.
    kit = tmp_path / "kit.toml"
    kit.write_text(
        'curve = "V-Log"\n'
        "pins = [{x = 0.609, y = 0.433}, {x = 0.5, y = 0.5}, {x = 0.609, y = 0.567}]\n"
    )
    found = verdict(",exposure=-1", (), profile=str(kit))
    assert found["explanations"][0]["causes"] == ["exposure"]


@pytest.fixture
def reported(lit):
    """What the view says of three strips of light, with pins of these names on them."""

    def made(lights, names):
        light = np.repeat(np.array(lights), 40)[None, :, None] * np.ones((96, 1, 3))
        places = [(name, SpotPlace(20 + 40 * n, 48, 24)) for n, name in enumerate(names)]
        scene = lit(light, tuple(places))
        return VIEW.report(VIEW.measure(scene, None, None))

    return made


def test_chips_by_name_in_whatever_order(reported):
    report = reported((0.0016, 0.18, 0.77), ("black", "grey", "white"))
    assert report.words == "all three chips are where they belong"
    assert report.tone is Tone.PLAIN
    assert [row.label for row in report.rows] == ["white, fine", "grey, fine", "black, fine"]


def test_chips_by_number_where_they_have_no_names(reported):
    right = reported((0.77, 0.18, 0.0016), ("", "", ""))
    assert right.words == "all three chips are where they belong"
    wrong = reported((0.0016, 0.18, 0.77), ("", "", ""))
    assert wrong.tone is Tone.ALARM
    assert any(row.tone is Tone.ALARM and row.label.endswith("OFF") for row in wrong.rows)


def test_the_one_that_is_furthest_off_stands_large(reported):
    report = reported((0.77, 0.36, 0.0016), ("", "", ""))
    assert report.heading == "grey chip against 0 st"
    assert float(report.main) == pytest.approx(1.0, abs=0.03)
    assert report.beside.endswith(" st")


@pytest.mark.parametrize("names", [(), ("",), ("", "")])
def test_too_few_chips(reported, names):
    report = reported((0.5, 0.2, 0.1), names)
    assert report.main == UNKNOWN
    assert report.words.startswith("press “to chips”, or set a pin on the white")
    assert report.rows == ()


def test_a_chip_without_light_stands_without_a_number(reported):
    report = reported((0.77, 0.0, 0.0016), ("", "", ""))
    assert report.heading == "grey chip against 0 st"
    assert (report.main, report.beside) == (UNKNOWN, "")
    assert report.rows[1].value == UNKNOWN
    assert report.rows[1].tone is Tone.ALARM


def test_what_cannot_be_told_is_no_alarm_and_said_alike_by_every_outlet(tmp_path):
    # It was "OFF" and an alarm on the screen wherever a chip was not surely fine.
    kit = tmp_path / "kit.toml"
    kit.write_text('curve = "LogC4"\n[chips]\nblack = {at = "-6.35 st", within = "0.6 st"}\n')
    asking = {"feed": "bench:size=640x360,cloud=0,curve=LogC4,signal=uyvy", "profile": str(kit)}
    found = asked("chips", at=CHIPS, **asking)
    black = found["chips"][2]
    assert abs(abs(black["off"]) - 0.6) < black["off_pm"]
    assert [chip["in_tolerance"] for chip in found["chips"]] == [True, True, None]
    assert (found["in_tolerance"], found["explanations"]) == (None, [])
    (words,) = found["advice"]
    assert "black chip" in words
    said = printed("chips", at=CHIPS, **asking)
    assert f"{words[0].upper()}{words[1:]}." in said
    assert "st: unsure" in said
    report = VIEW.report(VIEW.ask(COMMAND.options(at=CHIPS, **asking), Opener(HandClock())))
    assert (report.words, report.tone) == (words, Tone.PLAIN)
    assert report.heading.startswith("black chip")
    assert [row.label for row in report.rows] == ["white, fine", "grey, fine", "black, unsure"]
    assert {row.tone for row in report.rows} == {Tone.PLAIN}


def test_chips_that_may_be_no_light_at_all_are_off_where_their_most_is_too_dark():
    feed = "bench:size=640x360,cloud=0,curve=LogC4,signal=uyvy,exposure=-12"
    white, grey, black = asked("chips", feed=feed, at=CHIPS)["chips"]
    assert white["off_pm"] is grey["off_pm"] is black["off_pm"] is None
    assert white["in_tolerance"] is grey["in_tolerance"] is False


def test_a_chip_outside_of_the_picture_leaves_too_few(lit):
    places = (("", SpotPlace(20, 48, 8)), ("", SpotPlace(60, 48, 8)), ("", SpotPlace(300, 48, 8)))
    scene = lit(np.full((96, 120, 3), 0.18), places)
    answer = VIEW.measure(scene, None, None)
    assert VIEW.report(answer).main == UNKNOWN
    flags = VIEW.layers(answer)[0]
    assert isinstance(flags, PinFlags)
    assert [flag.label for flag in flags.pins] == ["1", "2", "3"]


def test_percents_have_one_decimal_and_what_is_not_read_has_no_unit():
    # It was "white, OFF 71.3 %, off −20.16" beside "−20.2 % off ±0.03 %".
    said = printed("chips", feed="bench:size=640x360,cloud=0,exposure=-0.7", at=CHIPS)
    white = next(line for line in said.splitlines() if line.startswith("White"))
    assert "off -20.2 %: OFF" in white


def test_a_mark_of_it_keeps_the_codes_of_every_pin(lit):
    places = [SpotPlace(column, 60, 20) for column in (40, 80, 120)]
    light = np.full((120, 160, 3), 0.18)
    scene = lit(light, tuple(zip(("white", "grey", "black"), places, strict=True)))
    assert VIEW.rests_on(scene, None) == tuple(places)
