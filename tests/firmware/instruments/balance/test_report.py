"""The balance view on the bench: off, advice, dial, in tolerance."""

import pytest

from firmware.instruments.balance.instrument import Balance, BalanceView
from firmware.instruments.balance.report import balance_report
from overlays.draw.moment.report import Tone
from overlays.measure.spot.spot import SpotPlace

LIGHT = ",kelvin=3200,tint=5"


def reported(scene):
    balance = Balance()
    return balance_report(balance.measure(scene, BalanceView(), balance.memory()))


def test_the_walk_from_wrong_to_right(scene):
    first = reported(scene(f"{LIGHT},dial=5600", dial=5600.0))
    assert first.main == "3200"
    assert first.beside.endswith("·  tint 5 towards magenta")
    assert "tint 5 towards magenta" in first.words
    assert first.rows[0].value == "5600 K"
    assert first.rows[0].is_chosen
    second = reported(scene(f"{LIGHT},dial=3200,dial-tint=5", dial=3200.0))
    assert second.main == "OK"
    assert "in tolerance" in second.words


def test_how_far_from_the_black_body_is_a_row_in_thousandths(scene):
    balance = Balance()
    answer = balance.measure(
        scene(f"{LIGHT},dial=5600", dial=5600.0), BalanceView(), balance.memory()
    )
    (row,) = [each for each in balance_report(answer).rows if each.label == "Duv, 0.001"]
    value, _, half = row.value.partition(" ±")
    assert float(value.replace("−", "-")) == pytest.approx(1000.0 * answer.reading.duv, abs=0.051)
    assert float(half) == pytest.approx(1000.0 * answer.reading.duv_pm, abs=0.051)


def test_without_a_dial_it_is_asked_for(scene):
    asked = reported(scene(",kelvin=3200,dial=5600"))
    assert asked.main == "off"
    assert asked.rows[0].value == "not known"
    assert asked.words.endswith("say what the camera's balance is set to")


def test_a_refusal_is_alarming_and_leaves_no_number(scene):
    refused = reported(scene(",exposure=5"))
    assert refused.tone is Tone.ALARM
    assert "clipped" in refused.words
    assert refused.rows == ()


def test_a_spot_that_cannot_be_read_has_a_sentence(scene):
    outside = reported(scene(place=SpotPlace(2, 2, 24), spot=None))
    assert outside.tone is Tone.ALARM
    assert "outside the 960x540 picture" in outside.words
    assert outside.main == "– –"
