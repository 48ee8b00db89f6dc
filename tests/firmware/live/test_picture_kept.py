from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from firmware.kept.document import KeptPicture
from firmware.live.picture_kept import kept_picture, shown_again
from overlays.draw.layout.monitor import PLAIN, TIMES, Monitor, ViewTransform

monitors = st.builds(
    Monitor,
    transform=st.sampled_from(ViewTransform),
    stop_map=st.booleans(),
    flipped=st.booleans(),
    mirrored=st.booleans(),
    factor=st.none() | st.integers(0, 3),
    frame=st.none() | st.integers(0, 2),
    times=st.sampled_from(TIMES),
)


@given(monitors)
def test_what_was_set_comes_back_through_the_file(monitor):
    written = kept_picture(monitor).model_dump_json()
    assert shown_again(PLAIN, KeptPicture.model_validate_json(written)) == monitor


def test_what_is_not_there_any_more_is_as_usual():
    kept = kept_picture(Monitor(factor=3, frame=2, times=4))
    strange = kept.model_copy(update={"transform": "GONE", "times": 3})
    fewer = replace(PLAIN, ratios=(2.0,), factors=(1.5,))
    assert shown_again(fewer, strange) == fewer
    assert shown_again(fewer, None) is fewer
