import colour
import numpy as np
import pytest

from firmware.clock import HandClock
from firmware.errors import FeedOptionError, FrameMissingError
from firmware.feeds.base import FeedState, Pace
from firmware.feeds.bench.feed import BUFFERS, REMEMBERED, BenchFeed
from overlays.errors import SpotOutsideError
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, default_size, read_spot
from overlays.signal.frame import Frame
from overlays.signal.levels import Carriage
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from overlays.signal.signal import Components, Matrix, Range, Signal, SignalOverride, Subsampling

SMALL = "size=640x360"


def bench(text=SMALL, pace=Pace.STEP, **more):
    return BenchFeed(text, clock=HandClock(), pace=pace, **more)


def patch(frame, place, plane=0):
    top, left = place.row - place.size // 2, place.column - place.size // 2
    return frame.planes[plane][top : top + place.size, left : left + place.size]


def test_a_default_spot_in_the_middle_lies_on_the_grey_card():
    feed = bench(f"{SMALL},noise=0")
    frame = feed.read(1.0)
    spot = SpotPlace(320, 180, default_size(360))
    assert len(np.unique(patch(frame, spot))) == 1
    assert feed.truth(spot, frame).stops == 0.0
    assert feed.things()["grey card"].size >= spot.size
    assert feed.things()["grey card"].size >= 0.09 * 360


def test_mid_grey_reads_as_common_practice_has_it():
    # Common practice, no source: about 40 % on standard gamma; 42 % and 0.0 stops on one log curve.
    spot = SpotPlace(320, 180, 30)
    for text, level, near in (("curve=BT.709", 40.9, 1.0), ("curve=V-Log", 42.0, 0.3)):
        feed = bench(f"{SMALL},{text}")
        truth = feed.truth(spot, feed.read(1.0))
        assert truth.percent == pytest.approx(level, abs=near)
        assert truth.stops == 0.0


def test_white_and_glossy_black_read_as_common_practice_has_them():
    # Common practice, no source: a white chip near 91-92 % and under 100 % on standard gamma, about
    # +2.1 stops on log; a glossy black about -6.8 to -6.9 stops there.
    feed = bench(f"{SMALL},cloud=0,curve=BT.709")
    frame, things = feed.read(1.0), feed.things()
    assert feed.truth(things["white card"], frame).percent == pytest.approx(91.5, abs=0.6)
    assert feed.truth(things["white card"], frame).stops == pytest.approx(2.1, abs=0.15)
    assert feed.truth(things["glossy black"], frame).stops == pytest.approx(-6.85, abs=0.1)


@pytest.mark.parametrize(
    ("text", "encode"),
    [
        ("curve=BT.709", colour.models.oetf_BT709),
        ("curve=S-Log3", lambda x: (colour.log_encoding(x, function="S-Log3") * 1023 - 64) / 876),
        ("curve=ACEScct", lambda x: (colour.log_encoding(x, function="ACEScct") * 1023 - 64) / 876),
        ("curve=ACEScct,carriage=narrow", lambda x: colour.log_encoding(x, function="ACEScct")),
        ("curve=ACEScct,range=full", lambda x: colour.log_encoding(x, function="ACEScct")),
    ],
)
def test_codes_are_those_of_an_independent_encoder(text, encode):
    feed = bench(f"{SMALL},noise=0,cloud=0,signal=yuv444-10,{text}")
    frame = feed.read(1.0)
    rgb = np.array([0.47346, 0.11658, 0.11102])  # 5R 5/8 of tests/reference/munsell.csv
    codes = colour.RGB_to_YCbCr(
        encode(rgb),
        K=colour.WEIGHTS_YCBCR["ITU-R BT.709"],
        out_bits=10,
        out_legal="full" not in text,
        out_int=True,
    )
    place = feed.things()["chart 5R 5/8"]
    for plane in range(3):
        got = np.unique(patch(frame, place, plane))
        assert got.size == 1
        assert abs(int(got[0]) - int(codes[plane])) <= 1  # light codes are 1/2048 stop wide


@pytest.mark.parametrize(
    ("name", "light"), [("white card", 0.83), ("glossy black", 0.0016), ("chart N5", 0.19272)]
)
def test_truth_in_stops_is_the_light_under_the_lens(name, light):
    feed = bench(f"{SMALL},exposure=-1.5")
    truth = feed.truth(feed.things()[name], feed.read(1.0))
    assert truth.stops == pytest.approx(np.log2(light / 0.18) - 1.5, abs=0.0003)


def test_truth_goes_through_the_matrix_weights_on_coloured_light():
    feed = bench(f"{SMALL},kelvin=3200,dial=5600,matrix=BT.2020,signal=rgb-12")
    truth = feed.truth(feed.things()["grey card"], feed.read(1.0))
    xy = [colour.CCT_to_xy(k, method="Kang 2002") for k in (3200, 5600)]
    white, dial = (colour.xy_to_XYZ(p) for p in xy)
    shown = colour.adaptation.chromatic_adaptation_VonKries(
        white, dial, colour.xy_to_XYZ((0.3127, 0.3290)), transform="Bradford"
    )
    gains = colour.XYZ_to_RGB(shown, "ITU-R BT.709")
    expected = np.log2(np.dot([0.2627, 0.6780, 0.0593], gains))
    assert truth.stops == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "signal=yuyv,curve=HLG",
        "signal=nv12,exposure=-1",
        "signal=nv12-10,curve=LogC3",
        "signal=yuv420-12,curve=S-Log3,range=full",
        "signal=yuv422-10,curve=S-Log3,noise=2",
        "signal=yuv444-16,curve=PQ",
        "signal=rgb,matrix=BT.601",
        "signal=rgb-10,curve=V-Log,kelvin=3200,tint=4",
    ],
)
def test_readings_agree_with_the_truth_within_their_own_doubt(text):
    feed = bench(f"size=1280x720,clip=12,{text}")
    frame = feed.read(1.0)
    yard = yardstick(feed.info.signal, feed.info.curve, feed.info.carriage, shift=frame.shift)
    seen = covered = 0
    for name, place in feed.things().items():
        reading, truth = read_spot(frame, yard, place), feed.truth(place, frame)
        if name == "window" or reading.clipped > 0.0 or reading.stops is None:
            continue
        seen += 1
        covered += abs(reading.stops - truth.stops) <= reading.stops_pm
        assert abs(reading.stops - truth.stops) <= max(0.02, 2.0 * reading.stops_pm)
        assert abs(reading.percent - truth.percent) <= max(0.02, 2.0 * reading.percent_pm)
    assert seen > 25
    assert covered >= 0.85 * seen  # 95 % at large; 27 spots of one frame scatter


def test_the_window_clips():
    feed = bench()
    frame = feed.read(1.0)
    place = feed.things()["window"]
    # This sensor gives out at 100 %; the standard's codes go on above, so it has to be told.
    yard = yardstick(feed.info.signal, feed.info.curve, clip=percent(100.0))
    assert read_spot(frame, yard, place).clipped == 1.0
    truth = feed.truth(place, frame)
    assert truth.percent == 100.0
    assert truth.stops > 6.5


def test_the_sensor_clips_where_it_is_told_to():
    feed = bench(f"{SMALL},curve=S-Log3,clip=3,signal=rgb-10,noise=0")
    frame = feed.read(1.0)
    top = round(1023 * float(colour.log_encoding(0.18 * 8, function="S-Log3")))
    assert np.unique(patch(frame, feed.things()["window"])).tolist() == [top]
    assert max(int(plane.max()) for plane in frame.planes) == top


def test_one_seed_gives_the_same_frames_again_and_another_others():
    first, again, other = (bench(f"{SMALL},seed={n}") for n in (7, 7, 8))
    for _ in range(3):
        a, b, c = first.read(1.0), again.read(1.0), other.read(1.0)
        np.testing.assert_array_equal(a.planes[0], b.planes[0])
        assert (a.planes[0] != c.planes[0]).any()


def test_noise_is_as_strong_as_the_sensor_makes_it_and_fresh_in_every_frame():
    feed = bench(f"{SMALL},signal=rgb-16,noise=2,cloud=0")
    place = feed.things()["grey card"]
    a, b = feed.read(1.0), feed.read(1.0)
    one, two = (patch(frame, place).astype(float) for frame in (a, b))
    sigma = 2.0 * np.sqrt(0.0004**2 + 2.0e-5 * 0.18)
    slope = 0.45 * 1.099 * 0.18 ** (0.45 - 1.0)  # of BT.709-6 item 1.2
    expected = sigma * slope * 219 * 256
    assert one.std() == pytest.approx(expected, rel=0.03)
    assert (one - two).std() == pytest.approx(expected * np.sqrt(2.0), rel=0.03)
    assert abs(np.corrcoef(one.ravel(), two.ravel())[0, 1]) < 0.05


def test_without_noise_and_cloud_nothing_changes():
    feed = bench(f"{SMALL},noise=0,cloud=0")
    a, b = feed.read(1.0), feed.read(1.0)
    np.testing.assert_array_equal(a.planes[0], b.planes[0])


def test_the_cloud_dims_a_part_and_its_truth_is_known_to_the_row():
    feed = bench("size=640x360,cloud=4,noise=0,rate=8,signal=rgb-16,curve=S-Log3")
    place = SpotPlace(60, 200, 41)
    yard = yardstick(feed.info.signal, feed.info.curve)
    card = feed.things()["grey card"]
    stops = []
    for _ in range(200):
        frame = feed.read(1.0)
        truth = feed.truth(place, frame)
        reading = read_spot(frame, yard, place)
        assert reading.stops == pytest.approx(truth.stops, abs=0.001)
        assert reading.percent == pytest.approx(truth.percent, abs=0.01)
        assert feed.truth(card, frame).stops == 0.0
        stops.append(truth.stops)
        feed.release(frame)
    assert max(stops) - min(stops) > 0.5
    assert max(np.abs(np.diff(stops))) < 0.1


def test_no_more_buffers_are_lent_than_there_are():
    feed = bench()
    held = [feed.read(0.0) for _ in range(BUFFERS)]
    assert feed.read(0.0) is FeedState.NO_FRAME_YET
    feed.release(held[2])
    feed.release(held[2])
    assert feed.read(0.0).number == BUFFERS
    assert feed.read(0.0) is FeedState.NO_FRAME_YET


@pytest.mark.parametrize("pace", Pace)
def test_waiting_for_a_buffer_is_bounded(pace):
    clock = HandClock()
    feed = BenchFeed(SMALL, clock=clock, pace=pace)
    held = [feed.read(1.0) for _ in range(BUFFERS)]
    for timeout_s in (0.0, 0.005, 0.03, 1.0):
        before = clock.now_ns()
        assert feed.read(timeout_s) is FeedState.NO_FRAME_YET
        assert clock.now_ns() - before <= timeout_s * 1e9 + 1
    feed.release(held[0])
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    assert frame.number >= BUFFERS


class PassingClock(HandClock):
    """A clock that goes on while something is done: by so much each time it is looked at."""

    def now_ns(self):
        self.move(0.002)
        return super().now_ns()


def test_a_live_frame_is_made_before_its_moment_and_handed_out_at_it():
    clock = PassingClock()
    feed = BenchFeed(f"{SMALL},rate=25", clock=clock, pace=Pace.LIVE)
    ages_ms = []
    for _ in range(4):
        frame = feed.read(1.0)
        assert isinstance(frame, Frame)
        ages_ms.append((HandClock.now_ns(clock) - frame.time_ns) / 1e6)
        feed.release(frame)
    assert ages_ms[0] > 2.0
    assert all(0.0 <= age < 2.0 for age in ages_ms[1:]), ages_ms


def test_a_frame_of_long_ago_has_no_truth_any_more():
    feed = bench("size=64x36")
    first = feed.read(1.0)
    place = SpotPlace(32, 18, 3)
    feed.truth(place, first)
    feed.release(first)
    for _ in range(REMEMBERED):
        feed.release(feed.read(1.0))
    with pytest.raises(FrameMissingError, match="no longer knows frame 0"):
        feed.truth(place, first)


def test_a_truth_outside_of_the_picture_is_refused():
    feed = bench("size=64x36")
    with pytest.raises(SpotOutsideError):
        feed.truth(SpotPlace(1, 1, 9), feed.read(1.0))


def test_the_profiles_curve_is_taken_where_the_options_name_none():
    curve = published_curve("LogC3")
    feed = bench(curve=curve, carriage=Carriage.NARROW)
    assert (feed.info.curve, feed.info.carriage) == (curve, Carriage.NARROW)
    feed = bench(f"{SMALL},curve=HLG", curve=curve, carriage=Carriage.FULL)
    assert (feed.info.curve.name, feed.info.carriage) == ("HLG", Carriage.NARROW)
    assert bench().info.curve.name == "BT.709"


def test_an_override_is_obeyed_or_misreads_what_the_options_insist_on():
    override = SignalOverride(Range.FULL, Matrix.BT2020)
    obeying, stubborn = bench(override=override), bench(f"{SMALL},range=limited", override=override)
    assert obeying.info.signal == stubborn.info.signal == Signal(8, Range.FULL, Matrix.BT2020)
    place = obeying.things()["white card"]
    codes = [patch(feed.read(1.0), place).mean() for feed in (obeying, stubborn)]
    level = 1.099 * 0.83**0.45 - 0.099  # ITU-R BT.709-6 item 1.2
    assert codes[0] == pytest.approx(255 * level, abs=1)
    assert codes[1] == pytest.approx(16 + 219 * level, abs=1)
    # Once nothing is said against it, it is read as it is sent.
    sent = [feed.info.signal_with(SignalOverride()) for feed in (obeying, stubborn)]
    assert [signal.range for signal in sent] == [Range.FULL, Range.LIMITED]


def test_every_signal_comes_as_it_is_named():
    for text, components, sub, bits, shift in (
        ("nv12-10", Components.YCBCR, Subsampling.S420, 10, 6),
        ("yuv422-12", Components.YCBCR, Subsampling.S422, 12, 0),
        ("rgb-16", Components.RGB, Subsampling.S444, 16, 0),
    ):
        frame = bench(f"size=65x37,signal={text}").read(1.0)
        assert frame.signal == Signal(bits, components=components, subsampling=sub)
        assert (frame.shift, frame.rows, frame.columns) == (shift, 37, 65)


def test_bad_options_are_refused_at_the_door():
    with pytest.raises(FeedOptionError, match="unknown option"):
        bench("colour=red")


def luma_of(text):
    """The signal and the luma of a bench's first frame."""
    feed = BenchFeed(f"size=64x36,noise=0,cloud=0,{text}", clock=HandClock(), pace=Pace.STEP)
    frame = feed.read(1.0)
    assert isinstance(frame, Frame)
    return feed.info, frame.signal, frame.planes[0].copy()


def test_a_claim_that_is_not_true_is_how_it_is_read():
    info, signal, luma = luma_of("range=full,says=limited")
    assert info.signal.range is signal.range is Range.LIMITED
    assert "limited range" in info.description
    assert np.array_equal(luma, luma_of("range=full")[2])


def test_a_look_is_sent_in_the_place_of_the_curve_that_is_named():
    info, _, luma = luma_of("curve=S-Log3,look=BT.709")
    assert info.curve.name == "S-Log3"
    assert np.array_equal(luma, luma_of("curve=BT.709")[2])
