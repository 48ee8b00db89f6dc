"""Steps that were mis-set, on brackets of every published curve: named, or held in doubt."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.measure.characterise.bracket_steps import Step, laid, value_of
from overlays.measure.characterise.misset import (
    FEWEST_STEPS,
    Laid,
    beyond,
    off_neighbours,
    suspects,
)
from overlays.measure.feedcheck.readings import CodeReading
from overlays.signal.carried import CarriedCurve
from overlays.signal.levels import luma_scale
from overlays.signal.published import published_curves
from overlays.signal.signal import Range, Signal

SIGNAL = Signal(10)
CLIP_STOPS = 5.0


def bracket(curve, step, off):
    """Steps from -7 stops up to the clip; `off` says by place how far one was mis-set."""
    carried, scale = CarriedCurve(curve, curve.carriage, Range.LIMITED), luma_scale(SIGNAL)

    def code(stops):
        nominal = float(carried.nominal(0.18 * 2.0**stops))
        return float(np.clip(np.rint(scale.zero + scale.span * nominal), 4, 1019))

    clip = code(CLIP_STOPS)
    out = []
    for place in range(round(10.0 / step) + 1):
        stops = -7.0 + place * step
        reading = CodeReading(code(stops + off.get(place, 0.0)), 0.5)
        if reading.code < clip - 2.0:
            out.append(Step(stops, reading, value_of(reading.code, SIGNAL)))
    return laid(out, SIGNAL)


def counted(step, offs):
    """How often the culprits were named, held in doubt or not seen, and innocents named."""
    counts: Counter[str] = Counter()
    for curve in published_curves():
        for off in offs:
            steps = bracket(curve, step, off)
            found = suspects(steps)
            culprits = {place for place in off if place < len(steps.stops)}
            counts["innocent named"] += bool(found.named - culprits)
            if culprits:
                seen = "named" if culprits <= found.named else "in doubt"
                counts[seen if culprits <= found.every else "not seen"] += 1
            else:
                counts["false"] += bool(found.every)
    return counts


@pytest.mark.parametrize("step", [1.0, 0.5, 1.0 / 3.0])
def test_a_right_bracket_of_every_curve_has_no_suspects(step):
    assert counted(step, [{}])["false"] == 0


@pytest.mark.parametrize("by", [0.5, -0.5, 1.0 / 3.0])
def test_whole_stops_never_blame_an_innocent(by):
    """28 of 208 did where the step without which the others fit best was taken for it."""
    counts = counted(1.0, [{place: by} for place in range(2, 10)])
    assert counts["innocent named"] == 0
    assert counts["not seen"] <= 10  # at the bright end of gammas half a stop is no kink
    assert counts["named"] + counts["in doubt"] >= 197


@pytest.mark.parametrize(("by", "named"), [(0.5, 0.9), (1.0 / 3.0, 0.9), (0.2, 0.85)])
def test_third_stops_name_the_step(by, named):
    counts = counted(1.0 / 3.0, [{place: by} for place in (8, 15, 22)])
    assert counts["innocent named"] == 0
    assert counts["named"] >= named * 78
    assert counts["not seen"] <= (1 if by > 0.3 else 10)  # 0.2 stop is hardly more than a step may


def test_two_that_were_mis_set_are_named_or_in_doubt():
    counts = counted(1.0 / 3.0, [{10: 0.5, 13: -0.4}])
    assert counts["innocent named"] == 0
    assert counts["not seen"] == 0
    assert counts["named"] >= 20


@given(st.data())
def test_any_steps_have_suspects_within_them(data):
    count = data.draw(st.integers(FEWEST_STEPS, 14))
    numbers = st.floats(-1.0, 2.0)
    values = np.array(data.draw(st.lists(numbers, min_size=count, max_size=count)))
    widths = np.abs(np.array(data.draw(st.lists(numbers, min_size=count, max_size=count))))
    steps = Laid(np.arange(float(count)), values, widths)
    found = suspects(steps)
    assert found.every <= set(range(count))
    assert not found.named & found.doubtful
    assert (beyond(steps) >= 0.0).all()
    assert off_neighbours(steps).shape == (count,)
