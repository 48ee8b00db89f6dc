"""Camera A from a picture or from another unit; with units that publish: tests/firmware/live."""

from dataclasses import replace

import pytest

from firmware.instruments.heard import Heard, HeardUnit
from firmware.instruments.match.camera_a import NO_KIT, NONE_HEARD, MatchMemory, MatchSettings
from firmware.instruments.match.instrument import MatchInstrument
from firmware.kit.spots import pin_part, told_pin
from overlays.draw.moment.layers import Ghost
from overlays.wording.numbers import UNKNOWN

MATCH = MatchInstrument()


def unit(name, scene, **more):
    told = [told_pin(pin_part(number, "", spot)) for number, spot in scene.pins().items()]
    return HeardUnit(name, ("boot", 1), read=lambda: told, camera={"curve": "V-Log"}, **more)


def hearing(*units, is_kit=True):
    memory = MatchMemory()
    MATCH.hear(memory, Heard({each.name: each for each in units}, is_kit))
    return memory


def words(answer):
    return MATCH.report(answer).words


def test_presses_go_through_the_units_and_back_to_the_picture(scene):
    first = scene()
    memory = hearing(unit("cam-a", first), unit("cam-c", scene(",exposure=1")))
    seen = []
    for asked in range(4):
        answer = MATCH.measure(first, MatchSettings(asked=asked), memory)
        seen.append((answer.unit, answer.compared is not None))
    assert seen == [("", False), ("cam-a", True), ("cam-c", True), ("", False)]


def test_a_picture_that_is_taken_is_camera_a_again_and_a_unit_can_be_after_it(scene):
    first = scene()
    memory = hearing(unit("cam-a", scene(",exposure=1")))
    by_unit = MATCH.measure(first, MatchSettings(asked=1), memory)
    assert by_unit.compared.match.exposure_stops == pytest.approx(1.0, abs=0.05)
    taken = MATCH.measure(first, MatchSettings(taken=1, asked=1), memory)
    assert (taken.unit, taken.compared.a.unit) == ("", None)
    again = MATCH.measure(first, MatchSettings(taken=1, asked=2), memory)
    assert again.unit == "cam-a"


def test_the_report_names_the_unit_and_there_is_no_ghost_of_it(scene):
    memory = hearing(unit("cam-a", scene(",exposure=1"), warnings=("a guess",)))
    answer = MATCH.measure(scene(), MatchSettings(asked=1), memory)
    report = MATCH.report(answer)
    assert (report.rows[0].label, report.rows[0].value) == ("A is live", "cam-a")
    assert "A: a guess" in report.warnings
    assert not any(isinstance(each, Ghost) for each in MATCH.layers(answer))
    assert MATCH.lines(answer)[0] == "A: cam-a, V-Log"
    assert MATCH.before(answer) is None


def test_a_unit_that_is_silent_leaves_no_number_and_says_why(scene):
    silent = unit("cam-a", scene(), why_not="cam-a was last heard 7 s ago")
    answer = MATCH.measure(scene(), MatchSettings(asked=1), hearing(silent))
    report = MATCH.report(answer)
    assert (report.heading, report.main) == ("match with cam-a", UNKNOWN)
    assert report.words == "no match now: cam-a was last heard 7 s ago"
    assert MATCH.figure(answer) == "no camera A"
    assert not MATCH.has_object(answer)


def test_a_unit_that_is_gone_from_the_kit_stays_chosen(scene):
    memory = hearing(unit("cam-a", scene()))
    MATCH.measure(scene(), MatchSettings(asked=1), memory)
    MATCH.hear(memory, Heard({}, is_kit=True))
    answer = MATCH.measure(scene(), MatchSettings(asked=1), memory)
    assert words(answer) == "no match now: cam-a was not heard yet"
    MATCH.hear(memory, Heard({"cam-a": unit("cam-a", scene())}, is_kit=True))
    assert MATCH.measure(scene(), MatchSettings(asked=1), memory).compared is not None


@pytest.mark.parametrize(("is_kit", "why"), [(False, NO_KIT), (True, NONE_HEARD)])
def test_where_nobody_is_heard_it_is_said_and_one_press_leads_back(scene, is_kit, why):
    memory = hearing(is_kit=is_kit)
    answer = MATCH.measure(scene(), MatchSettings(asked=1), memory)
    assert why in words(answer)
    assert MATCH.report(answer).heading == "match"
    assert MATCH.measure(scene(), MatchSettings(asked=2), memory).why_not == ""


def test_a_held_frame_chooses_nothing_until_it_is_shown(scene):
    memory = hearing(unit("cam-a", scene()))
    hidden = replace(scene(), is_shown=False)
    assert MATCH.measure(hidden, MatchSettings(asked=1), memory).unit == ""
