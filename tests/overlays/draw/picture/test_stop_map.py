import numpy as np
import pytest

from overlays.draw.layout.monitor import Monitor
from overlays.draw.layout.theme import pixel_of, theme_for
from overlays.draw.picture.picture import PictureDrawer
from overlays.draw.picture.stop_map import BELOW, COLOURS, ends, map_table, painted_ends
from overlays.measure.counting.bands import BandKind
from overlays.measure.counting.yardstick import yardstick
from overlays.signal.frame import Frame
from overlays.signal.levels import percent_to_code
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Matrix, Range, Signal, Subsampling

MAP = Monitor(stop_map=True)


def flat(signal, code, rows=48, columns=64):
    kind = np.uint8 if signal.bits == 8 else np.uint16
    zero = 1 << (signal.bits - 1)
    if signal.components is Components.RGB:
        return Frame((np.full((rows, columns), code, kind),) * 3, signal)
    sub = signal.subsampling
    chroma = np.full((rows // sub.rows, columns // sub.columns), zero, kind)
    return Frame((np.full((rows, columns), code, kind), chroma, chroma), signal)


SIGNALS = [
    Signal(bits=8, subsampling=Subsampling.S420),
    Signal(bits=10, subsampling=Subsampling.S422),
    Signal(bits=12, subsampling=Subsampling.S444, range=Range.FULL),
    Signal(bits=8, components=Components.RGB, subsampling=Subsampling.S444, matrix=Matrix.BT709),
]


@pytest.mark.parametrize("signal", SIGNALS, ids=str)
@pytest.mark.parametrize("curve", ["V-Log", "S-Log3", "BT.709"])
@pytest.mark.parametrize("size", [(48, 64), (40, 50)])
def test_each_level_gets_the_colour_of_its_stop(signal, curve, size):
    yard = yardstick(signal, published_curve(curve))
    drawer = PictureDrawer()
    for stops in range(-3, 3):
        code = round(percent_to_code(yard.carried.stops_to_percent(stops), signal))
        target = np.zeros(size, np.uint32)
        drawer.draw(flat(signal, code), yard, (), target, MAP)
        assert set(np.unique(target)) == {pixel_of(COLOURS[BELOW + stops])}


def test_all_that_is_farther_has_the_colour_of_the_end():
    yard = yardstick(Signal(bits=10), published_curve("V-Log"))
    table, down = map_table(yard, 10, 1)
    assert down == 0
    assert table[0] == pixel_of(COLOURS[0])
    assert table[-1] == pixel_of(COLOURS[-1])
    light = [COLOURS.index(((p >> 16) & 255, (p >> 8) & 255, p & 255)) for p in table.tolist()]
    assert light == sorted(light)


@pytest.mark.parametrize("scale", [1, 6, 32])
def test_the_edge_between_two_stops_lies_at_half_a_stop(scale):
    yard = yardstick(Signal(bits=10), published_curve("V-Log"))
    table, down = map_table(yard, 10, scale)
    assert len(table) <= 4096
    first = int(np.flatnonzero(table == pixel_of(COLOURS[BELOW + 1]))[0])
    code = (first << down) / scale
    wanted = percent_to_code(yard.carried.stops_to_percent(0.5), yard.signal)
    assert code == pytest.approx(wanted, abs=1.0)


def test_what_is_clipped_and_what_is_below_the_floor_is_striped():
    yard = yardstick(Signal(bits=10), published_curve("V-Log"))
    kinds = {band.band.kind: band for band in ends(yard)}
    assert set(kinds) == {BandKind.ABOVE, BandKind.BELOW}
    made = painted_ends(yard, theme_for(800, 480), 320)
    target = np.zeros((240, 320), np.uint32)
    for code in (kinds[BandKind.ABOVE].low, kinds[BandKind.BELOW].high):
        PictureDrawer().draw(flat(yard.signal, code), yard, made, target, MAP)
        assert len(np.unique(target)) > 1
    PictureDrawer().draw(flat(yard.signal, 433), yard, made, target, MAP)
    assert len(np.unique(target)) == 1
