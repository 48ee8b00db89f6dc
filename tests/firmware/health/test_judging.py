from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.health.battery import BatteryGoing, BatteryLevel, BatteryLook
from firmware.health.board import BoardLook
from firmware.health.condition import Severity, Subject, worst
from firmware.health.flow import Flow
from firmware.health.judging import Looks, judged
from firmware.health.limits import PICTURE_BYTES
from firmware.health.mailbox import Brake, Throttle
from firmware.health.storage import Keeping, PlaceLook, Space

HERE = Path("/var/lib/midgrey")
FREE = Throttle(frozenset(), frozenset())
WELL = BoardLook("Raspberry Pi 5 Model B Rev 1.0", 51.0, is_low_voltage=False, throttle=FREE)
ROOMY = PlaceLook(HERE, Keeping.LASTING, "/dev/mmcblk0p2", space=Space(4 * 10**9, 1000))
SMOOTH = Flow(rate=25.0, passed_share=0.0, damaged_share=0.0, age_s=0.03)
WITHOUT = [each for each in Subject if each is not Subject.BATTERY]
"""What every machine has a word on; of a battery only one that has one."""
LONGEST_LINE = 64
"""Characters of a line that a screen of 480x320 shows whole (looked at)."""


def judge(board=WELL, place=ROOMY, flow=SMOOTH, before=None, dips=0):
    made = judged(Looks(board, (place,), flow, dips), before or {})
    return {each.subject: each for each in made}


def held_back(*now, since=()):
    return replace(WELL, throttle=Throttle(frozenset(now), frozenset({*now, *since})))


def test_a_board_that_is_well_is_fine_in_everything_and_shows_nothing():
    made = judge()
    assert list(made) == WITHOUT
    assert {each.severity for each in made.values()} == {Severity.FINE}
    assert worst(made.values()) is None
    assert made[Subject.CARD].words == "/var/lib/midgrey keeps what is saved; 4.0 GB left"


def test_a_supply_too_low_is_what_is_shown_before_all_else():
    low = replace(WELL, is_low_voltage=True, temperature_c=90.0)
    made = judge(low, replace(ROOMY, keeping=Keeping.NOT))
    shown = worst(made.values())
    assert (shown.subject, shown.severity) == (Subject.POWER, Severity.ALARM)
    assert "a stronger one" in shown.line
    assert "was too weak" in shown.line_after
    assert judge(held_back(Brake.UNDER_VOLTAGE))[Subject.POWER].severity is Severity.ALARM


def test_what_is_grave_has_a_name_that_is_its_own():
    fault = replace(ROOMY, keeping=Keeping.NOT)
    full = replace(ROOMY, space=Space(0, 0))
    found = {
        judge(held_back(Brake.UNDER_VOLTAGE))[Subject.POWER].name,
        judge(replace(WELL, temperature_c=85.0))[Subject.TEMPERATURE].name,
        judge(place=fault)[Subject.CARD].name,
        judge(place=full)[Subject.CARD].name,
    }
    assert found == {"WEAK SUPPLY", "HOT", "CARD READ-ONLY", "CARD FULL"}
    few = judge(place=replace(ROOMY, space=Space(int(7 * PICTURE_BYTES), 100)))[Subject.CARD]
    assert (few.severity, few.name) == (Severity.WARNING, "")


def test_a_supply_that_was_too_low_is_noted_but_not_shown():
    made = judge(held_back(since=[Brake.UNDER_VOLTAGE]))[Subject.POWER]
    assert (made.severity, bool(made.remedy)) == (Severity.NOTE, True)
    assert "since start-up" in made.words
    assert "twice" not in judge(dips=1)[Subject.POWER].words
    assert "3 times since midgrey was started" in judge(dips=3)[Subject.POWER].words


def test_a_machine_that_does_not_say_is_not_called_well():
    made = judge(BoardLook())
    for subject in (Subject.POWER, Subject.TEMPERATURE, Subject.SPEED):
        assert made[subject].severity is Severity.UNKNOWN
        assert made[subject].remedy == ""
    refused = judge(BoardLook(is_refused=True))
    assert "adduser" in refused[Subject.SPEED].remedy
    assert worst(made.values()) is None


@pytest.mark.parametrize(
    ("celsius", "severity"),
    [(60.0, Severity.FINE), (80.0, Severity.WARNING), (85.0, Severity.ALARM)],
)
def test_temperatures_of_a_board(celsius, severity):
    made = judge(replace(WELL, temperature_c=celsius))[Subject.TEMPERATURE]
    assert made.severity is severity
    assert f"{celsius:.0f} °C" in made.words


def test_a_warning_of_heat_stays_until_it_is_five_degrees_cooler():
    before = {(Subject.TEMPERATURE, ""): Severity.WARNING}
    for celsius, severity in ((76.0, Severity.WARNING), (74.9, Severity.FINE)):
        made = judge(replace(WELL, temperature_c=celsius), before=before)
        assert made[Subject.TEMPERATURE].severity is severity


def test_limits_of_a_board_are_not_those_of_another_machine():
    made = judge(replace(WELL, model="", temperature_c=91.0))[Subject.TEMPERATURE]
    assert made.severity is Severity.NOTE
    assert "91 °C" in made.words


def test_the_one_board_with_a_soft_limit_says_so_when_asked():
    board = replace(WELL, model="Raspberry Pi 3 Model B Plus Rev 1.3", temperature_c=61.0)
    assert judge(board)[Subject.TEMPERATURE].severity is Severity.NOTE
    cool = replace(board, temperature_c=59.0)
    assert judge(cool)[Subject.TEMPERATURE].severity is Severity.FINE


def test_being_slowed_down_says_by_what():
    heat = judge(held_back(Brake.THROTTLED))[Subject.SPEED]
    assert (heat.severity, "heat" in heat.line) == (Severity.WARNING, True)
    supply = judge(held_back(Brake.CAPPED, Brake.UNDER_VOLTAGE))[Subject.SPEED]
    assert "supply" in supply.line
    soft = judge(held_back(Brake.SOFT_LIMIT))[Subject.SPEED]
    once = judge(held_back(since=[Brake.THROTTLED]))[Subject.SPEED]
    assert soft.severity is once.severity is Severity.NOTE
    no_memory = replace(WELL, throttle=Throttle(frozenset(), None))
    assert judge(no_memory)[Subject.SPEED].words == "full speed"


@pytest.mark.parametrize(
    ("pictures", "severity"),
    [(0.0, Severity.ALARM), (0.9, Severity.ALARM), (7.0, Severity.WARNING), (11.0, Severity.FINE)],
)
def test_room_is_counted_in_pictures(pictures, severity):
    space = Space(round(pictures * PICTURE_BYTES), None)
    assert judge(place=replace(ROOMY, space=space))[Subject.CARD].severity is severity


def test_a_card_without_room_for_another_file_is_full():
    made = judge(place=replace(ROOMY, space=Space(10**10, 0)))[Subject.CARD]
    assert made.severity is Severity.ALARM
    assert "no room" in made.line


def test_a_card_that_turned_read_only_is_a_fault_one_by_choice_is_not():
    fault = judge(place=replace(ROOMY, keeping=Keeping.NOT))[Subject.CARD]
    assert (fault.severity, "read-only" in fault.line) == (Severity.ALARM, True)
    data = replace(ROOMY, device="/dev/mmcblk0p3", is_root_in_memory=True)
    chosen = judge(place=data)[Subject.CARD]
    assert chosen.severity is Severity.FINE
    assert "on /dev/mmcblk0p3" in chosen.words
    assert "by choice" in chosen.words
    memory = replace(data, keeping=Keeping.MEMORY)
    forgotten = judge(place=memory)[Subject.CARD]
    assert (forgotten.severity, "midgrey-data" in forgotten.remedy) == (Severity.NOTE, True)
    assert judge(place=replace(memory, is_root_in_memory=False))[Subject.CARD].remedy == ""


def test_what_else_a_place_may_be():
    assert judge(place=replace(ROOMY, space=None))[Subject.CARD].severity is Severity.UNKNOWN
    made = judge(place=replace(ROOMY, may_write=False))[Subject.CARD]
    assert (made.severity, bool(made.remedy)) == (Severity.NOTE, True)


def test_frames_and_their_age():
    passed = judge(flow=replace(SMOOTH, rate=50.0, passed_share=0.6))[Subject.FRAMES]
    assert passed.line == "20 of 50 frames a second shown: send a lower rate"
    slow = judge(flow=replace(SMOOTH, rate=60.0, passed_share=0.99))[Subject.FRAMES]
    assert slow.words == "0.6 of 60 frames a second shown"
    assert judge(flow=replace(SMOOTH, passed_share=0.5))[Subject.FRAMES].severity is Severity.FINE
    few = judge(flow=replace(SMOOTH, damaged_share=0.004))[Subject.FRAMES]
    assert (few.severity, "0.4 % arrive damaged and are not read" in few.words) == (
        Severity.FINE,
        True,
    )
    hurt = judge(flow=replace(SMOOTH, damaged_share=0.04))[Subject.FRAMES]
    assert "4 % of frames arrive damaged" in hurt.line
    late = judge(flow=replace(SMOOTH, age_s=0.31))[Subject.AGE]
    assert (late.severity, "0.31 s late" in late.line) == (Severity.WARNING, True)
    assert judge(flow=replace(SMOOTH, age_s=None))[Subject.AGE].severity is Severity.UNKNOWN
    assert judge(flow=None)[Subject.FRAMES].severity is Severity.UNKNOWN


boards = st.builds(
    BoardLook,
    st.sampled_from(["", WELL.model, "Raspberry Pi 3 Model B Plus"]),
    st.none() | st.floats(-60.0, 160.0),
    st.sampled_from([None, True, False]),
    st.none()
    | st.builds(
        Throttle,
        st.frozensets(st.sampled_from(Brake)),
        st.none() | st.frozensets(st.sampled_from(Brake)),
    ),
    st.booleans(),
    st.tuples()
    | st.tuples(
        st.builds(
            BatteryLook,
            st.just("bat0"),
            st.none() | st.integers(0, 100),
            st.none() | st.integers(0, 100),
            st.none() | st.sampled_from(BatteryLevel),
            st.none() | st.sampled_from(BatteryGoing),
        )
    ),
)
places = st.builds(
    PlaceLook,
    st.just(HERE),
    st.sampled_from(Keeping),
    st.just("/dev/mmcblk0p3"),
    st.booleans(),
    st.none() | st.builds(Space, st.integers(0, 10**13), st.none() | st.integers(0, 10**6)),
    st.booleans(),
)
share = st.floats(0.0, 1.0)
flows = st.none() | st.builds(
    lambda rate, passed, damaged, age_s: Flow(rate, passed * (1.0 - damaged), damaged, age_s),
    st.floats(0.1, 240.0),
    share,
    share,
    st.none() | st.floats(0.0, 99.0),
)


@given(boards, places, flows, st.integers(0, 10**6))
def test_everything_has_a_condition_in_plain_words_and_what_matters_a_remedy(
    board, place, flow, dips
):
    before = dict.fromkeys(product(Subject, ["", str(HERE)]), Severity.ALARM)
    for made in (judge(board, place, flow, dips=dips), judge(board, place, flow, before, dips)):
        assert list(made) == (list(Subject) if board.batteries else WITHOUT)
        for each in made.values():
            assert each.words
            assert not each.words.endswith(".")
            if each.severity >= Severity.WARNING:
                assert each.remedy
                assert bool(each.name) is (each.severity is Severity.ALARM)
                assert ": " in each.line
                assert len(each.line) <= LONGEST_LINE
                assert len(each.line_after) <= LONGEST_LINE


def battery(*how):
    return judge(replace(WELL, batteries=(BatteryLook("bat0", *how),)))[Subject.BATTERY]


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ((73, None, None, BatteryGoing.DISCHARGING), "73 %, in use"),
        ((73, 5, None, BatteryGoing.CHARGING), "73 ±5 %, charging"),
        ((100, None, None, BatteryGoing.FULL), "100 %, full"),
        ((None, None, None, None), "charge not known"),
        # What its driver calls low while it is being charged is being seen to.
        ((4, None, BatteryLevel.CRITICAL, BatteryGoing.CHARGING), "4 %, charging"),
    ],
)
def test_a_battery_says_its_charge_and_what_it_does(how, words):
    found = battery(*how)
    assert (found.severity, found.words, found.where) == (Severity.FINE, words, "bat0")


def test_a_battery_is_low_where_its_own_driver_says_so():
    low = battery(12, None, BatteryLevel.LOW, BatteryGoing.DISCHARGING)
    assert (low.severity, low.line) == (
        Severity.WARNING,
        "battery low (12 %): charge or change it",
    )
    empty = battery(3, 10, BatteryLevel.CRITICAL, None)
    assert (empty.severity, empty.name) == (Severity.ALARM, "BATTERY EMPTY")
    assert "±10 %" in empty.line
    assert len(empty.line) <= LONGEST_LINE
    assert "maker" in empty.remedy
    assert battery(1).severity is Severity.FINE  # nobody has judged it
