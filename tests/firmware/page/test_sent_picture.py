"""Pictures for a phone."""

import io
from dataclasses import replace

import av
import numpy as np
import pytest

from firmware.page.sent_picture import MOST, Pictures


def decoded(data, form):
    with av.open(io.BytesIO(data), "r") as file:
        return next(file.decode(video=0)).to_ndarray(format=form)


def test_the_picture_is_the_frames_in_its_shape(taken):
    rgb = decoded(Pictures().picture(replace(taken, bands=())), "rgb24")
    assert rgb.shape == (180, 320, 3)
    # The grey card in the middle, by its own codes: luma 16..235 onto 0..255 (BT.709, BT.1886).
    luma = taken.frame.planes[0][80:100, 150:170].astype(float)
    assert rgb[80:100, 150:170].mean() == pytest.approx((luma.mean() - 16) / 219 * 255, abs=3)


def test_a_large_picture_is_scaled_to_what_a_phone_shows(taken):
    frame = taken.frame
    planes = tuple(np.kron(plane, np.ones((6, 6), plane.dtype)) for plane in frame.planes)
    rgb = decoded(Pictures().picture(replace(taken, frame=replace(frame, planes=planes))), "rgb24")
    assert rgb.shape[:2] == MOST[::-1]


@pytest.mark.parametrize(
    ("columns", "rows", "sent"), [(2048, 858, (268, 640)), (858, 2048, (360, 150))]
)
def test_a_wide_and_a_tall_picture_find_room(taken, columns, rows, sent):
    frame = taken.frame
    grey = np.full((rows, columns), 128, frame.planes[0].dtype)
    half = grey[:, ::2] if frame.planes[1].shape[1] < frame.columns else grey
    large = replace(frame, planes=(grey, half, half))
    rgb = decoded(Pictures().picture(replace(taken, frame=large)), "rgb24")
    assert rgb.shape[:2] == sent


def test_stripes_are_on_it(taken):
    with_them = decoded(Pictures().picture(taken), "rgb24").astype(int)
    without = decoded(Pictures().picture(replace(taken, bands=())), "rgb24")
    assert taken.bands
    assert (abs(with_them - without).max(axis=-1) > 60).mean() > 0.005


def test_the_trace_has_its_lowest_level_at_the_foot(taken):
    shades = decoded(Pictures.trace(taken), "gray")
    rows = np.flatnonzero(shades.max(axis=1))
    levels = np.flatnonzero(taken.census.levels.sum(axis=0))
    high = taken.census.levels.shape[1]
    assert rows[0] / shades.shape[0] == pytest.approx(1 - levels[-1] / high, abs=0.02)
    assert rows[-1] / shades.shape[0] == pytest.approx(1 - levels[0] / high, abs=0.02)


def test_chroma_has_blue_to_the_right_and_red_upwards(taken):
    chroma = np.zeros((256, 256), np.uint32)
    chroma[230, 128] = chroma[128, 200] = 9  # (Cb, Cr): far blue; some red
    census = replace(taken.census, chroma=chroma)
    shades = decoded(Pictures.chroma(replace(taken, census=census)), "gray")
    assert set(map(tuple, np.argwhere(shades))) == {(63, 115), (27, 64)}


def test_where_no_chroma_is_counted_there_is_no_picture_of_it(taken):
    census = replace(taken.census, chroma=None)
    assert Pictures.chroma(replace(taken, census=census)) == b""
