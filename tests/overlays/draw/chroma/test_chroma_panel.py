"""The panel: bars of a generator land in their boxes, the spot is marked, a ghost is kept."""

from fractions import Fraction

import av
import numpy as np
import pygame
import pytest

from overlays.draw.chroma.chroma_panel import ChromaPanel, spot_chroma
from overlays.draw.chroma.graticule import Disc, targets
from overlays.draw.layout.areas import Area
from overlays.draw.layout.lettering import Letters
from overlays.draw.layout.theme import AMBER, LINE, QUIET, SKY, TEXT, TextSize, pixel_of, theme_for
from overlays.draw.moment.layers import Ghost
from overlays.draw.moment.shown import Measured
from overlays.draw.trace.ghost import INK
from overlays.measure.balance.balance import BalanceSettings
from overlays.measure.counting.census import Wants, take_census
from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace
from overlays.signal.frame import Frame
from overlays.signal.gamuts import published_gamut
from overlays.signal.published import published_curve
from overlays.signal.signal import Components, Range, Signal, Subsampling

SETTINGS = BalanceSettings(published_gamut("BT.709"))
PLACE = SpotPlace(32, 32, 20)
AREA = Area(5, 5, 420, 420)


def bars():
    """FFmpeg's smptehdbars, by PyAV."""
    graph = av.filter.Graph()
    source = graph.add("smptehdbars", "size=640x360:rate=1")
    wanted = graph.add("format", "pix_fmts=yuv422p")
    sink = graph.add("buffersink")
    source.link_to(wanted)
    wanted.link_to(sink)
    graph.configure()
    picture = graph.pull()
    assert isinstance(picture, av.VideoFrame)
    assert picture.time_base == Fraction(1, 1)
    return tuple(
        np.frombuffer(bytes(p), np.uint8).reshape(p.height, p.line_size)[:, : p.width].copy()
        for p in picture.planes
    )


def moment(planes, place=PLACE):
    sub = Subsampling.S422 if planes[1].shape[1] < planes[0].shape[1] else Subsampling.S444
    frame = Frame(planes, Signal(bits=8, subsampling=sub))
    yard = yardstick(frame.signal, published_curve("BT.709"))
    census = take_census(frame, yard, Wants.LEVELS | Wants.CHROMA)
    return Measured(frame, yard, census, place, None, None)


def ghost_of(measured):
    return Ghost.of(measured.census, measured.yard.signal)


def painted(measured, gain=1, ghost=None, panel=None):
    surface = pygame.Surface((430, 430), 0, 32)
    panel = panel or ChromaPanel(Letters())
    panel.paint(
        surface,
        AREA,
        measured,
        settings=SETTINGS,
        theme=theme_for(1280, 720),
        gain=gain,
        ghost=ghost,
    )
    return pygame.surfarray.array2d(surface).T & 0xFFFFFF


def test_the_generators_bars_land_within_a_code_of_their_boxes():
    census = moment(bars()).census
    for target in targets(moment(bars()).yard.signal.matrix)[:6]:
        cb, cr = round(128 + 224 * target.cb), round(128 + 224 * target.cr)
        assert census.chroma[cb - 1 : cb + 2, cr - 1 : cr + 2].sum() > 1000, target.name


def test_the_bars_are_seen_in_their_boxes():
    pixels = painted(moment(bars()))
    disc = Disc(AREA, 1)
    for target in targets(moment(bars()).yard.signal.matrix)[:6]:
        x, y = (int(value) for value in disc.point(target.cb, target.cr))
        assert (pixels[y - 2 : y + 3, x - 2 : x + 3] & 255).max() > 90, target.name


@pytest.mark.parametrize(("edge", "is_named"), [(420, True), (100, False)])
def test_boxes_are_named_where_there_is_room_for_it(edge, is_named):
    area, surface = Area(5, 5, edge, edge), pygame.Surface((430, 430), 0, 32)
    measured, theme = moment(bars()), theme_for(1280, 720)
    ChromaPanel(Letters()).paint(
        surface, area, measured, settings=SETTINGS, theme=theme, gain=1, ghost=None
    )
    pixels, disc = pygame.surfarray.array2d(surface).T & 0xFFFFFF, Disc(area, 1)
    target = next(each for each in targets(measured.yard.signal.matrix) if each.name == "B")
    x, y = (round(value) for value in disc.point(target.cb, target.cr))
    half, tiny = max(round(5 * theme.scale), 4), theme.text_pixels(TextSize.TINY)
    beside = pixels[y - half - tiny // 2 : y - half + tiny // 2, x + half + 3 : x + half + 3 + tiny]
    assert (beside == pixel_of(TEXT)).any() == is_named


def test_the_spot_is_marked_where_its_colour_is():
    planes = tuple(np.full((64, 64), code, np.uint8) for code in (120, 150, 110))
    measured = moment(planes, SpotPlace(32, 32, 20))
    cb, cr = spot_chroma(measured)
    assert cb.size == 400
    assert (cb[0], cr[0]) == (pytest.approx(22 / 224), pytest.approx(-18 / 224))
    pixels = painted(measured)
    x, y = (int(value) for value in Disc(AREA, 1).point(22 / 224, -18 / 224))
    assert (pixels[y - 12 : y + 13, x - 12 : x + 13] == pixel_of(AMBER)).sum() > 20


def test_the_axes_cross_in_the_middle_and_reach_the_rim():
    pixels = painted(moment(tuple(np.full((64, 64), code, np.uint8) for code in (120, 200, 200))))
    disc = Disc(AREA, 1)
    x, y = (round(value) for value in disc.middle)
    across = np.flatnonzero(pixels[y] == pixel_of(LINE))
    down = np.flatnonzero(pixels[:, x] == pixel_of(LINE))
    for line, middle in ((across, x), (down, y)):
        assert line.min() == pytest.approx(middle - disc.radius, abs=2)
        assert line.max() == pytest.approx(middle + disc.radius, abs=2)
        assert line.size > 1.8 * disc.radius
    # Rings at quarters of the radius, met on the diagonal, where no axis runs.
    step = np.arange(4, round(disc.radius) + 3)
    aside = np.rint(step / 2**0.5).astype(int)
    there = pixels == pixel_of(LINE)
    met = step[there[y + aside, x + aside] | there[y + aside, x + aside + 1]] / disc.radius
    for share in (0.25, 0.5, 0.75, 1.0):
        assert np.abs(met - share).min() < 0.02
    assert all(min(abs(at - share) for share in (0.25, 0.5, 0.75, 1.0)) < 0.02 for at in met)


@pytest.mark.parametrize(("gain", "seen"), [(1, True), (2, True), (4, True), (512, False)])
def test_the_ring_of_the_tolerance_is_drawn_where_all_of_it_fits(gain, seen):
    grey = moment(tuple(np.full((64, 64), code, np.uint8) for code in (120, 128, 128)))
    assert (painted(grey, gain=gain) == pixel_of(SKY)).any() == seen


def test_a_ghost_is_fainter_than_what_is_live():
    grey = tuple(np.full((64, 64), code, np.uint8) for code in (120, 128, 128))
    planes = tuple(np.full((64, 64), code, np.uint8) for code in (120, 90, 170))
    planes[1][16:], planes[2][16:] = 128, 128  # the spot lies on grey
    other = moment(planes)
    x, y = (int(v) for v in Disc(AREA, 1).point((90 - 128) / 224, (170 - 128) / 224))
    spot = np.s_[y - 1 : y + 2, x - 1 : x + 2]
    at = moment(grey, SpotPlace(32, 32, 20))
    without = (painted(at)[spot] & 255).max()
    ghost = (painted(at, ghost=ghost_of(other))[spot] & 255).max()
    live = (painted(other)[spot] & 255).max()
    assert without < ghost < live


def test_a_ghost_shows_only_where_the_live_trace_has_nothing():
    at = moment(tuple(np.full((64, 64), code, np.uint8) for code in (120, 90, 170)))
    changed = painted(at, ghost=ghost_of(at)) != painted(at)
    assert changed.sum() < 20  # but for the soft edge of both


def test_a_ghost_stands_where_its_own_signal_put_it():
    """The same nominal chroma on 8 bits limited and 10 bits full (ITU-R BT.2100-2 Table 9)."""
    grey = moment(tuple(np.full((64, 64), code, np.uint8) for code in (120, 128, 128)))
    limited = moment(tuple(np.full((64, 64), code, np.uint8) for code in (120, 128 - 56, 128 + 56)))
    planes = tuple(np.full((64, 64), c, np.uint16) for c in (480, 512 - 256, 512 + 256))
    signal = Signal(bits=10, range=Range.FULL, subsampling=Subsampling.S444)
    yard = yardstick(signal, published_curve("BT.709"))
    frame = Frame(planes, signal)
    full = Ghost.of(take_census(frame, yard, Wants.LEVELS | Wants.CHROMA), signal)
    without = painted(grey)
    centres = []
    for ghost in (ghost_of(limited), full):
        rows, columns = np.nonzero(painted(grey, ghost=ghost) != without)
        assert rows.size > 4
        centres.append((rows.mean(), columns.mean()))
    assert centres[0] == pytest.approx(centres[1], abs=1.5)


def test_another_ghost_takes_its_place_and_one_without_chroma_shows_nothing():
    grey = moment(tuple(np.full((64, 64), code, np.uint8) for code in (120, 128, 128)))
    other = ghost_of(moment(tuple(np.full((64, 64), code, np.uint8) for code in (120, 90, 170))))
    panel, without = ChromaPanel(Letters()), painted(grey)
    assert (painted(grey, ghost=other, panel=panel) != without).any()
    nothing = Ghost(other.signal, other.levels, None)
    np.testing.assert_array_equal(painted(grey, ghost=nothing, panel=panel), without)


def test_rgb_gets_a_sentence_that_stays_within_the_panel():
    planes = tuple(np.full((64, 64), code, np.uint8) for code in (120, 150, 110))
    signal = Signal(bits=8, components=Components.RGB, subsampling=Subsampling.S444)
    frame = Frame(planes, signal)
    yard = yardstick(signal, published_curve("BT.709"))
    census = take_census(frame, yard, Wants.LEVELS | Wants.CHROMA)
    rgb = Measured(frame, yard, census, PLACE, None, None)
    surface = pygame.Surface((200, 200), 0, 32)
    panel, area = ChromaPanel(Letters()), Area(40, 40, 120, 120)
    how = {"settings": SETTINGS, "theme": theme_for(1280, 720)}
    panel.paint(surface, area, rgb, ghost=ghost_of(moment(bars())), **how)
    pixels = pygame.surfarray.array2d(surface).T & 0xFFFFFF
    inside = np.zeros(pixels.shape, bool)
    inside[40:160, 40:160] = True
    assert not pixels[~inside].any()
    assert (pixels == pixel_of(QUIET)).sum() > 100
    assert not (pixels == pixel_of(INK)).any()


def test_gain_and_no_chroma_and_nothing_at_all_are_survived():
    grey = tuple(np.full((64, 64), code, np.uint8) for code in (120, 128, 128))
    assert (
        painted(moment(grey, SpotPlace(32, 32, 20)), 8)
        != painted(moment(grey, SpotPlace(32, 32, 20)))
    ).any()
    assert len(np.unique(painted(None))) <= 2


@pytest.mark.parametrize("size", [20, 64, 200, 300])
def test_of_a_large_spot_some_thousands_of_samples_are_drawn_evenly_spread(size):
    planes = tuple(np.full((400, 400), code, np.uint8) for code in (100, 120, 140))
    planes[1][200:] = 130  # the lower half
    cb, cr = spot_chroma(moment(planes, SpotPlace(200, 200, size)))
    assert len(cb) == len(cr) <= 4096
    assert len(cb) >= min(size * size, 2048)
    assert np.mean(cb > 0.0) == pytest.approx(0.5, abs=0.01)
