import numpy as np
import pytest

from overlays.measure.watch.history import History


def filled(history, seconds, value, start=0.0):
    for time in np.arange(start, start + seconds, 0.04):
        history.add(round(time * 1e9), np.full((2, 3), value(time)))


def test_the_newest_stands_last_and_the_oldest_falls_off():
    history = History(2, seconds=10.0, columns=20)
    filled(history, 30.0, lambda time: time)
    stretch = history.stretch(1)
    assert stretch.mean[-1] == pytest.approx(29.75, abs=0.3)
    assert stretch.mean[0] == pytest.approx(20.25, abs=0.3)
    assert stretch.end_ns == 30_000_000_000
    assert stretch.column_ns == 500_000_000
    assert np.all(np.diff(stretch.mean) > 0.0)


def test_a_column_keeps_its_extremes():
    history = History(2, seconds=10.0, columns=10)
    filled(history, 3.0, lambda time: 1.0 if 1.2 < time < 1.3 else 0.0)
    stretch = history.stretch(0, 2)
    place = -2  # the column of 1 s to 2 s
    assert stretch.highest[place] == 1.0
    assert stretch.lowest[place] == 0.0
    assert 0.0 < stretch.mean[place] < 0.2
    assert np.isnan(stretch.mean[0])


def test_a_gap_is_empty():
    history = History(2, seconds=10.0, columns=10)
    filled(history, 2.0, lambda _: 1.0)
    filled(history, 2.0, lambda _: 2.0, start=6.0)
    mean = history.stretch(0).mean
    assert np.isnan(mean[[-3, -4]]).all()
    assert mean[-1] == 2.0
    assert mean[-7] == 1.0


def test_unknown_values_do_not_count():
    history = History(1, seconds=10.0, columns=10)
    assert history.stretch(0) is None
    history.add(0, np.array([[1.0, np.nan, np.nan]]))
    history.add(1, np.array([[np.nan, np.nan, np.nan]]))
    assert history.stretch(0).mean[-1] == 1.0
    assert np.isnan(history.stretch(0, 1).mean[-1])


def test_a_long_gap_clears_all():
    history = History(2, seconds=10.0, columns=10)
    filled(history, 5.0, lambda _: 1.0)
    filled(history, 0.1, lambda _: 3.0, start=500.0)
    mean = history.stretch(0).mean
    assert mean[-1] == 3.0
    assert np.isnan(mean[:-1]).all()
