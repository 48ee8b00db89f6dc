import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.errors import FeedOptionError
from firmware.feeds.bench.bench_options import BenchOptions, bench_options
from overlays.signal.levels import Carriage
from overlays.signal.signal import Components, Matrix, Range, Subsampling


def test_nothing_asked_for_is_all_defaults():
    assert bench_options("") == BenchOptions()
    assert bench_options("").signal.range is Range.LIMITED


def test_every_option_is_understood():
    got = bench_options(
        "exposure=-1.5, kelvin=3200,tint=-3,dial=4300,noise=2,cloud=0,clip=5.5,curve=s-log3,"
        "carriage=narrow,signal=yuv420-12,range=FULL,matrix=bt.2020,size=1280X720,rate=59.94,seed=9"
    )
    assert (got.exposure_stops, got.kelvin, got.tint_thousandths) == (-1.5, 3200.0, -3.0)
    assert (got.dial_kelvin, got.noise, got.cloud, got.clip_stops) == (4300.0, 2.0, 0.0, 5.5)
    assert (got.curve.name, got.carriage) == ("S-Log3", Carriage.NARROW)
    assert (got.columns, got.rows, got.rate, got.seed) == (1280, 720, 59.94, 9)
    signal = got.signal
    assert (signal.bits, signal.range, signal.matrix) == (12, Range.FULL, Matrix.BT2020)
    assert (signal.components, signal.subsampling) == (Components.YCBCR, Subsampling.S420)


def test_the_camera_can_be_dialled_in_two_ways_and_set_to_a_gamut():
    got = bench_options("dial=3200,dial-tint=-4,gamut=v-gamut")
    assert (got.dial_kelvin, got.dial_tint_thousandths, got.gamut.name) == (3200.0, -4.0, "V-Gamut")
    assert bench_options("").gamut.name == "BT.709"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("exposre=1", "did you mean exposure"),
        ("colour=red", "the options are exposure, kelvin"),
        ("exposure", "no value"),
        ("exposure=", "no value"),
        ("exposure=bright", "from -12 to 12 stops"),
        ("exposure=nan", "from -12 to 12 stops"),
        ("exposure=inf", "from -12 to 12 stops"),
        ("kelvin=1000", "from 2000 to 12000 K"),
        ("dial-tint=99", "from -30 to 30 thousandths"),
        ("gamut=V-Gamot", "did you mean V-Gamut"),
        ("noise=-1", "from 0 to 8"),
        ("curve=S-Log4", "did you mean S-Log"),
        ("carriage=wide", "one of full, narrow"),
        ("range=video", "one of limited, full"),
        ("matrix=709", "one of BT.709, BT.601, BT.2020"),
        ("signal=v210", "one of uyvy, yuyv, nv12, yuv420, yuv422, yuv444, rgb"),
        ("signal=uyvy-10", "uyvy carries 8 bits"),
        ("signal=rgb-", "rgb carries 8, 10, 12, 16 bits"),
        ("signal=rgb-11", "rgb carries 8, 10, 12, 16 bits"),
        ("size=1920", "width x height"),
        ("size=1x1", "64x36"),
        ("size=99999x99999", "4096x2304"),
        ("size=720x1280", "at least as wide as high"),
        ("size=-64x36", "width x height"),
        ("rate=0", "from 0.5 to 240"),
        ("kelvin=2000,tint=30", "outside the BT.709 primaries"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(text, says):
    with pytest.raises(FeedOptionError) as fault:
        bench_options(text)
    assert says in str(fault.value)
    assert str(fault.value).startswith("bench: ")
    assert "\n" not in str(fault.value)


@given(st.text(max_size=40))
def test_whatever_is_written_is_options_or_one_fault(text):
    with contextlib.suppress(FeedOptionError):
        assert isinstance(bench_options(text), BenchOptions)


def test_what_it_claims_may_differ_from_what_it_sends():
    honest = bench_options("range=full,matrix=BT.601")
    assert honest.claimed == honest.signal
    squeezed = bench_options("range=squeezed")
    assert squeezed.signal.range is Range.SQUEEZED
    assert squeezed.claimed.range is Range.LIMITED
    lying = bench_options("range=full,says=limited,matrix=BT.601,says=BT.709,look=V-Log")
    assert (lying.claimed.range, lying.claimed.matrix) == (Range.LIMITED, Matrix.BT709)
    assert (lying.signal.range, lying.signal.matrix) == (Range.FULL, Matrix.BT601)
    assert lying.look is not None
    with pytest.raises(FeedOptionError, match="says"):
        bench_options("says=nothing")
