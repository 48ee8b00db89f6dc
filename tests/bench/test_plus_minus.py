"""The ± of a spot through encoders of PyAV, in the cells of the table that were once missed."""

import math

import numpy as np
import pytest

from overlays.measure.counting.yardstick import yardstick
from overlays.measure.spot.spot import SpotPlace, read_spot
from overlays.signal.frame import Frame
from overlays.signal.published import published_curve
from overlays.signal.signal import Range, Signal, Subsampling
from tests.bench.made_frames import (
    CODECS,
    Cell,
)
from tests.bench.plus_minus import main, run, wilson

av = pytest.importorskip("av")


def has(name):
    encoder = CODECS[name].encoder
    return not encoder or encoder in av.codecs_available


@pytest.mark.parametrize(
    ("cell", "size"),
    [
        (Cell("S-Log3", 10, "hevc", 0.0, 0.0), 16),
        (Cell("S-Log3", 10, "hevc", 0.8, 0.0), 16),
        (Cell("S-Log3", 8, "h264", 0.8, 0.0), 48),
        (Cell("S-Log3", 8, "mjpeg", 0.8, 0.0), 48),
        (Cell("S-Log3", 8, "mpeg2", 0.8, 0.0), 48),
    ],
    ids=str,
)
def test_covers_and_is_no_wider_than_needed(cell, size):
    if not has(cell.codec):
        pytest.skip(f"PyAV has no encoder {CODECS[cell.codec].encoder} here")
    cover, width, forced, count = run(cell, size, size * 3 // 2, range(1, 5), 1, "luma")
    assert count == 96
    assert wilson(round(cover * count), count)[1] >= 0.94
    assert cover >= 0.9
    assert width <= 2.1 * forced


@pytest.mark.parametrize("noise", [0.0, 0.2, 0.8])
def test_small_spots_are_covered_behind_coarse_compression_by_what_it_left_beside_them(noise):
    """H.265 at a constant rate factor of 28, 10 bits; 0.54 to 0.73 of these spots before."""
    name = "hevccrf28"
    if not has(name):
        pytest.skip("PyAV has no libx265 here")
    cell = Cell("S-Log3", 10, name, noise, 0.0)
    cover, width, forced, count = run(cell, 16, 24, range(7001, 7003), 1, "luma")
    assert count == 48
    assert cover >= 0.94
    assert width <= 2.2 * forced


def read_flat(is_lossy, dot=0):
    """Warnings and half width of 16 pixels on a flat of 10 bits; a tile beside is dotted."""
    planes = tuple(
        np.full((128, 128 // n), code, np.uint16) for n, code in ((1, 400), (2, 512), (2, 512))
    )
    planes[0][8:16, 8:16:2] += dot
    signal = Signal(10, Range.LIMITED, subsampling=Subsampling.S422, lossy=is_lossy)
    spot = read_spot(
        Frame(planes, signal), yardstick(signal, published_curve("S-Log3")), SpotPlace(64, 64, 16)
    )
    return " ".join(spot.warnings), spot.stops_pm


def test_where_compression_left_nothing_anywhere_a_small_spot_says_so():
    assert "so small a spot does not tell" in read_flat(is_lossy=True)[0]
    assert "so small a spot" not in read_flat(is_lossy=False)[0]


def test_what_is_left_beside_a_small_spot_widens_it_behind_a_codec_alone():
    assert read_flat(is_lossy=True, dot=6)[1] > 2.0 * read_flat(is_lossy=True)[1]
    assert read_flat(is_lossy=False, dot=6)[1] == read_flat(is_lossy=False)[1]


def test_the_interval_of_a_share_is_that_of_wilson():
    # Wilson, JASA 22 (1927) 209: (p + z2/2n +- z sqrt(p q/n + z2/4n2)) / (1 + z2/n), by hand.
    low, high = wilson(45, 48)
    n, p, z = 48.0, 45.0 / 48.0, 1.959964
    middle = (p + z * z / (2.0 * n)) / (1.0 + z * z / n)
    reach = z * math.sqrt(p * (1.0 - p) / n + z * z / (4.0 * n * n)) / (1.0 + z * z / n)
    assert (low, high) == pytest.approx((middle - reach, middle + reach))
    assert wilson(0, 10)[0] == pytest.approx(0.0, abs=1e-12)
    assert wilson(10, 10)[1] == pytest.approx(1.0)


def test_prints_a_row_for_each_cell(capsys, monkeypatch):
    words = "plus_minus --codecs none --curves BT.709 --bits 8 --noises 0.8 --blurs 0 --sizes 16"
    monkeypatch.setattr("sys.argv", [*words.split(), "--seeds", "1"])
    main()
    out = capsys.readouterr().out.splitlines()
    assert out[0].startswith("none     BT.709")
    assert out[-1].startswith("| none | 1 | ")


def test_what_was_gone_through_is_not_gone_through_again(tmp_path, capsys, monkeypatch):
    words = "plus_minus --codecs none --curves BT.709 --bits 8 --noises 0.8 --blurs 0 --sizes 16"
    kept = tmp_path / "cells.jsonl"
    monkeypatch.setattr("sys.argv", [*words.split(), "--seeds", "1", "--kept", str(kept)])
    main()
    first = capsys.readouterr().out
    monkeypatch.setattr("tests.bench.plus_minus.run", None)  # cannot be called
    main()
    assert capsys.readouterr().out == first
    assert len(kept.read_text().splitlines()) == 1
