"""The feed check by its command and by its view, on benches whose truth is known."""

import re

import jsonschema
import numpy as np
import pytest

from firmware.actions import Press
from firmware.clock import HandClock
from firmware.commands.schema import schemas
from firmware.errors import ArgumentError, FirmwareError
from firmware.instruments.asking import Opener, Wanted
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk
from firmware.instruments.feedcheck.instrument import INSTRUMENT
from firmware.profiles.reader import read_profile
from firmware.profiles.shelf import check_files
from overlays.errors import ChartNotFoundError, UnknownPatchError
from overlays.signal.signal import Matrix, Range
from overlays.wording.numbers import UNKNOWN
from tests.asking import asked, printed
from tests.firmware.instruments.feedcheck.conftest import WHITE


def test_a_feed_that_is_read_as_it_is(cap_card_clip):
    found = asked("feedcheck", **cap_card_clip(",signal=yuv422-10"))
    jsonschema.validate(found, schemas("feedcheck"))
    possible = [e for e in found["hypotheses"] if e["possible"]]
    assert {"curve": "BT.709", "range": "limited"}.items() <= {
        key: value for e in possible for key, value in e.items() if e["curve"] == "BT.709"
    }.items()
    assert found["costs"] == []
    assert found["chosen"]["matrix"] is None
    assert any("matrix" in each for each in found["advice"])


@pytest.mark.parametrize(
    ("bench", "options", "curve", "levels"),
    [
        (",signal=yuv422-10,range=full", {"range": "limited"}, "BT.709", "full"),
        (",signal=yuv422-10,curve=LogC4", {"curve": "BT.709"}, "LogC4", "limited"),
        (",signal=yuv422-10,range=squeezed", {"range": "limited"}, "BT.709", "squeezed"),
    ],
)
def test_a_feed_that_is_not_what_it_is_taken_for(cap_card_clip, bench, options, curve, levels):
    feeds = cap_card_clip(bench)
    found = asked("feedcheck", card_within="0.07 st", **feeds, **options)
    assert found["chosen"]["curve"] == curve
    names = [found["chosen"], *found["read_alike"]]
    assert levels in {each["range"] for each in names}
    assert found["costs"] != []
    lines = printed("feedcheck", card_within="0.07 st", **feeds, **options)
    assert "is read as" in lines
    assert "simulated" in lines


def test_a_profile_is_written_that_reads_the_feed_rightly(cap_card_clip, tmp_path):
    feeds = cap_card_clip(",signal=yuv422-10,range=squeezed")
    path = tmp_path / "mine.toml"
    printed("feedcheck", range="limited", card_within="0.07 st", profile_out=path, **feeds)
    assert read_profile(path).override.range is Range.SQUEEZED
    right = asked("read", feed=feeds["dark"], profile=str(path))["spots"][0]
    wrong = asked("read", feed=feeds["dark"], range="limited", profile="standard")["spots"][0]
    assert abs(right["stops"] + 4.0) <= 2.0 * right["stops_pm"]
    assert abs(wrong["stops"] + 4.0) > 0.5


@pytest.mark.parametrize(
    ("fault", "read_as"),
    [
        ("range=full,says=limited", {"range": "limited"}),
        ("range=squeezed", {"range": "limited"}),
        ("range=squeezed-twice", {"range": "limited"}),
        ("range=stretched", {"range": "full"}),
        ("curve=LogC4", {"curve": "BT.709"}),
        ("curve=V-Log,range=stretched", {"curve": "V-Log", "range": "full"}),
    ],
)
def test_what_it_writes_passes_profiles_check_and_reads_the_same_camera_within_its_pm(
    fault, read_as, cap_card_clip, tmp_path
):
    feeds, path = cap_card_clip(f",signal=yuv422-10,{fault}"), tmp_path / "mine.toml"
    feeds["white"] = f"{feeds['card']}@{WHITE}"
    asked("feedcheck", profile_out=path, card_within="0.07 st", **read_as, **feeds)
    _, mistakes = check_files([path])
    assert mistakes == []
    for exposure in (-5.0, -4.0, -2.0, -0.5, 0.0, 1.0, 2.0):
        feed = f"{feeds['card']},exposure={exposure}"
        spot = asked("read", feed=feed, profile=str(path))["spots"][0]
        assert abs(spot["stops"] - exposure) <= spot["stops_pm"] + 0.005, exposure


def test_what_is_wrong_is_one_sentence(cap_card_clip, tmp_path):
    feeds = cap_card_clip()
    swapped = {**feeds, "cap": feeds["clip"], "clip": feeds["cap"]}
    with pytest.raises(ArgumentError, match="must be brighter"):
        asked("feedcheck", **swapped)
    with pytest.raises(ArgumentError, match="toml"):
        asked("feedcheck", profile_out=tmp_path / "a.txt", **feeds)
    with pytest.raises(FirmwareError, match="st"):
        asked("feedcheck", card_within="much", **feeds)
    with pytest.raises(UnknownPatchError):
        asked("feedcheck", patch=("bench",), patch_is=("mauve",), **feeds)
    with pytest.raises(ArgumentError, match=r"--patch is given 2 times and --patch-is 1"):
        asked("feedcheck", patch=("bench", "bench"), patch_is=("red",), **feeds)
    with pytest.raises(ArgumentError, match="percent above 0"):
        asked("feedcheck", colours_within="much", **feeds)
    with pytest.raises(ArgumentError, match="red patch is clipped"):
        asked("feedcheck", patch=(feeds["clip"],), **feeds)
    with pytest.raises(ChartNotFoundError, match="no chart"):
        asked("feedcheck", chart=feeds["cap"], **feeds)
    with pytest.raises(ArgumentError, match="the chart comes with 10 bits"):
        asked("feedcheck", chart="bench:signal=yuv422-10", **feeds)
    with pytest.raises(ArgumentError, match=r"not certain|no capture device"):
        asked("feedcheck", keep=True, **feeds)


class Hands:
    """Presses in the view, and frames of benches, without a screen."""

    def __init__(self):
        self.memory, self.profile = INSTRUMENT.memory(), None
        self.opener = Opener(HandClock())
        self.settings = INSTRUMENT.settings(None, 25.0)

    def press(self, press):
        found = INSTRUMENT.pressed(self.settings, press, Around(Desk(), None, 320))
        assert found is not None
        self.settings = found[0]

    def see(self, feed):
        with self.opener.scene(Wanted(feed)) as scene:
            answer = INSTRUMENT.measure(scene, self.settings, self.memory)
            return answer, INSTRUMENT.report(answer)


def test_held_readings_one_after_the_other_lead_to_a_verdict(cap_card_clip):
    feeds, hands = cap_card_clip(",signal=yuv422-10,curve=LogC4"), Hands()
    _, report = hands.see(feeds["cap"])
    assert report.main == "cap"
    assert "cap" in report.words
    for number, (what, heading) in enumerate((("cap", "card"), ("card", "clip")), start=2):
        hands.press(Press.HOLD)
        _, report = hands.see(feeds[what])
        assert report.main == heading
        assert f"{number} of 3" in report.heading
    hands.press(Press.HOLD)
    answer, report = hands.see(feeds["clip"])
    assert answer.check is not None
    assert answer.check.is_certain
    assert "certain" in report.heading
    assert report.main == "right"
    hands.press(Press.HOLD)  # keeps: but a bench is no capture device
    answer, report = hands.see(feeds["card"])
    assert any("no capture device" in each for each in report.warnings)
    hands.press(Press.STRIPES)
    _, report = hands.see(feeds["card"])
    assert report.main == "cap"


def test_a_reading_that_cannot_be_is_not_taken(cap_card_clip):
    feeds, hands = cap_card_clip(), Hands()
    hands.press(Press.HOLD)
    hands.see(feeds["card"])
    hands.press(Press.HOLD)
    _, report = hands.see(feeds["cap"])
    assert report.main == "card"
    assert any("must be brighter" in each for each in report.warnings)


def test_presses_of_other_views_mean_what_they_mean_everywhere():
    for press in Press:
        found = INSTRUMENT.pressed(INSTRUMENT.settings(None, 0.0), press, Around(Desk(), None, 9))
        own = {Press.HOLD, Press.SET_REFERENCE, Press.STRIPES, Press.NEXT_STRIPE}
        assert (found is not None) is (press in own)


def test_the_table_has_the_ways_that_the_sentence_counts(cap_card_clip):
    # It was 8 rows under "5 ways": names that read greys alike are one way.
    feeds = cap_card_clip(",signal=yuv422-10,range=squeezed")
    del feeds["dark"]
    text = printed("feedcheck", range="limited", **feeds)
    said, whole = text.splitlines(), " ".join(text.split())
    (count,) = [int(n) for n in re.findall(r"; (\d+) other ways to read it do", whole)]
    numbered = [line.split() for line in said if re.match(r" *\d+  ", line)]
    fits = [row[0] for row in numbered if row[-1] == "yes"]
    assert fits == [str(n) for n in range(1, count + 1)]
    shares = [float(row[-3]) for row in numbered if row[-1] == "yes"]
    assert sum(shares) == pytest.approx(100.0, abs=1.5)
    assert any(re.match(r" +V-Log +full +full *$", line) for line in said)  # another name of a way


def test_a_comb_is_suspected_and_what_it_means_is_said(cap_card_clip):
    feeds = cap_card_clip(",comb=yes,noise=1.5", base="bench:size=960x540,cloud=0")
    found = asked("feedcheck", range="limited", **feeds)
    assert "comb" in found["suspected"][0]
    assert "box on the way" in found["suspected"][1]
    assert "box on the way" in " ".join(printed("feedcheck", range="limited", **feeds).split())
    plain = cap_card_clip(",noise=1.5", base="bench:size=960x540,cloud=0")
    assert asked("feedcheck", range="limited", **plain)["suspected"] == []


def test_who_gave_a_place_for_the_profile_is_not_told_to_give_one(cap_card_clip, tmp_path):
    feeds = cap_card_clip(",signal=yuv422-10,range=squeezed")
    given = {"range": "limited", "card_within": "0.07 st", **feeds}
    assert "--profile-out" in printed("feedcheck", **given)
    assert "--profile-out" not in printed("feedcheck", profile_out=tmp_path / "m.toml", **given)


CHART = "bench:size=960x540,cloud=0,signal=yuv422-10"


def test_a_chart_decides_the_matrix_where_a_single_patch_does_not(cap_card_clip):
    feeds = cap_card_clip(",signal=yuv422-10")
    wrong = f"{CHART},matrix=BT.601,says=BT.709"
    found = asked("feedcheck", chart=wrong, **feeds)
    jsonschema.validate(found, schemas("feedcheck"))
    assert found["chosen"]["matrix"] == "BT.601"
    assert found["matrices"] == ["BT.601"]
    assert len(found["patches"]) == 10
    right = asked("feedcheck", chart=CHART, **feeds)
    assert right["chosen"]["matrix"] is None  # 2020 is within what a camera's colours may be off
    assert right["matrices"] == ["BT.709", "BT.2020"]
    sure = asked("feedcheck", chart=CHART, colours_within="3 %", **feeds)
    assert sure["chosen"]["matrix"] == "BT.709"


def test_patches_are_read_one_by_one_each_from_its_feed(cap_card_clip):
    feeds = cap_card_clip(",signal=yuv422-10")
    card = feeds["card"]
    found = asked("feedcheck", patch=(card, card), patch_is=("red", "green"), **feeds)
    assert found["patches"] == ["red", "green"]
    assert found["matrices"] == []  # a grey card is neither
    assert any("fit no matrix" in each for each in found["advice"])
    assert asked("feedcheck", patch=(card,), **feeds)["patches"] == ["red"]


def certain(hands, feeds):
    """Cap, card, clip and what is asked for, until nothing more is."""
    for what in ("cap", "card", "clip"):
        hands.press(Press.HOLD)
        answer, _ = hands.see(feeds[what])
    while answer.check.ask is not None:
        hands.press(Press.HOLD)
        answer, _ = hands.see(feeds[answer.check.ask.value])
    assert answer.check.is_certain
    return answer


def test_colours_are_taken_by_a_press_and_a_chart_in_the_picture_tells_the_matrix(cap_card_clip):
    feeds, hands = cap_card_clip(",signal=yuv422-10,curve=LogC4"), Hands()
    hands.press(Press.NEXT_STRIPE)
    _, report = hands.see(feeds["cap"])
    assert any("once greys are certain" in each for each in report.warnings)
    certain(hands, feeds)
    _, report = hands.see(feeds["card"])
    assert re.search(r"“take colours” of a chart, or of its \w+ patch", report.words)
    hands.press(Press.NEXT_STRIPE)
    answer, report = hands.see(f"{CHART},curve=LogC4,matrix=BT.601,says=BT.709")
    assert len(answer.patches) == 10
    assert answer.matrix is Matrix.BT601
    assert (report.main, report.beside) == ("wrong", "matrix, BT.601")
    assert "read by BT.709" in report.words
    assert {"matrix": "BT.601", "by patches": "10 of a chart"}.items() <= {
        row.label: row.value for row in report.rows
    }.items()
    hands.press(Press.NEXT_STRIPE)
    answer, report = hands.see(feeds["card"])
    assert any("BT.601 alone" in each for each in report.warnings)
    hands.press(Press.STRIPES)
    answer, _ = hands.see(feeds["card"])
    assert answer.patches == ()


def test_without_a_chart_the_patch_that_is_asked_for_is_read_under_the_spot(lit):
    hands = Hands()
    grey, red = np.full((64, 64, 3), 0.18), np.full((64, 64, 3), (0.27, 0.07, 0.05))
    lights = {"white": 5.0 * grey, "dark": grey / 16.0}
    for light in (0.0 * grey, grey, 60.0 * grey):
        hands.press(Press.HOLD)
        answer = INSTRUMENT.measure(lit(light), hands.settings, hands.memory)
    while answer.check.ask is not None:
        hands.press(Press.HOLD)
        answer = INSTRUMENT.measure(
            lit(lights[answer.check.ask.value]), hands.settings, hands.memory
        )
    assert answer.check.is_certain
    hands.press(Press.NEXT_STRIPE)
    answer = INSTRUMENT.measure(lit(red), hands.settings, hands.memory)
    (asked_for,) = answer.patches
    rows = [(row.label, row.value) for row in INSTRUMENT.report(answer).rows]
    assert ("by patches", asked_for.patch) in rows
    assert ("matrix", UNKNOWN) in rows  # it is not the colour that was asked for
    hands.press(Press.STRIPES)
    hands.press(Press.NEXT_STRIPE)
    answer = INSTRUMENT.measure(lit(grey), hands.settings, hands.memory)
    assert answer.patches == ()


def test_it_offers_a_reading_all_anew_or_colours_and_turns_nothing():
    offers = INSTRUMENT.offers(INSTRUMENT.settings(None, 0.0))
    assert [each.press for each in offers.own] == [Press.HOLD, Press.STRIPES, Press.NEXT_STRIPE]
    assert (offers.turned, offers.chosen) == ("", "")
