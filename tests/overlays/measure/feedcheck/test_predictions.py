import numpy as np

from overlays.measure.feedcheck.predictions import CARD_STEPS, predictions
from overlays.measure.feedcheck.tolerances import CARD_STOPS
from overlays.signal.signal import Range


def test_bounds_hold_what_they_are_around():
    for bits in (8, 10, 12):
        found = predictions(bits, CARD_STOPS)
        assert found.card.shape == (len(found.hypotheses), CARD_STEPS)
        assert (found.cap[0] <= found.black).all()
        assert (found.black <= found.cap[1]).all()
        assert (found.card[:, 0] <= found.grey).all()
        assert (found.grey <= found.card[:, -1]).all()
        assert (found.white[0] <= found.white[1]).all()
        assert (found.dark[1] <= found.card + 1e-9).all()
        for each in (found.card, found.cap[0], found.white[1], found.clip[1]):
            assert np.isfinite(each).all()


def test_only_what_was_made_of_a_link_was_rounded_before():
    found = predictions(8, CARD_STOPS)
    for each, rounding in zip(found.hypotheses, found.rounding, strict=True):
        plain = each.range in {Range.LIMITED, Range.FULL}
        assert bool(rounding == 0.0) is plain
        assert rounding <= 1.2
