"""Steps of the spot stay inside the picture, however small it is."""

from hypothesis import given
from hypothesis import strategies as st

from firmware.instruments.desk import inside
from firmware.live.spot_steps import GROWTH, centred, grown, shifted, stepped
from overlays.measure.spot.spot import SpotPlace

SIZES = st.tuples(st.integers(8, 4000), st.integers(8, 3000))
STEPS = [stepped(1, 0), stepped(0, -1), shifted(-1, 0), shifted(0, 1)]
CHANGES = st.sampled_from([*STEPS, grown(GROWTH), grown(1.0 / GROWTH), centred])


@given(SIZES, st.integers(-50, 4050), st.integers(-50, 3050), st.integers(2, 500), CHANGES)
def test_the_spot_is_always_wholly_inside(size, column, row, edge, change):
    made = change(inside(column, row, edge, *size), size)
    assert isinstance(made, SpotPlace)
    assert made.left >= 0
    assert made.top >= 0
    assert made.left + made.size <= size[0]
    assert made.top + made.size <= size[1]


def test_a_coarse_step_is_a_fortieth_of_the_width_and_a_fine_one_a_pixel():
    spot, size = SpotPlace(960, 540, 48), (1920, 1080)
    assert stepped(1, 0)(spot, size).column == 960 + 48
    assert shifted(0, -1)(spot, size).row == 539
    assert (centred(SpotPlace(5, 5, 4), size).column, centred(spot, size).row) == (960, 540)
    assert grown(GROWTH)(SpotPlace(50, 50, 4), size).size == 6  # where a quarter is no pixel
