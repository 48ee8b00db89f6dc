from itertools import pairwise

import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.errors import FeedOptionError
from firmware.feeds.base import Pace
from firmware.feeds.bench.bench_options import bench_options
from firmware.feeds.bench.faults import Faults, _flatten, comb_table
from firmware.feeds.bench.feed import BenchFeed
from overlays.signal.frame import Frame


def chromas(text):
    """(samples,) of the second plane of one frame."""
    return lumas(text, 1, plane=1)


def lumas(text, count=1, plane=0):
    feed = BenchFeed(f"size=320x180,{text}", clock=HandClock(), pace=Pace.STEP)
    out = []
    for _ in range(count):
        frame = feed.read(1.0)
        assert isinstance(frame, Frame)
        out.append(frame.planes[plane].copy())
        feed.release(frame)
    return out


def test_one_of_so_many_frames_is_sent_again():
    found = lumas("repeats=4", 9)
    same = [np.array_equal(one, two) for one, two in pairwise(found)]
    assert same == [n % 4 == 2 for n in range(8)]
    assert Faults(repeats=4).source(3) == 2
    assert Faults().source(3) == 3


@pytest.mark.parametrize("bits", [8, 10])
def test_a_comb_leaves_as_many_codes_empty_as_the_scales_differ_by(bits):
    table = comb_table(bits)
    assert len(set(table.tolist())) == 219 * 2 ** (bits - 8) + 1
    assert (np.diff(table.astype(int)) >= 0).all()


@pytest.mark.parametrize("signal", ["uyvy", "yuv422-10", "nv12", "rgb"])
@pytest.mark.parametrize(
    "fault", ["comb=yes", "blocks=yes", "bars=2.39", "menu=yes", "zebra=60", "floor=8"]
)
def test_a_fault_changes_the_picture_in_every_layout(signal, fault):
    spoilt, plain = (lumas(f"noise=0,signal={signal}{more}")[0] for more in (f",{fault}", ""))
    assert spoilt.shape == plain.shape
    assert (spoilt != plain).mean() > 0.02


def test_a_blend_is_the_mean_of_the_frames_beside_it_and_none_is_lost():
    plain, sent = lumas("noise=3,cloud=0", 9), lumas("noise=3,cloud=0,blends=3", 9)
    for number, luma in enumerate(sent):
        if number % 3 == 2 and number < 8:
            one, other = sent[number - 1].astype(int), sent[number + 1].astype(int)
            assert np.array_equal(luma, (one + other + 1) >> 1)
            assert not np.array_equal(luma, plain[number])
    # Each picture that is not a blend is a camera's own: two are unlike by noise.
    assert np.array_equal(sent[0], plain[0])
    assert all((one != other).mean() > 0.2 for one, other in pairwise(sent))


@pytest.mark.parametrize("step", [1, 4])
def test_blocks_keep_their_mean_and_lose_half_of_what_differs_from_it(step):
    plane = np.random.default_rng(5).integers(60, 200, (19, 26)).astype(np.uint8)
    before = plane.astype(float)
    _flatten(plane, step)
    for row in (0, 8):
        for column in (0, 8, 16):
            old = before[row : row + 8, column : column + 8]
            new = plane[row : row + 8, column : column + 8].astype(float)
            halved = old.mean() + 0.5 * (old - old.mean())
            assert np.abs(new - halved).max() <= 0.5 * step + 0.5
    assert (plane[16:] == before[16:]).all()  # no whole block
    assert (plane[:, 24:] == before[:, 24:]).all()


def test_stripes_lie_on_what_is_bright_and_a_floor_lifts_what_is_dark():
    plain, striped, lifted = (lumas(f"noise=0{each}")[0] for each in ("", ",zebra=60", ",floor=8"))
    level = round(16 + 2.19 * 60)
    changed = striped != plain
    assert (plain[changed] > level).all()
    assert 0.4 < changed.sum() / (plain > level).sum() < 0.6
    assert lifted.min() == round(16 + 2.19 * 8)
    assert np.array_equal(np.maximum(plain, lifted.min()), lifted)


@pytest.mark.parametrize(("signal", "ends"), [("uyvy", (16, 240)), ("yuv422-10", (64, 960))])
def test_colours_are_raised_and_cut_off_at_the_ends_of_their_range(signal, ends):
    """16 and 240 of 8 bits: ITU-R BT.2100-2 Table 9."""
    plain, raised = (
        chromas(f"noise=0,signal={signal}{more}")[0].astype(int) for more in ("", ",chroma=4")
    )
    middle = sum(ends) // 2
    assert np.array_equal(np.clip(middle + 4 * (plain - middle), *ends), raised)
    assert (raised == ends[0]).any() or (raised == ends[1]).any()


def test_bars_are_black():
    (luma,) = lumas("bars=2.39,noise=1")
    height = int((180 - 320 / 2.39) / 2) // 2 * 2
    assert (luma[:height] == 16).all()
    assert (luma[-height:] == 16).all()
    assert luma[height + 1].std() > 1.0


@pytest.mark.parametrize("text", ["comb=maybe", "repeats=1", "bars=1.2", "menu=3", "zebra=0"])
def test_what_cannot_be_done_is_one_sentence(text):
    with pytest.raises(FeedOptionError, match=text.split("=", maxsplit=1)[0]):
        bench_options(text)
