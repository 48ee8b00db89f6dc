"""Made triples: the truth is never given up, and never is anything else called certain."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.measure.feedcheck.delivery import Delivery, deliveries
from overlays.measure.feedcheck.readings import CodeReading, What
from overlays.measure.feedcheck.tolerances import CARD_STOPS, Tolerances
from overlays.measure.feedcheck.verdict import Sureness, check_feed
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.signal import Range
from tests.bench.feed_checks import judged_systematically, judged_triples
from tests.made_feeds import Way, means_of, readings_of, set_up

EVERY = deliveries()
NOW = Delivery(published_curve("BT.709"), Carriage.NARROW, Range.LIMITED)


@pytest.mark.parametrize("bits", [8, 10])
def test_no_wrong_verdict_is_certain_and_the_truth_is_always_possible(bits):
    """Of every range and carriage, white and blurred noise, cards 5 % off and metered to 0.1 st."""
    tally = judged_triples(110, seed=bits, bits=bits)
    assert tally.wrong_and_certain == 0
    assert tally.lost == 0
    assert tally.certain > 0.03 * tally.judged
    assert tally.certain_with_more > 2 * tally.certain


@pytest.mark.parametrize("card_stops", [0.07, CARD_STOPS])
@pytest.mark.parametrize("bits", [8, 10])
def test_of_5616_triples_none_is_wrong_and_certain(bits, card_stops):
    """Every curve, carriage and range, three noises, free and blurred: a quarter of them here.

    By plain means of made codes; the bench does the same with frames that are read.
    """
    tally = judged_systematically(bits, bits, card_stops, means_of)
    assert tally.judged == 1404
    assert tally.wrong_and_certain == 0
    assert tally.lost == 0
    assert tally.certain > 0.08 * tally.judged
    assert tally.certain_with_more > 0.7 * tally.judged


def triple(curve, carriage, levels, bits=10, **lights):
    rng = np.random.default_rng(5)
    way = Way(bits, carriage, levels)
    wanted = {**set_up(rng, way, curve, 0.0), **lights}
    found = readings_of(curve, way, wanted, rng)
    return {what: found[what] for what in (What.CAP, What.CARD, What.CLIP)}, found


def test_what_is_read_as_it_is_is_possible_and_named_as_it_is_read():
    _, readings = triple("BT.709", Carriage.NARROW, Range.LIMITED, 10)
    found = check_feed(readings, 10, NOW)
    assert found.is_certain
    assert found.chosen == NOW
    assert found.hypotheses[0].possible
    assert sum(each.probability for each in found.hypotheses) <= 1.0 + 1e-9


@pytest.mark.parametrize(
    ("levels", "black", "white"),
    [
        # sipeed/NanoKVM issue 101: black 30, white 218 of 8 bits.
        (Range.SQUEEZED, 29.7, 217.8),
        (Range.FULL, 0.0, 255.0),
    ],
)
def test_a_standard_feed_of_another_range_is_found(levels, black, white):
    curve = published_curve("BT.709")
    grey = black + (white - black) * float(curve.encode(0.18))
    readings = {
        What.CAP: CodeReading(black, 0.3),
        What.CARD: CodeReading(grey, 0.3),
        What.CLIP: CodeReading(white, 1.0),
        What.WHITE: CodeReading(black + (white - black) * float(curve.encode(0.9)), 0.3),
        What.DARK: CodeReading(black + (white - black) * float(curve.encode(0.18 / 16)), 0.3),
    }
    found = check_feed(readings, 8, NOW)
    assert any(each.curve == curve and each.range is levels for each in found.groups[0])
    assert not any(each == NOW for group in found.groups for each in group)
    assert found.chosen is not None
    assert (found.chosen.range, found.chosen.carriage) == (levels, Carriage.NARROW)


def test_curves_that_share_black_and_grey_are_tied_and_the_white_chip_is_asked_for():
    """Canon Log and Canon Log 3 both have codes 128 and 351 (tests/reference/curves.csv)."""
    readings, more = triple("Canon Log", Carriage.FULL, Range.LIMITED)
    found = check_feed(readings, 10, NOW)
    assert found.standing is Sureness.TIED
    names = {group[0].curve.name for group in found.groups}
    assert {"Canon Log", "Canon Log 3"} <= names
    assert found.ask is What.WHITE
    with_white = check_feed({**readings, What.WHITE: more[What.WHITE]}, 10, NOW)
    assert "Canon Log 3" not in {group[0].curve.name for group in with_white.groups}


def test_a_card_that_may_be_farther_off_leaves_more_possible():
    readings, _ = triple("S-Log3", Carriage.FULL, Range.LIMITED)
    counts = [len(check_feed(readings, 10, NOW, Tolerances(t)).groups) for t in (0.02, 0.1, 0.5)]
    assert counts == sorted(counts)
    assert counts[0] < counts[2]


def test_what_nothing_explains_is_said_to_be_unexplained():
    found = check_feed(
        {
            What.CAP: CodeReading(300.0, 0.5),
            What.CARD: CodeReading(310.0, 0.5),
            What.CLIP: CodeReading(320.0, 1.0),
        },
        10,
        NOW,
    )
    assert found.standing is Sureness.UNEXPLAINED
    assert found.chosen is None
    assert found.ask is None
    assert not any(each.possible for each in found.hypotheses)


def test_a_coloured_card_makes_nothing_certain():
    readings, _ = triple("BT.709", Carriage.NARROW, Range.LIMITED, 10)
    card = readings[What.CARD]
    coloured = {**readings, What.CARD: CodeReading(card.code, card.code_pm, card.noise, False)}
    assert check_feed(coloured, 10, NOW).standing is Sureness.COLOURED


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(EVERY),
    st.sampled_from([8, 10]),
    st.floats(-CARD_STOPS, CARD_STOPS),
    st.floats(0.02, 0.5),
)
def test_readings_within_what_is_stated_never_rule_their_truth_out(truth, bits, off, pm):
    def code(linear):
        return float(truth.codes(np.array([linear]), bits)[0])

    light = 0.18 * 2.0**off
    readings = {
        What.CAP: CodeReading(code(0.0), pm),
        What.CARD: CodeReading(code(light), pm),
        What.CLIP: CodeReading(code(0.18 * 2.0**3.0), 1.0),
    }
    found = check_feed(readings, bits, NOW)
    assert any(truth in group for group in found.groups)
    if found.is_certain:
        assert found.chosen is not None
        assert found.chosen.alike == truth.alike
