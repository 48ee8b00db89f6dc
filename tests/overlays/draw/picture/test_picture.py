import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlays.draw.layout.monitor import Monitor, ViewTransform
from overlays.draw.layout.theme import theme_for
from overlays.draw.picture.hidden import Hidden
from overlays.draw.picture.mixing import mix, view_table
from overlays.draw.picture.picture import PictureDrawer
from overlays.draw.picture.stripes import painted_bands
from overlays.draw.picture.taps import exact_total, folded, taps
from overlays.errors import DrawingError
from overlays.measure.counting.bands import Band, BandKind, around, code_band
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.frame import Frame, packed_422, packed_rgb, planar, semi_planar_420
from overlays.signal.levels import decoding
from overlays.signal.published import published_curve
from overlays.signal.quantities import percent
from overlays.signal.signal import Components, Matrix, Range, Signal, Subsampling
from tests.crews import Backwards
from tests.overlays.measure.counting.test_census import LAYOUTS as COUNTED
from tests.overlays.measure.counting.test_census import frame_of as frame_counted

RATIOS = {(1, 1): 1, (2, 1): 2, (3, 2): 3, (5, 2): 5, (3, 1): 3, (4, 1): 4}


def codes_of(frame: Frame) -> list[np.ndarray]:
    drop = max(frame.signal.bits - 10, 0)
    mask = (1 << (frame.signal.bits - drop)) - 1
    return [(p.astype(np.int64) >> (frame.shift + drop)) & mask for p in frame.planes]


def width_total(columns: int, drawn: int, samples: int) -> int:
    """Sum of weights of a ratio with its own loop, or 0: the rule the drawer documents."""
    for (source, out), total in RATIOS.items():
        period = source * (2 if samples == 2 and source % 2 else 1)
        if columns * out == drawn * source and not columns % period:
            return 0 if drawn % samples else total
    return 0


def doubled(line):
    """Twice as many columns, each a quarter of the way to its neighbour, in whole numbers."""
    step = (line[:, 1:] - line[:, :-1]) >> 2
    out = np.empty((line.shape[0], 2 * line.shape[1]), np.int64)
    out[:, 0], out[:, -1] = line[:, 0], line[:, -1]
    out[:, 1:-1:2], out[:, 2::2] = line[:, :-1] + step, line[:, 1:] - step
    return out


def scaling(frame, shape, largest):
    """Rule of the rows, sum of the weights of the columns, and how often rows are doubled."""
    exact = exact_total(frame.rows, shape[0])
    rows = taps(frame.rows, shape[0], exact if exact and exact <= largest else largest)
    samples = frame.signal.subsampling.columns
    total = width_total(frame.columns, shape[1], samples)
    if total:
        return rows, total if rows.total * total <= largest else 0, 0
    for times in (1, 2) if frame.columns < shape[1] else ():
        total = width_total(frame.columns << times, shape[1], samples)
        if total:
            return taps(frame.rows, shape[0], largest // total), total, times
    return rows, 0, 0


def reference(frame, yard, stripes, shape):
    """The drawer's whole-number arithmetic in plain NumPy, sample by sample."""
    signal = frame.signal
    bits, sub = min(signal.bits, 10), signal.subsampling
    rows, total, times = scaling(frame, shape, 32767 // ((1 << bits) - 1))
    columns = taps(frame.columns << times, shape[1], total or 128)
    planes = []
    for index, codes in enumerate(codes_of(frame)):
        high, wide = (
            (rows, columns)
            if index == 0
            else (
                folded(rows, codes.shape[0], sub.rows),
                folded(columns, codes.shape[1] << times, sub.columns),
            )
        )
        picked = codes[high.start[:, None] + np.arange(high.weights.shape[1])]
        tall = (picked * high.weights[:, :, None].astype(np.int64)).sum(axis=1)
        for _ in range(times):
            tall = doubled(tall)
        across = tall[:, wide.start[:, None] + np.arange(wide.weights.shape[1])]
        made = (across * wide.weights.astype(np.int64)).sum(axis=2)
        planes.append(made if total else (made + 64) >> 7)
    scale = rows.total * (total or 1)
    return finish(frame, yard, stripes, planes, scale)


def finish(frame, yard, stripes, planes, scale):
    bits = min(frame.signal.bits, 10)
    m = mix(frame.signal, bits, scale)
    gains, offsets = m.gains.astype(np.int64), m.offsets.astype(np.int64)
    luma = planes[0]
    if frame.signal.components is Components.RGB:
        channels = [
            ((p << m.lift) * gains[0] >> 16) + o for p, o in zip(planes, offsets, strict=True)
        ]
        weights = np.round(yard.weights * 32768).astype(np.int64)
        luma = (sum(w * p for w, p in zip(weights, planes, strict=True)) + 16384) >> 15
    else:
        y = (luma << m.lift) * gains[0] >> 16
        u, v = ((p - m.chroma_zero) << m.lift for p in planes[1:])
        channels = [
            y + (v * gains[1] >> 16) + offsets[0],
            y + (u * gains[2] >> 16) + (v * gains[3] >> 16) + offsets[1],
            y + (u * gains[4] >> 16) + offsets[2],
        ]
    table = view_table(yard)
    if table is None:
        red, green, blue = (np.clip(c >> 4, 0, 255) for c in channels)
    else:
        places = (np.clip((c >> 1) + 255, 0, table.size - 1) for c in channels)
        red, green, blue = (table[p].astype(np.int64) for p in places)
    out = red << 16 | green << 8 | blue
    drop, top = frame.signal.bits - bits, (1 << frame.signal.bits) - 1
    y_at, x_at = np.indices(out.shape)
    for stripe in stripes:
        low, high = stripe.codes.low >> drop, stripe.codes.high >> drop
        inside = (luma * 2 >= (2 * low - 1) * scale) | (stripe.codes.low <= 0)
        inside &= (luma * 2 <= (2 * high + 1) * scale) | (stripe.codes.high >= top)
        made = stripe.pattern
        phase = (y_at * made.rise // made.run) % made.period
        colour = made.row[: made.period][(phase + x_at) % made.period]
        out = np.where(inside & (colour != 0), colour, out)
    return out.astype(np.uint32)


def picture(signal: Signal, rows: int, columns: int, layout: str, seed: int = 1) -> Frame:
    """A slope with blocks of colour and noise, in one of the layouts a driver hands over."""
    rng = np.random.default_rng(seed)
    top = (1 << signal.bits) - 1

    def field(height: int, width: int) -> np.ndarray:
        blocks = rng.random((height // 9 + 1, width // 9 + 1))
        big = np.repeat(np.repeat(blocks, 9, 0), 9, 1)[:height, :width]
        noisy = 0.15 + 0.7 * (0.7 * big + 0.3 * np.linspace(0, 1, width))
        return np.clip(noisy * top + rng.normal(0, top / 200, noisy.shape), 0, top)

    if layout in {"UYVY", "YUYV"}:
        pairs = (columns + 1) // 2
        buffer = np.zeros((rows, pairs * 4), np.uint8)
        frame = Frame(packed_422(buffer, rows, columns, layout), signal)
        offset = 1 if layout == "UYVY" else 0
        buffer[:, offset::2] = field(rows, pairs * 2)
        buffer[:, 1 - offset :: 4] = field(rows, pairs)
        buffer[:, 3 - offset :: 4] = field(rows, pairs)
        return frame
    size = 1 if signal.bits == 8 else 2
    kind = np.uint8 if size == 1 else np.uint16
    if layout == "planar":
        sub = signal.subsampling
        c = (-(-rows // sub.rows), -(-columns // sub.columns))
        parts = [field(rows, columns), field(*c), field(*c)]
        buffer = np.concatenate([p.astype(kind).ravel() for p in parts]).view(np.uint8)
        return Frame(planar(buffer, rows, columns, sub, size), signal)
    if layout in {"NV12", "P010"}:
        pairs, shift = (columns + 1) // 2, 6 if layout == "P010" else 0
        luma = np.zeros((rows, pairs * 2), kind)
        luma[:, :columns] = field(rows, columns)
        both = field((rows + 1) // 2, pairs * 2).astype(kind)
        stored = np.concatenate([luma.ravel(), both.ravel()]) << shift
        planes = semi_planar_420(stored.view(np.uint8), rows, columns, size)
        return Frame(planes, signal, shift)
    buffer = field(rows, columns * len(layout)).astype(kind).view(np.uint8)
    return Frame(packed_rgb(buffer, rows, columns, layout, size), signal)


S422, S420, S444 = Subsampling.S422, Subsampling.S420, Subsampling.S444
RGB = {"components": Components.RGB, "subsampling": S444}
LAYOUTS = [
    ("UYVY", Signal()),
    ("YUYV", Signal(matrix=Matrix.BT601)),
    ("NV12", Signal(subsampling=S420)),
    ("planar", Signal(subsampling=S420, range=Range.FULL)),
    ("planar", Signal(bits=10, subsampling=S422)),
    ("planar", Signal(bits=12, subsampling=S444, matrix=Matrix.BT2020)),
    ("P010", Signal(bits=10, subsampling=S420, matrix=Matrix.BT2020)),
    ("RGB", Signal(range=Range.FULL, **RGB)),
    ("BGRX", Signal(range=Range.FULL, **RGB)),
    ("RGB", Signal(bits=16, range=Range.FULL, **RGB)),
]
SIZES = [
    ((72, 96), (48, 64)),
    ((72, 96), (36, 48)),
    ((72, 96), (72, 96)),
    ((72, 96), (24, 32)),
    ((72, 96), (31, 57)),
    ((60, 80), (24, 32)),
    ((60, 80), (15, 20)),
    ((45, 61), (90, 122)),
    ((27, 48), (36, 64)),
    ((14, 24), (36, 64)),
    ((33, 35), (20, 17)),
    ((2, 2), (5, 7)),
]


def three_bands(yard, columns):
    bands = (
        around(percent(42.0), percent(5.0)),
        Band(BandKind.ABOVE, percent(70.0)),
        Band(BandKind.BELOW, percent(25.0)),
    )
    return painted_bands(tuple(code_band(b, yard) for b in bands), theme_for(1280, 720), columns)


@pytest.mark.parametrize("curve", ["BT.709", "ACEScct"])
@pytest.mark.parametrize(("source", "drawn"), SIZES)
@pytest.mark.parametrize(("layout", "signal"), LAYOUTS)
def test_equals_the_plain_reference_bit_for_bit(layout, signal, source, drawn, curve):
    rows, columns = source
    frame = picture(signal, rows, columns, layout)
    yard = yardstick(signal, published_curve(curve), shift=frame.shift)
    stripes = three_bands(yard, drawn[1])
    target = np.zeros(drawn, np.uint32)
    PictureDrawer().draw(frame, yard, stripes, target)
    np.testing.assert_array_equal(target, reference(frame, yard, stripes, drawn))


def area(source: int, drawn: int) -> np.ndarray:
    """(drawn, source) shares of the source samples that each drawn pixel covers."""
    edges = np.arange(drawn + 1) * source / drawn
    at = np.arange(source)
    covered = np.minimum(edges[1:, None], at + 1) - np.maximum(edges[:-1, None], at)
    shares: np.ndarray = np.clip(covered, 0, None) * drawn / source
    return shares


@pytest.mark.parametrize("drawn", [(48, 64), (36, 48), (72, 96), (31, 57)])
@pytest.mark.parametrize(("layout", "signal"), LAYOUTS)
def test_within_two_codes_of_the_composition_in_floating_point(layout, signal, drawn):
    frame = picture(signal, 72, 96, layout)
    yard = yardstick(signal, published_curve("BT.709"), shift=frame.shift)
    target = np.zeros(drawn, np.uint32)
    PictureDrawer().draw(frame, yard, (), target)
    sub = signal.subsampling
    down, across = area(72, drawn[0]), area(96, drawn[1])
    full = [frame.planes[0].astype(float)] + [
        np.repeat(np.repeat(p.astype(float), sub.rows, 0), sub.columns, 1)[:72, :96]
        for p in frame.planes[1:]
    ]
    scaled = np.stack([down @ p @ across.T for p in full], axis=-1)
    rule = decoding(signal, frame.shift)
    expected = np.clip((scaled - rule.zero) @ rule.matrix.T, 0.0, 1.0) * 255.0
    seen = np.stack([target >> 16 & 255, target >> 8 & 255, target & 255], axis=-1)
    assert np.abs(seen - expected).max() <= 2.0


def test_odd_bytes_between_rows_and_a_part_of_a_larger_picture():
    signal = Signal()
    rng = np.random.default_rng(5)
    buffer = rng.integers(16, 235, 40 * 131, dtype=np.uint8)
    frame = Frame(packed_422(buffer, 40, 60, "UYVY", stride=131), signal)
    tight = Frame(tuple(np.ascontiguousarray(p) for p in frame.planes), signal)
    yard = yardstick(signal, published_curve("BT.709"))
    screen = np.full((50, 70), 7, np.uint32)
    PictureDrawer().draw(frame, yard, (), screen[5:25, 10:40])
    alone = np.zeros((20, 30), np.uint32)
    PictureDrawer().draw(tight, yard, (), alone)
    np.testing.assert_array_equal(screen[5:25, 10:40], alone)
    screen[5:25, 10:40] = 7
    assert (screen == 7).all()


def test_grey_is_grey_and_its_level_is_the_level_of_the_code():
    signal = Signal(bits=10, subsampling=S422)
    buffer = np.empty(12 * 12 * 2, np.uint16)
    yard = yardstick(signal, published_curve("BT.709"))
    target = np.zeros((8, 8), np.uint32)
    drawer = PictureDrawer()
    for code in range(0, 1024, 31):
        buffer[:144], buffer[144:] = code, 512
        frame = Frame(planar(buffer.view(np.uint8), 12, 12, S422, 2), signal)
        drawer.draw(frame, yard, (), target)
        level = min(max((code - 64) / 876 * 255, 0), 255)  # ITU-R BT.709-6 item 4.6
        red, green, blue = target >> 16 & 255, target >> 8 & 255, target & 255
        assert (red == green).all()
        assert (green == blue).all()
        assert np.abs(red - level).max() <= 1.0


def test_a_later_frame_of_the_same_kind_allocates_nothing_large():
    import tracemalloc  # noqa: PLC0415

    signal = Signal()
    frames = [picture(signal, 240, 320, "UYVY", seed) for seed in range(3)]
    yard = yardstick(signal, published_curve("BT.709"))
    target, drawer = np.zeros((160, 213), np.uint32), PictureDrawer()
    stripes = three_bands(yard, 213)
    drawer.draw(frames[0], yard, stripes, target)
    tracemalloc.start()
    try:
        for frame in frames * 5:
            drawer.draw(frame, yard, stripes, target)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert most < 20_000


@pytest.mark.parametrize(
    "target", [np.zeros((0, 4), np.uint32), np.zeros((4, 8), np.uint32)[:, ::2]]
)
def test_refuses_an_area_it_cannot_fill(target):
    frame = picture(Signal(), 8, 8, "UYVY")
    yard = yardstick(Signal(), published_curve("BT.709"))
    with pytest.raises(DrawingError, match="cannot be drawn"):
        PictureDrawer().draw(frame, yard, (), target)


TURNS = [Monitor(flipped=f, mirrored=m) for f in (False, True) for m in (False, True)]


@pytest.mark.parametrize("shape", [(54, 96), (40, 70)])
def test_a_turned_picture_is_the_same_pixels_turned(shape):
    frame = picture(Signal(bits=10, subsampling=Subsampling.S422), 108, 192, "planar")
    yard = yardstick(frame.signal, published_curve("V-Log"))
    plain = np.zeros(shape, np.uint32)
    PictureDrawer().draw(frame, yard, (), plain)
    for monitor in TURNS:
        screen = np.full((shape[0] + 4, shape[1] + 6), 7, np.uint32)
        PictureDrawer().draw(frame, yard, (), screen[2:-2, 3:-3], monitor)
        turned = plain[::-1] if monitor.flipped else plain
        turned = turned[:, ::-1] if monitor.mirrored else turned
        np.testing.assert_array_equal(screen[2:-2, 3:-3], turned)
        screen[2:-2, 3:-3] = 7
        assert (screen == 7).all()


@pytest.mark.parametrize("monitor", TURNS, ids=str)
def test_stripes_lean_as_they_mean_whichever_way_the_picture_is_turned(monitor):
    signal = Signal(bits=10, subsampling=Subsampling.S444)
    plane = np.full((60, 80), 500, np.uint16)
    frame = Frame((plane, np.full_like(plane, 512), np.full_like(plane, 512)), signal)
    yard = yardstick(signal, published_curve("BT.709"))
    band = code_band(around(percent(50.0), percent(5.0)), yard)
    target = np.zeros((60, 80), np.uint32)
    made = painted_bands((band,), theme_for(1280, 720), 80)
    PictureDrawer().draw(frame, yard, made, target, monitor)
    light = target == target.max()
    assert light.any()
    # Around a level: rising to the right, a pixel a row.
    assert (light[1:, :-1] == light[:-1, 1:]).mean() == 1.0


def test_as_sent_no_view_transform_is_laid_on():
    frame = picture(Signal(bits=10, subsampling=Subsampling.S422), 108, 192, "planar")
    log, standard = (yardstick(frame.signal, published_curve(n)) for n in ("V-Log", "BT.709"))
    sent, plain, viewed = (np.zeros((54, 96), np.uint32) for _ in range(3))
    PictureDrawer().draw(frame, log, (), sent, Monitor(transform=ViewTransform.AS_SENT))
    PictureDrawer().draw(frame, standard, (), plain)
    PictureDrawer().draw(frame, log, (), viewed)
    np.testing.assert_array_equal(sent, plain)
    assert (viewed != sent).any()


SHARED = (Monitor(), Monitor(stop_map=True), Monitor(flipped=True, mirrored=True))


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(COUNTED),
    st.tuples(st.integers(2, 40), st.integers(2, 60)),
    st.tuples(st.integers(1, 50), st.integers(1, 70)),
    st.integers(2, 9),
    st.sampled_from(SHARED),
)
def test_whoever_draws_the_pixels_are_the_same(layout, size, drawn, workers, monitor):
    frame = frame_counted(layout, *size)
    yard = yardstick(frame.signal, published_curve("BT.709"), shift=frame.shift)
    bands = (code_band(around(percent(50), percent(9)), yard),)
    stripes = painted_bands(bands, theme_for(480, 320), 480)
    one, several = np.zeros(drawn, np.uint32), np.zeros(drawn, np.uint32)
    drawer = PictureDrawer()
    PictureDrawer().draw(frame, yard, stripes, one, monitor)
    for crew in (Backwards(workers), Backwards(2), Backwards(workers + 1)):
        several[:] = 0
        drawer.draw(frame, yard, stripes, several, monitor, crew)
        np.testing.assert_array_equal(one, several)


WIDTHS = [(n * 48, n * drawn) for n in (1, 2) for drawn in (48, 32, 24, 16, 12, 64, 96, 37)]
"""Columns of source and drawing: every loop for the width, and none."""


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(COUNTED),
    st.sampled_from(WIDTHS),
    st.builds(
        Hidden, st.integers(-3, 30), st.none() | st.integers(-5, 120), above=st.integers(0, 30)
    ),
    st.sampled_from((*SHARED, Monitor(transform=ViewTransform.AS_SENT))),
    st.integers(1, 3),
)
def test_beside_what_is_hidden_the_pixels_are_the_same(layout, widths, hidden, monitor, workers):
    frame = frame_counted(layout, 20, widths[0])
    yard = yardstick(frame.signal, published_curve("S-Log3"), shift=frame.shift)
    bands = (code_band(around(percent(50), percent(9)), yard),)
    stripes = painted_bands(bands, theme_for(480, 320), 480)
    whole, part = np.zeros((24, widths[1]), np.uint32), np.zeros((24, widths[1]), np.uint32)
    PictureDrawer().draw(frame, yard, stripes, whole, monitor)
    PictureDrawer().draw(frame, yard, stripes, part, monitor, Backwards(workers), hidden)
    seen = np.ones(whole.shape, bool)
    seen[max(hidden.rows, 1) :] = False
    if hidden.columns is not None:
        seen[: hidden.above, max(hidden.columns, 1) :] = False
    if monitor.flipped:
        seen[:] = True
    np.testing.assert_array_equal(part[seen], whole[seen])


def test_what_is_hidden_is_not_drawn():
    frame = picture(Signal(bits=10, subsampling=Subsampling.S422), 36, 192, "planar")
    yard = yardstick(frame.signal, published_curve("BT.709"))
    target = np.full((24, 128), 7, np.uint32)
    PictureDrawer().draw(frame, yard, (), target, hidden=Hidden(20, 60, 10))
    assert (target[20:] == 7).all()
    assert (target[:10, 64:] == 7).all()
    assert (target[:10, :64] != 7).all()
    assert (target[10:20] != 7).all()
