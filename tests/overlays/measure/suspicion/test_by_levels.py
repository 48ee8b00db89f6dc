"""Signs in counts: made faults fire, ordinary pictures and those of known truth stay silent."""

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.feeds.base import Pace
from firmware.opening.overrides import Overrides
from firmware.opening.session import open_session
from overlays.measure.counting.census import Census, Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.suspicion.bottom import flat_bottom
from overlays.measure.suspicion.burnt_in import drawn_stripes
from overlays.measure.suspicion.by_levels import _chroma, by_levels
from overlays.measure.suspicion.by_picture import by_picture, standing
from overlays.measure.suspicion.comb import teeth
from overlays.measure.suspicion.suspected import Sign
from overlays.signal.example_frames import grey_frame
from overlays.signal.frame import Frame
from overlays.signal.levels import luma_scale
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal
from tests.ordinary import BENCH, pictures

NONE = Overrides()
NO_LEVELS, NO_COLUMNS = np.zeros((0, 256), np.uint16), np.zeros(0, np.uint64)


def signs_of(feed, profile=None, overrides=NONE):
    """Signs in the first frame of a feed, and in the second against it where there is one."""
    session = open_session(feed, profile, overrides, clock=HandClock(), pace=Pace.STEP)
    read = session.read_with()
    frame = session.feed.read(1.0)
    assert isinstance(frame, Frame)
    frame = read.frame(frame)
    yard = read.yardstick(frame.signal, frame.shift)
    census = take_census(frame, yard, Wants.LEVELS | Wants.CHROMA)
    found = [*by_levels(census, yard), *by_picture(frame), *in_little(session.feed, frame, yard)]
    session.feed.close()
    for each in found:
        assert 0.0 <= each.share <= 1.0
        assert 0.0 < each.share_pm < 1.0
    return {each.sign for each in found}


def in_little(feed, frame, yard):
    """Stripes, a flat bottom and signs that stand still, as a running feed looks for them."""
    scale, stored = luma_scale(frame.signal), 1 << frame.shift
    thin, span = frame.planes[0][::2, ::2].copy(), scale.span * stored
    found, following = [drawn_stripes(thin, span)], feed.read(1.0)
    if isinstance(following, Frame):
        now = following.planes[0][::2, ::2]
        black = scale.zero * stored + span * float(yard.carried.nominal(0.0))
        found += [flat_bottom(thin, now, black, span), standing(thin, now, span)]
    return [each for each in found if each is not None]


@pytest.mark.parametrize(
    ("fault", "sign"),
    [
        ("range=full,says=limited", Sign.RESERVED),
        ("range=squeezed", Sign.SQUEEZED),
        ("range=squeezed-twice", Sign.SQUEEZED),
        ("comb=yes", Sign.COMB),
        ("chroma=3", Sign.CHROMA),
        ("chroma=3,signal=yuv422-10", Sign.CHROMA),
        ("zebra=70", Sign.STRIPES),
        ("floor=10", Sign.FLOOR),
        ("curve=V-Log,look=BT.709", Sign.BELOW_LOG),
        ("curve=BT.709,look=S-Log3", Sign.LOG),
        ("curve=BT.709,look=V-Log", Sign.LOG),
    ],
)
def test_a_made_fault_fires(fault, sign):
    assert sign in signs_of(f"bench:{fault}")


@pytest.mark.parametrize("options", BENCH)
def test_ordinary_scenes_of_the_bench_are_not_suspected(options):
    assert signs_of(f"bench:{options}") == set()


@pytest.mark.parametrize(("feed", "profile"), pictures())
def test_pictures_of_known_truth_are_not_suspected(feed, profile):
    overrides = NONE if profile is None else Overrides(range=Range.LIMITED)
    assert signs_of(feed, profile, overrides) == set()


@pytest.mark.parametrize(("last", "before"), [(240, 239), (16, 17)])
@pytest.mark.parametrize("axis", [0, 1])
def test_colours_are_cut_off_where_the_last_code_has_five_times_what_is_before_it(
    last, before, axis
):
    for pile, expected in ((500, []), (501, [Sign.CHROMA])):
        plane = np.zeros(256, np.int64)
        plane[128], plane[before], plane[last] = 10_000, 100, pile
        chroma = np.zeros((256, 256), np.uint32)
        chroma[(slice(None), 128) if axis == 0 else 128] = plane
        found = _chroma(Census(8, 1, 1, NO_LEVELS, NO_COLUMNS, chroma), Signal(8))
        assert [each.sign for each in filter(None, [found])] == expected


@pytest.mark.parametrize("bits", [8, 10])
def test_teeth_are_those_of_the_two_scales(bits):
    """As many codes as full range has more than limited: 255 to 219 steps of 8 bits."""
    doubled, empty = teeth(bits)
    step = 2 ** (bits - 8)
    more = (2**bits - 1) - 219 * step
    assert len(doubled) == len(empty) == more
    assert set(np.diff(empty)) <= {6, 7, 8}
    assert doubled.min() >= 16 * step
    assert doubled.max() <= 235 * step


@pytest.mark.parametrize(
    ("darkest", "is_said"), [(2.0, False), (3.0, True), (7.3, True), (9.5, True), (11.0, False)]
)
def test_a_picture_looks_like_log_where_it_ends_at_the_black_of_a_published_one(darkest, is_said):
    """They have it from 3 % (S-Log3, 3.5) to 9.3 % (LogC3, narrow): tests/reference/curves.csv."""
    codes = np.rint(64.0 + 8.76 * np.linspace(darkest + 6.0, 80.0, 256)).astype(int).reshape(16, 16)
    codes[:4] = round(64.0 + 8.76 * darkest)
    frame = grey_frame(codes.tolist(), cell=16)
    yard = yardstick(frame.signal, published_curve("BT.709"))
    census = take_census(frame, yard, Wants.LEVELS | Wants.CHROMA)
    assert (Sign.LOG in {each.sign for each in by_levels(census, yard)}) is is_said
