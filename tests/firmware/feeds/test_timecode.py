"""Counting checked label by label against the rule as it is spoken, and by arithmetic of a day."""

import re
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from firmware.errors import TimeCodeError
from firmware.feeds.timecode import CountedFrom, FrameCounting, TimeCode, from_zero, parse_timecode

NTSC30, NTSC60 = 30_000 / 1001, 60_000 / 1001
RATES = (24_000 / 1001, 24.0, 25.0, NTSC30, 30.0, 48.0, 50.0, NTSC60, 60.0, 100.0, 120.0)
DROPPED = {30: 2, 60: 4}

countings = st.sampled_from(
    [FrameCounting(numbers) for numbers in (24, 25, 30, 48, 50, 60, 100, 120)]
    + [FrameCounting(30, 2), FrameCounting(60, 4)]
)


def spelled(numbers, left_out, minutes):
    """Every label of so many minutes, by writing all of them and striking out the dropped ones."""
    mark = ";" if left_out else ":"
    return [
        f"{m // 60:02d}:{m % 60:02d}:{s:02d}{mark}{f:02d}"
        for m in range(minutes)
        for s in range(60)
        for f in range(numbers)
        if not (left_out and s == 0 and m % 10 and f < left_out)
    ]


@pytest.mark.parametrize(("numbers", "left_out"), [(25, 0), (30, 0), (30, 2), (60, 4)])
def test_labels_run_as_the_rule_says(numbers, left_out):
    """SMPTE ST 12-1: 0 and 1 (0 to 3 at 59.94) of each minute but the tenth are left out."""
    expected = spelled(numbers, left_out, 31)
    counting = FrameCounting(numbers, left_out)
    assert [counting.text(n) for n in range(len(expected))] == expected


def test_drop_frame_keeps_up_with_the_clock():
    """The hour of drop-frame counting is 3.6 ms long of 3600 s (arithmetic: 107892 frames)."""
    for rate, counting in ((NTSC30, FrameCounting(30, 2)), (NTSC60, FrameCounting(60, 4))):
        frames = counting.count(1, 0, 0, 0)
        assert frames / rate == pytest.approx(3600.0, abs=0.004)
    assert FrameCounting(30, 2).count(1, 0, 0, 0) == 107_892
    assert 144 * FrameCounting(30, 2).in_ten_minutes == 2_589_408


@given(countings, st.integers(0, 30_000_000))
def test_a_label_and_its_count_are_one(counting, count):
    day = 144 * counting.in_ten_minutes
    text = counting.text(count)
    assert counting.count(*map(int, re.split("[:;]", text))) == count % day


@given(countings, st.integers(0, 20_000_000))
def test_the_next_label_is_a_later_one_but_at_midnight(counting, count):
    one, other = counting.text(count), counting.text(count + 1)
    if other.startswith("00:00:00") and re.search(r"[:;]0+$", other):
        assert one.startswith("23:59:59")
    else:
        assert other > one


@given(
    st.sampled_from(RATES), st.integers(0, 23), st.integers(0, 59), st.integers(0, 59), st.data()
)
def test_what_is_parsed_is_said_of_the_first_frame(rate, hours, minutes, seconds, data):
    whole = round(rate)
    may_drop = whole in DROPPED and rate < whole
    drops = data.draw(st.booleans()) if may_drop else False
    number = data.draw(st.integers(0, whole - 1))
    assume(not (drops and seconds == 0 and minutes % 10 and number < DROPPED[whole]))
    width = 3 if whole > 100 else 2
    text = f"{hours:02d}:{minutes:02d}:{seconds:02d}{';' if drops else ':'}{number:0{width}d}"
    code = parse_timecode(text, rate)
    assert code.at(0) == text
    assert code.origin is CountedFrom.FILE
    assert code.counting.sharing == 1


def first_said(text, rate):
    try:
        return parse_timecode(text, rate).at(0)
    except TimeCodeError as fault:
        return str(fault)


@given(
    st.text(max_size=14) | st.from_regex(r"\d{1,2}[:;]\d\d[:;]\d\d[:;.,]\d{1,3}", fullmatch=True)
)
def test_whatever_a_file_says_is_counted_on_or_refused_in_one_sentence(text):
    for rate in RATES:
        said = first_said(text, rate)
        assert "\n" not in said
        label = re.fullmatch(r"\d\d:\d\d:\d\d[:;]\d{2,3}", said)
        assert label or said.endswith("counted from the first frame instead")


@pytest.mark.parametrize(
    ("text", "rate", "says"),
    [
        ("nonsense", 25.0, "four numbers"),
        ("", 25.0, "four numbers"),
        ("1:00:00:00", 25.0, "four numbers"),
        ("-1:00:00:00", 25.0, "four numbers"),
        ("01:00:00:00:00", 25.0, "four numbers"),
        ("24:00:00:00", 25.0, "no such number at 25"),
        ("01:60:00:00", 25.0, "no such number"),
        ("01:00:60:00", 25.0, "no such number"),
        ("01:00:00:25", 25.0, "no such number"),
        ("01:00:00;00", 25.0, "drop-frame counting belongs to"),
        ("01:00:00;00", 30.0, "drop-frame counting belongs to"),
        ("01:01:00;01", NTSC30, "no such number"),
        ("01:01:00;01", NTSC60, "no such number"),
        ("٠١:00:00:00", 25.0, "four numbers"),
        ("x" * 5000, 25.0, "four numbers"),
    ],
)
def test_what_is_no_time_code_is_told(text, rate, says):
    with pytest.raises(TimeCodeError, match=says) as caught:
        parse_timecode(text, rate)
    assert len(str(caught.value)) < 200


@pytest.mark.parametrize("text", ["01:00:00;02", "01:00:00.02", "01;00;00;02", " 01:00:00,02 "])
def test_drop_frame_is_known_by_the_last_mark(text):
    code = parse_timecode(text, NTSC30)
    assert code.counting == FrameCounting(30, 2)
    assert code.at(0) == "01:00:00;02"


def test_numbers_may_be_shared_by_two_frames_where_the_files_count_says_so():
    whole = FrameCounting(50).count(10, 11, 12, 13)
    pairs = FrameCounting(25).count(10, 11, 12, 13)
    assert parse_timecode("10:11:12:13", 50.0, whole).counting == FrameCounting(50)
    code = parse_timecode("10:11:12:13", 50.0, pairs)
    assert code.counting == FrameCounting(25, sharing=2)
    labels = [code.at(n) for n in range(26)]
    assert labels[:4] == ["10:11:12:13", "10:11:12:13", "10:11:12:14", "10:11:12:14"]
    assert labels[24] == "10:11:13:00"
    drop = FrameCounting(30, 2).count(0, 59, 59, 29)
    code = parse_timecode("00:59:59;29", NTSC60, drop)
    assert code.counting == FrameCounting(30, 2, 2)
    assert [code.at(n) for n in (1, 2)] == ["00:59:59;29", "01:00:00;00"]
    # Drop-frame counting of each frame leaves this one out: it can only be one of pairs.
    assert parse_timecode("01:01:00;03", NTSC60).counting == FrameCounting(30, 2, 2)
    # A count that fits neither is not believed against the text.
    assert parse_timecode("10:11:12:13", 50.0, 7).counting == FrameCounting(50)
    assert parse_timecode("10:11:12:13", 25.0, 7).at(0) == "10:11:12:13"


@given(st.sampled_from(RATES), st.integers(0, 10**6))
def test_from_zero_counts_whole_frames(rate, frame):
    code = from_zero(rate)
    assert code.origin is CountedFrom.FIRST_FRAME
    assert code.counting == FrameCounting(round(rate))
    assert code.at(frame) == FrameCounting(round(rate)).text(frame)


def test_it_goes_over_midnight_and_never_before_the_first_frame():
    code = TimeCode(FrameCounting(25), FrameCounting(25).count(23, 59, 59, 24))
    assert [code.at(n) for n in (-5, 0, 1)] == ["23:59:59:24", "23:59:59:24", "00:00:00:00"]
    assert all(one != other for one, other in pairwise(code.at(n) for n in range(100)))


@pytest.mark.parametrize(
    ("frame", "rate", "text"),
    [
        (24, 25.0, "00:00:00:24"),
        (25, 25.0, "00:00:01:00"),
        (24, 23.976, "00:00:01:00"),
        (90_000, 25.0, "01:00:00:00"),
        (90_061, 30.0, "00:50:02:01"),
        (119, 120.0, "00:00:00:119"),
        (3, 0.2, "00:00:03:00"),
    ],
)
def test_counts_from_zero(frame, rate, text):
    assert from_zero(rate).at(frame) == text


def test_a_moment_has_the_number_of_the_nearest_frame():
    code = parse_timecode("00:00:59;28", 30000 / 1001)
    # SMPTE ST 12-1: ;00 and ;01 of the next minute are left out.
    assert [code.at_s(n * 1001 / 30000) for n in range(3)] == [
        "00:00:59;28",
        "00:00:59;29",
        "00:01:00;02",
    ]


@pytest.mark.parametrize("rate", [23.976, 24000 / 1001, 25.0, 29.97, 50.0, 60000 / 1001])
def test_frames_of_a_usual_rate_are_numbered_one_by_one(rate):
    code = from_zero(rate)
    assert [code.at_s(n / rate) for n in range(400)] == [code.at(n) for n in range(400)]


@pytest.mark.parametrize("rate", [18.4, 15000 / 751, 27.3])
def test_where_frames_come_unevenly_numbers_go_by_the_clock(rate):
    assert from_zero(rate).at_s(3600.0) == "01:00:00:00"
