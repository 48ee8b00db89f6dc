"""`expose` on the bench: what it advises is then set on the bench and read again."""

import pytest

from firmware.actions import Press
from firmware.errors import QuantityError
from firmware.instruments.advice.camera_standing import next_chosen, standing_of
from firmware.instruments.advice.instrument import INSTRUMENT
from firmware.instruments.contract import Around
from firmware.instruments.desk import Desk
from tests.asking import asked, printed
from tests.firmware.instruments.advice.test_camera_standing import BARE, KIT, STANDING, steps

BENCH = "bench:size=640x360,cloud=0,signal=yuv422-10"


def advised(exposure=0.0, extra="", **how):
    return asked("expose", feed=f"{BENCH},exposure={exposure}{extra}", **how)


def test_the_keys_of_the_object():
    found = advised(1.0, iso="800", aperture="5.6")
    assert list(found) == [
        "schema",
        "feed",
        "profile",
        "spot",
        "target",
        "off_stops",
        "pm",
        "moves",
        "together",
        "advice",
        "forecast",
        "warnings",
    ]
    assert {"control", "from", "to", "steps", "residual_stops"} <= set(found["moves"][0])
    assert {"brightest", "darkest", "clips"} <= set(found["forecast"])


@pytest.mark.parametrize("exposure", [-2.6, -0.7, 0.4, 1.9])
def test_each_move_followed_on_the_bench_lands_where_it_says(exposure):
    found = advised(exposure, iso="800", aperture="5.6", nd="0.9", shutter="1/50", mains="50 Hz")
    assert found["off_stops"] == pytest.approx(exposure, abs=0.01)
    assert found["moves"]
    for move in found["moves"]:
        again = advised(exposure + move["change_stops"])
        assert again["off_stops"] == pytest.approx(move["residual_stops"], abs=0.01)
    best = found["moves"][0]
    assert abs(best["residual_stops"]) <= 1 / 6 + 0.03


def test_the_forecast_is_what_the_bench_then_reads():
    found = advised(-3.0, ",curve=V-Log,clip=9", aperture="5.6")
    move, forecast = found["moves"][0], found["forecast"]
    assert forecast["change_stops"] == pytest.approx(move["change_stops"])
    after = advised(-3.0 + move["change_stops"], ",curve=V-Log,clip=9,seed=4")
    again = after["forecast"]  # of no move: what is there now
    assert again["change_stops"] == pytest.approx(0.0, abs=0.2)
    assert forecast["darkest"] == pytest.approx(again["darkest"], abs=forecast["darkest_pm"] + 0.05)


def test_a_target_in_percent():
    found = advised(0.0, target="50 %", iso="800")
    after = advised(-found["off_stops"])
    assert after["spot"]["percent"] == pytest.approx(50.0, abs=0.1)


def test_on_target_there_is_nothing_to_do():
    found = advised(0.05, iso="800")
    assert found["moves"] == []
    assert found["advice"].startswith("leave it")
    assert found["forecast"]["change_stops"] == 0.0


def test_without_settings_the_missing_light_is_said():
    found = advised(-1.5)
    assert found["moves"] == []
    assert "more light" in found["advice"]
    assert found["forecast"]["change_stops"] == pytest.approx(1.5, abs=0.01)


def test_a_clipped_card_has_no_number():
    found = advised(3.5, iso="800")
    assert found["off_stops"] is None
    assert found["moves"] == []
    assert any("clipped" in each for each in found["warnings"])


def test_limits_of_the_profile_hold(tmp_path):
    kit = tmp_path / "kit.toml"
    kit.write_text(
        'curve = "BT.709"\n[camera]\nmains = "50 Hz"\n'
        "iso = {now = 800, lowest = 800, highest = 800}\n"
        "aperture = {now = 4, only = [2.8, 4, 5.6]}\n"
        'shutter = {now = "180 deg"}\n'
    )
    found = advised(2.3, profile=str(kit))
    moves = {move["control"]: move for move in found["moves"]}
    assert moves["aperture"]["to"] == 5.6
    assert moves["aperture"]["residual_stops"] == pytest.approx(1.3, abs=0.01)
    assert "iso" not in moves
    assert moves["shutter"]["to"] == "90 deg"
    assert any("motion" in note for note in moves["shutter"]["notes"])
    assert [move["control"] for move in found["together"]] == ["aperture", "shutter"]
    assert abs(found["together"][-1]["residual_stops"]) < 0.5


def test_for_a_person():
    text = printed("expose", feed=f"{BENCH},exposure=1", aperture="4")
    assert "too bright" in text
    assert "Close to f/5.6 (3 steps from f/4); then it is on target." in text
    assert "Brightest then" in text


def test_what_is_no_setting_is_refused():
    with pytest.raises(QuantityError, match="no speed"):
        advised(iso="quick")
    with pytest.raises(QuantityError, match="unit"):
        advised(target="40")


def test_a_clip_that_was_found_is_not_called_a_guess():
    note = "the profile gives no clip"
    how = {"profile": "log-v", "aperture": "4"}
    found = asked("expose", feed="bench:curve=V-Log,signal=yuv422-10,exposure=-0.7", **how)
    assert any("found from the picture" in each for each in found["warnings"])
    assert not any(note in each for each in found["warnings"])
    dark = asked("expose", feed="bench:curve=V-Log,signal=yuv422-10,exposure=-5", **how)
    assert any(note in each for each in dark["warnings"])


def test_where_the_camera_was_said_to_stand_outlives_a_power_cut():
    moved = steps(next_chosen(STANDING), 2)
    assert moved != STANDING
    assert INSTRUMENT.with_kept(STANDING, INSTRUMENT.kept(moved)) == moved


@pytest.mark.parametrize(("press", "count"), [(Press.STRIPE_UP, 1), (Press.STRIPE_DOWN, -1)])
def test_a_press_takes_the_chosen_control_to_its_next_setting(press, count):
    around = Around(Desk(), KIT, 1920)
    assert INSTRUMENT.pressed(STANDING, press, around) == (steps(STANDING, count), around.desk)
    assert steps(STANDING, count) != STANDING
    assert INSTRUMENT.pressed(standing_of(BARE, 25.0), press, around) is None
